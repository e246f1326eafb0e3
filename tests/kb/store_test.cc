#include "kb/store.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "kb/pack.h"

namespace kb {
namespace {

namespace fs = std::filesystem;

class Store : public testing::Test {
 protected:
  Store() : folder_(fs::temp_directory_path() / ("stillroom-store-" + std::to_string(getpid()))) {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  ~Store() override { fs::remove_all(folder_); }
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  fs::path file() const { return folder_ / "stillroom.db"; }

  fs::path folder_;
};

CatalogueParts Parts() {
  CatalogueParts parts;
  Property melting;
  melting.id = "melting_c";
  melting.kind = ValueKind::kNumber;
  melting.unit = "C";
  melting.low = -150;
  melting.high = 3000;
  melting.more = "firmer";
  parts.properties = {melting};
  parts.sources = {{"paper-2001", "journal", "A paper", "J. Examples 1", 2001, "", Standing::kPublished}};
  Function wax;
  wax.id = "wax";
  wax.name = "structuring wax";
  wax.compare = {{"melting_c", 5, 8, false, ""}};
  wax.card.what = "stiffens";
  parts.functions = {wax};
  Limit limit;
  limit.substance = "A WAX";
  limit.max_pct = 0.5;
  Limit condition;
  condition.substance = "A WAX";
  condition.conditions = "say so";
  parts.limits = {limit, condition};
  parts.formulas = {{"demo", "balm", "phase,ingredient,percent\n"}};
  Ingredient item;
  item.id = "a-wax";
  item.inci = "A WAX";
  item.name = "a wax";
  item.also = {"waxy, with \"quotes\"", "cire d'été"};
  item.cas = {"8012-89-3"};
  item.functions = {0};
  Fact fact;
  fact.number = Range{62, 64.5};
  fact.text = "62-64.5";
  fact.at_c = 20;
  fact.note = "note";
  fact.standing = Standing::kPublished;
  item.facts = {fact};
  Ingredient blend = item;
  blend.id = "blend";
  blend.name = "blend";
  blend.also.clear();
  blend.cas.clear();
  blend.facts.clear();
  blend.composition = {{0, "A WAX", 60, 0}, {std::nullopt, "OTHER", 40, 0}};
  parts.ingredients = {item, blend};
  return parts;
}

TEST_F(Store, ReadsBackWhatWasWritten) {
  WriteStore(file(), Parts());
  const CatalogueParts read = ReadStore(file());
  ASSERT_EQ(read.ingredients.size(), 2U);
  const Ingredient& item = read.ingredients[0];
  EXPECT_EQ(item.also, Parts().ingredients[0].also);
  EXPECT_EQ(item.cas, Parts().ingredients[0].cas);
  ASSERT_EQ(item.facts.size(), 1U);
  EXPECT_EQ(item.facts[0].number->low, 62);
  EXPECT_EQ(item.facts[0].number->high, 64.5);
  EXPECT_EQ(item.facts[0].text, "62-64.5");
  EXPECT_EQ(item.facts[0].at_c, 20);
  EXPECT_EQ(item.facts[0].standing, Standing::kPublished);
  const Ingredient& blend = read.ingredients[1];
  ASSERT_EQ(blend.composition.size(), 2U);
  EXPECT_EQ(blend.composition[0].ingredient, IngredientIx{0});
  EXPECT_FALSE(blend.composition[1].ingredient);
  EXPECT_EQ(blend.composition[1].inci, "OTHER");
  EXPECT_EQ(read.properties[0].more, "firmer");
  EXPECT_EQ(read.functions[0].compare[0].scale, 8);
  EXPECT_EQ(read.functions[0].card.what, "stiffens");
  EXPECT_EQ(read.limits[0].max_pct, 0.5);
  EXPECT_FALSE(read.limits[1].max_pct);
  EXPECT_EQ(read.formulas[0].id, "balm");
}

TEST_F(Store, RefusesToWriteOverAFile) {
  std::ofstream(file()) << "something";
  EXPECT_THROW(WriteStore(file(), Parts()), StoreError);
}

TEST_F(Store, SaysWhatIsWrongWithAFileItCannotRead) {
  EXPECT_THROW(ReadStore(file()), StoreError);
  std::ofstream(file()) << "this is no database, whatever its name says, and long enough to be looked at";
  EXPECT_THROW(ReadStore(file()), StoreError);
}

TEST_F(Store, RefusesATruncatedBase) {
  WriteStore(file(), Parts());
  fs::resize_file(file(), fs::file_size(file()) / 2);
  EXPECT_THROW(ReadStore(file()), StoreError);
}

TEST(Pack, GoesThereAndBack) {
  for (const Ingredient& item : Parts().ingredients) {
    const std::string bytes = Pack(item);
    const auto read = Unpack(bytes);
    ASSERT_TRUE(read.has_value());
    EXPECT_EQ(read->id, item.id);
    EXPECT_EQ(read->functions, item.functions);
    EXPECT_EQ(read->facts.size(), item.facts.size());
    EXPECT_EQ(Pack(*read), bytes);
  }
}

TEST(Pack, RefusesEveryCutAndWhatIsTooLong) {
  const std::string bytes = Pack(Parts().ingredients[0]);
  for (std::size_t n = 0; n < bytes.size(); ++n) EXPECT_FALSE(Unpack(bytes.substr(0, n)).has_value()) << n;
  EXPECT_FALSE(Unpack(bytes + '\0').has_value());
  EXPECT_FALSE(Unpack(std::string(20, '\xFF')).has_value());
}

TEST(Pack, ReadsNothingBeyondItsBytesWhateverTheyAre) {
  // Every byte changed in turn: it reads as something or is refused; sanitizers watch.
  const std::string bytes = Pack(Parts().ingredients[1]);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    for (const unsigned flip : {0x01U, 0x80U, 0xFFU}) {
      std::string other = bytes;
      other[i] = static_cast<char>(static_cast<unsigned char>(other[i]) ^ flip);
      const auto read = Unpack(other);
      if (read) {
        EXPECT_LE(read->id.size(), other.size());
      }
    }
  }
}

TEST_F(Store, SaysWhereItCannotWrite) {
  EXPECT_THROW(WriteStore(folder_ / "no" / "such" / "folder.db", Parts()), StoreError);
}

}  // namespace
}  // namespace kb
