#include "kb/store.h"

#include <gmock/gmock.h>
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
  const Catalogue read(ReadStore(file()));
  ASSERT_EQ(read.size(), 2U);
  const Ingredient& item = read.at(0);
  const std::span<const Fact> facts = read.Facts(0);
  EXPECT_EQ(item.also, Parts().ingredients[0].also);
  EXPECT_EQ(item.cas, Parts().ingredients[0].cas);
  ASSERT_EQ(facts.size(), 1U);
  EXPECT_EQ(facts[0].number->low, 62);
  EXPECT_EQ(facts[0].number->high, 64.5);
  EXPECT_EQ(facts[0].text, "62-64.5");
  EXPECT_EQ(facts[0].at_c, 20);
  EXPECT_EQ(facts[0].standing, Standing::kPublished);
  const Ingredient& blend = read.at(1);
  ASSERT_EQ(blend.composition.size(), 2U);
  EXPECT_EQ(blend.composition[0].ingredient, IngredientIx{0});
  EXPECT_FALSE(blend.composition[1].ingredient);
  EXPECT_EQ(blend.composition[1].inci, "OTHER");
  EXPECT_EQ(read.properties()[0].more, "firmer");
  EXPECT_EQ(read.functions()[0].compare[0].scale, 8);
  EXPECT_EQ(read.functions()[0].card.what, "stiffens");
  EXPECT_EQ(read.limits()[0].max_pct, 0.5);
  EXPECT_FALSE(read.limits()[1].max_pct);
  EXPECT_EQ(read.formulas()[0].id, "balm");
  EXPECT_EQ(read.source(0).key, "paper-2001");
  EXPECT_THAT(read.Members(0), testing::ElementsAre(0, 1));
  EXPECT_EQ(read.LimitsOf("a wax").size(), 2U);
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

TEST_F(Store, RefusesALookupThatIsCutOrGone) {
  WriteStore(file(), Parts());
  const fs::path lookup = folder_ / "lookup";
  for (std::uintmax_t size = fs::file_size(lookup); size > 0;) {
    fs::resize_file(lookup, --size);
    EXPECT_THROW(ReadStore(file()), StoreError) << size;
  }
  fs::remove(lookup);
  EXPECT_THROW(ReadStore(file()), StoreError);
}

TEST_F(Store, RefusesALookupOfAnotherBase) {
  WriteStore(file(), Parts());
  CatalogueParts others = Parts();
  others.functions[0].id = others.functions[0].name = "another";
  fs::create_directories(folder_ / "others");
  WriteStore(folder_ / "others" / "stillroom.db", others);
  fs::copy_file(folder_ / "others" / "lookup", folder_ / "lookup", fs::copy_options::overwrite_existing);
  EXPECT_THROW(Catalogue{ReadStore(file())}, StoreError);
}

TEST_F(Store, FindsByWhatItKeepsReady) {
  CatalogueParts parts = Parts();
  parts.functions[0].also = {"stiffener"};
  parts.ingredients[1].inci = "A WAX";
  Property common;
  common.id = "commonness";
  common.kind = ValueKind::kNumber;
  parts.properties.push_back(common);
  Fact known;
  known.property = 1;
  known.number = Range{3, 3};
  known.standing = Standing::kMemory;
  Fact better = known;
  better.number = Range{5, 5};
  better.standing = Standing::kCommonPractice;
  parts.ingredients[1].facts = {known, better};
  WriteStore(file(), parts);
  const Catalogue read(ReadStore(file()));
  EXPECT_EQ(read.Commonness(0), 0);
  EXPECT_EQ(read.Commonness(1), 5) << "the most trusted";
  EXPECT_EQ(read.FindId("blend"), IngredientIx{1});
  EXPECT_FALSE(read.FindId("Blend"));
  EXPECT_EQ(read.FindExact("Waxy with quotes"), IngredientIx{0});
  EXPECT_EQ(read.FindFunction("Stiffeners"), FunctionIx{0});
  EXPECT_EQ(read.FunctionRank(1, 0), 0U);
}

TEST_F(Store, ReadsNothingBeyondALookupWhateverItsBytesAre) {
  CatalogueParts parts = Parts();
  Phrase phrase;
  phrase.words = {"hard wax", "melts above #"};
  parts.phrases = {phrase};
  WriteStore(file(), parts);
  const fs::path lookup = folder_ / "lookup";
  std::string bytes(fs::file_size(lookup), '\0');
  std::ifstream(lookup, std::ios::binary).read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  // Every byte changed in turn: what is asked is answered with something or refused; sanitizers watch.
  std::size_t refused = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    std::string damaged = bytes;
    damaged[i] = static_cast<char>(~static_cast<unsigned char>(damaged[i]));
    fs::remove(lookup);
    std::ofstream(lookup, std::ios::binary) << damaged;
    try {
      const Lookup read(lookup);
      if (read.ingredients() != 2) continue;
      for (const char* name : {"blend", "a wax", "waxy with quotes", "nothing"}) {
        read.FindId(name);
        read.FindFunction(name);
        read.names().Find(name);
      }
      for (std::size_t name = 0; name < read.names().size(); ++name) read.names()[name];
      read.Functions(0);
      read.Functions(1);
      read.phrases().Longest(SplitQuery("melts above 60"), 0);
      if (read.phrases().size() > 0) read.phrases()[0];
    } catch (const StoreError&) {
      ++refused;
    }
  }
  EXPECT_GT(refused, 0U);
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

TEST(Shelf, UnpacksWhatIsAskedForAndRefusesWhatIsDamaged) {
  const std::vector<Fact> facts = Parts().ingredients[0].facts;
  std::vector<Fact> elsewhere = facts;
  elsewhere[0].property = 1;  // there is one property only
  const std::vector<std::string> packed = {Pack(facts), Pack(std::vector<Fact>{}), Pack(elsewhere)};
  Ingredient strange = Parts().ingredients[0];
  strange.functions = {1};
  const std::vector<std::string> records = {Pack(Parts().ingredients[0]), Pack(strange), "no record"};
  std::size_t asked = 0;
  const auto part = [&](std::string_view name) {
    ++asked;
    return name == "limits" ? Pack(Parts().limits) : std::string("no such thing");
  };
  const Shelf shelf({1, 1, 1, packed.size()}, {part, [&](IngredientIx ix) { return records[ix]; },
                                               [&](IngredientIx ix) { return packed[ix]; }});
  ASSERT_EQ(shelf.Facts(0).size(), 1U);
  EXPECT_EQ(shelf.Facts(0)[0].note, "note");
  EXPECT_EQ(&shelf.Facts(0), &shelf.Facts(0)) << "once";
  EXPECT_TRUE(shelf.Facts(1).empty());
  EXPECT_THROW(shelf.Facts(2), StoreError);
  EXPECT_EQ(shelf.Record(0).id, "a-wax");
  EXPECT_THROW(shelf.Record(1), StoreError) << "a function that is not there";
  EXPECT_THROW(shelf.Record(2), StoreError);
  EXPECT_EQ(asked, 0U);
  EXPECT_EQ(shelf.limits().size(), 2U);
  EXPECT_EQ(shelf.limits().size(), 2U);
  EXPECT_EQ(asked, 1U);
  EXPECT_THROW(shelf.sources(), StoreError);
}

TEST_F(Store, SaysWhereItCannotWrite) {
  EXPECT_THROW(WriteStore(folder_ / "no" / "such" / "folder.db", Parts()), StoreError);
}

}  // namespace
}  // namespace kb
