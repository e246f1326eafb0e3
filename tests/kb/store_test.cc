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
  const Catalogue catalogue(ReadStore(file()));
  const CatalogueParts& read = catalogue.parts();
  ASSERT_EQ(read.ingredients.size(), 2U);
  const Ingredient& item = read.ingredients[0];
  const std::span<const Fact> facts = catalogue.Facts(0);
  EXPECT_EQ(item.also, Parts().ingredients[0].also);
  EXPECT_EQ(item.cas, Parts().ingredients[0].cas);
  ASSERT_EQ(facts.size(), 1U);
  EXPECT_EQ(facts[0].number->low, 62);
  EXPECT_EQ(facts[0].number->high, 64.5);
  EXPECT_EQ(facts[0].text, "62-64.5");
  EXPECT_EQ(facts[0].at_c, 20);
  EXPECT_EQ(facts[0].standing, Standing::kPublished);
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

TEST_F(Store, KeepsNamesAndCommonnessReady) {
  const Catalogue made(Parts());
  WriteStore(file(), made.parts());
  const CatalogueParts read = ReadStore(file());
  EXPECT_EQ(read.names.Bytes(), made.parts().names.Bytes());
  EXPECT_EQ(read.commonness, made.parts().commonness);
  EXPECT_EQ(Catalogue(ReadStore(file())).FindExact("Waxy with quotes"), IngredientIx{0});
}

TEST(Pack, GoesThereAndBack) {
  for (const Ingredient& item : Parts().ingredients) {
    const std::string bytes = Pack(item);
    Ingredient read;
    ASSERT_TRUE(Unpack(bytes, read));
    EXPECT_EQ(read.id, item.id);
    EXPECT_EQ(read.functions, item.functions);
    EXPECT_EQ(read.composition.size(), item.composition.size());
    EXPECT_EQ(Pack(read), bytes);
    std::vector<Fact> facts;
    ASSERT_TRUE(Unpack(Pack(item.facts), facts));
    EXPECT_EQ(Pack(facts), Pack(item.facts));
  }
}

TEST(Pack, RefusesEveryCutAndWhatIsTooLong) {
  for (const std::string& bytes : {Pack(Parts().ingredients[0]), Pack(Parts().ingredients[1])}) {
    for (std::size_t n = 0; n < bytes.size(); ++n) {
      Ingredient read;
      EXPECT_FALSE(Unpack(bytes.substr(0, n), read)) << n;
    }
    Ingredient read;
    EXPECT_FALSE(Unpack(bytes + '\0', read));
  }
  Ingredient read;
  EXPECT_FALSE(Unpack(std::string(20, '\xFF'), read));
}

TEST(Pack, ReadsNothingBeyondItsBytesWhateverTheyAre) {
  // Every byte changed in turn: it reads as something or is refused; sanitizers watch.
  const std::string ingredient = Pack(Parts().ingredients[1]);
  const std::string facts = Pack(Parts().ingredients[0].facts);
  const auto flipped = [](std::string bytes, std::size_t i, unsigned flip) {
    bytes[i] = static_cast<char>(static_cast<unsigned char>(bytes[i]) ^ flip);
    return bytes;
  };
  for (const unsigned flip : {0x01U, 0x80U, 0xFFU}) {
    for (std::size_t i = 0; i < ingredient.size(); ++i) {
      Ingredient read;
      if (Unpack(flipped(ingredient, i, flip), read)) {
        EXPECT_LE(read.id.size(), ingredient.size());
      }
    }
    for (std::size_t i = 0; i < facts.size(); ++i) {
      std::vector<Fact> read;
      if (Unpack(flipped(facts, i, flip), read)) {
        EXPECT_LE(read.size(), facts.size());
      }
    }
  }
}

TEST(FactShelf, UnpacksWhatIsAskedForAndRefusesWhatIsDamaged) {
  const std::vector<Fact> facts = Parts().ingredients[0].facts;
  std::vector<Fact> elsewhere = facts;
  elsewhere[0].property = 1;  // there is one property only
  const std::vector<std::string> packed = {Pack(facts), Pack(std::vector<Fact>{}), Pack(elsewhere)};
  const FactShelf shelf(packed.size(), {1, 1}, [&](IngredientIx ix) { return packed[ix]; });
  ASSERT_EQ(shelf.Of(0).size(), 1U);
  EXPECT_EQ(shelf.Of(0)[0].note, "note");
  EXPECT_EQ(&shelf.Of(0), &shelf.Of(0)) << "once";
  EXPECT_TRUE(shelf.Of(1).empty());
  EXPECT_THROW(shelf.Of(2), StoreError);
}

TEST(NameTable, RefusesBytesThatAreNoTable) {
  const Catalogue catalogue(Parts());
  const std::string bytes = catalogue.parts().names.Bytes();
  ASSERT_TRUE(NameTable::FromBytes(bytes, 2));
  EXPECT_FALSE(NameTable::FromBytes(bytes, 1)) << "a name leads beyond the ingredients";
  EXPECT_FALSE(NameTable::FromBytes("", 2));
  for (std::size_t n = 0; n < bytes.size(); ++n) {
    const auto cut = NameTable::FromBytes(bytes.substr(0, n), 2);
    EXPECT_FALSE(cut) << n;
  }
}

TEST_F(Store, SaysWhereItCannotWrite) {
  EXPECT_THROW(WriteStore(folder_ / "no" / "such" / "folder.db", Parts()), StoreError);
}

}  // namespace
}  // namespace kb
