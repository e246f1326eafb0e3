// The index as its reader sees it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <xapian.h>

#include <string>
#include <vector>

#include "indexer/write_index.h"
#include "kb/index_terms.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

namespace terms = kb::index;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::StartsWith;

class Index : public testing::Test {
 protected:
  Index() {
    indexer::WriteIndex(folder_.path() / "index", catalogue_);
    db_ = Xapian::Database((folder_.path() / "index").string());
  }

  // Ids of the items that match, in the order of the documents.
  std::vector<std::string> Match(const Xapian::Query& query) const {
    Xapian::Enquire enquire(db_);
    enquire.set_query(query);
    enquire.set_weighting_scheme(Xapian::BoolWeight());
    std::vector<std::string> ids;
    const Xapian::MSet found = enquire.get_mset(0, 100);
    for (Xapian::MSetIterator it = found.begin(); it != found.end(); ++it) {
      const auto item = terms::ItemFromValue(it.get_document().get_value(terms::kSlotItem)).value();
      ids.push_back(item.type == terms::Item::Type::kFunctionItem
                        ? catalogue_.function(static_cast<kb::FunctionIx>(item.ix)).id
                        : catalogue_.at(item.ix).id);
    }
    return ids;
  }
  std::vector<std::string> With(std::string_view prefix, std::string_view value) const {
    return Match(Xapian::Query(terms::Term(prefix, value)));
  }
  std::vector<std::string> Words(const std::string& question) const {
    Xapian::QueryParser parser;
    parser.set_database(db_);
    parser.set_stemmer(Xapian::Stem(terms::kStemmer));
    parser.set_stemming_strategy(Xapian::QueryParser::STEM_SOME);
    parser.set_default_op(Xapian::Query::OP_AND);
    return Match(parser.parse_query(kb::Fold(question)));
  }

  TempFolder folder_;
  kb::Catalogue catalogue_ = DataFixture().Catalogue();
  Xapian::Database db_;
};

TEST_F(Index, IsOneFile) {
  EXPECT_TRUE(std::filesystem::is_regular_file(folder_.path() / "index"));
  EXPECT_FALSE(std::filesystem::exists(folder_.path() / "index.work"));
  EXPECT_EQ(db_.get_metadata(terms::kVersionKey), std::to_string(terms::kIndexVersion));
}

TEST_F(Index, NumbersFunctionsFirstAndThenTheMostCommon) {
  EXPECT_EQ(db_.get_doccount(), 7U);
  EXPECT_THAT(Match(Xapian::Query::MatchAll), ElementsAre("humectant", "solvent", "water-base", "emollient",
                                                          "water", "glycerin", "glycerin-50"));
}

TEST_F(Index, FindsByUniqueIdAndType) {
  EXPECT_THAT(Match(Xapian::Query(terms::UniqueIngredient("glycerin"))), ElementsAre("glycerin"));
  EXPECT_THAT(Match(Xapian::Query(terms::UniqueFunction("solvent"))), ElementsAre("solvent"));
  EXPECT_EQ(With(terms::kType, "function").size(), 4U);
  EXPECT_EQ(With(terms::kType, "ingredient").size(), 3U);
}

TEST_F(Index, DescribesItemsInTheData) {
  const Xapian::PostingIterator found = db_.postlist_begin(terms::UniqueIngredient("water"));
  EXPECT_EQ(db_.get_document(*found).get_data(), "ingredient\twater\twater\tAQUA");
}

TEST_F(Index, HoldsWholeNamesInAnySpelling) {
  for (const char* name :
       {"Glycerin", "GLYCEROL", "gly cerol", "glycerine", "Glycérine", "56-81-5", "200-289-5"}) {
    EXPECT_THAT(Match(Xapian::Query(terms::WholeName(name))), ElementsAre("glycerin")) << name;
  }
  EXPECT_THAT(Match(Xapian::Query(terms::WholeName("eau"))), ElementsAre("water"));
  EXPECT_THAT(Match(Xapian::Query(terms::WholeName("glycer"))), IsEmpty());
}

TEST_F(Index, AnswersHalfTypedNames) {
  EXPECT_THAT(Match(Xapian::Query(terms::NameStart("g"))), ElementsAre("glycerin", "glycerin-50"));
  EXPECT_THAT(Match(Xapian::Query(terms::NameStart("glycerin sol"))), ElementsAre("glycerin-50"));
  EXPECT_THAT(Match(Xapian::Query(terms::NameStart("hum"))), ElementsAre("humectant"));
  EXPECT_THAT(Match(Xapian::Query(terms::WordStart("solu"))), ElementsAre("glycerin-50"));
  EXPECT_THAT(Match(Xapian::Query(terms::WordStart("bind"))), ElementsAre("humectant"));
}

TEST_F(Index, CutsWhatIsTypedToTheLengthThatIsHeld) {
  EXPECT_EQ(terms::NameStart(std::string(50, 'a')), "XB" + std::string(terms::kLongestStart, 'a'));
  EXPECT_EQ(terms::WordStart(std::string(50, 'a')), "XW" + std::string(terms::kLongestWordStart, 'a'));
  EXPECT_EQ(terms::NameStart("cocamidopropyl b"), "XBcocamidopropyl") << "15 bytes, and 14 are held";
  EXPECT_EQ(terms::WordStart("hydrolyzed"), "XWhydrolyzed");
  EXPECT_EQ(terms::WholeName(std::string(500, 'a')).size(), 2 + terms::kLongestTerm);
}

TEST_F(Index, HoldsFilters) {
  EXPECT_THAT(With(terms::kFunction, "humectant"), ElementsAre("humectant", "glycerin", "glycerin-50"));
  EXPECT_THAT(With(terms::kMainFunction, "solvent"), IsEmpty());
  EXPECT_THAT(With(terms::kForm, "viscous-liquid"), ElementsAre("glycerin"));
  EXPECT_THAT(With(terms::kOrigin, "plant"), ElementsAre("glycerin"));
  EXPECT_THAT(With(terms::kClass, "polyol"), ElementsAre("glycerin"));
  EXPECT_THAT(With(terms::kSolubility, "water"), ElementsAre("water", "glycerin"));
  EXPECT_THAT(With(terms::kSolubility, "oil"), IsEmpty());
  EXPECT_THAT(With(terms::kHeat, "stable"), ElementsAre("glycerin"));
  // vegan: glycerin says so, water by its origin; of the solution the origin is not known.
  EXPECT_THAT(With(terms::kClaimKept, "vegan"), ElementsAre("water", "glycerin"));
  EXPECT_THAT(With(terms::kClaimKept, "peg-free"), ElementsAre("water", "glycerin", "glycerin-50"));
}

TEST_F(Index, HoldsNumbersToRangeOver) {
  const Xapian::Document glycerin =
      db_.get_document(*db_.postlist_begin(terms::UniqueIngredient("glycerin")));
  EXPECT_EQ(Xapian::sortable_unserialise(glycerin.get_value(terms::kSlotUseLow)), 2);
  EXPECT_EQ(Xapian::sortable_unserialise(glycerin.get_value(terms::kSlotUseHigh)), 10);
  EXPECT_EQ(Xapian::sortable_unserialise(glycerin.get_value(terms::kSlotMaxC)), 150);
  EXPECT_EQ(glycerin.get_value(terms::kSlotPhLow), "") << "not known";
}

TEST_F(Index, HoldsTextStemmed) {
  EXPECT_THAT(Words("sweet triols"), ElementsAre("glycerin"));
  EXPECT_THAT(Words("moisture binders"), ElementsAre("humectant", "glycerin", "glycerin-50"))
      << "through the function's names";
  EXPECT_THAT(Words("glycérols"), ElementsAre("glycerin")) << "folded first";
}

TEST_F(Index, KnowsHowWordsAreSpelt) {
  EXPECT_EQ(db_.get_spelling_suggestion("glycreol"), "glycerol");
  EXPECT_EQ(db_.get_spelling_suggestion("humectnat"), "humectant");
}

TEST(ItemValue, GoesThereAndBack) {
  for (const std::uint32_t ix : {0U, 1U, 255U, 256U, 28712U, 4294967295U}) {
    const auto item = terms::ItemFromValue(terms::ItemValue({terms::Item::Type::kIngredientItem, ix}));
    ASSERT_TRUE(item.has_value());
    EXPECT_EQ(item->ix, ix);
    EXPECT_EQ(item->type, terms::Item::Type::kIngredientItem);
  }
  EXPECT_EQ(terms::ItemFromValue(terms::ItemValue({terms::Item::Type::kFunctionItem, 7}))->type,
            terms::Item::Type::kFunctionItem);
  for (const char* bad : {"", "i", "i123", "x1234", "i12345"})
    EXPECT_FALSE(terms::ItemFromValue(bad).has_value()) << bad;
}

TEST(WriteIndex, SaysWhereItCannotWrite) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  try {
    indexer::WriteIndex("/nowhere/at/all/index", catalogue);
    FAIL();
  } catch (const indexer::IndexerError& error) {
    EXPECT_THAT(error.what(), StartsWith("cannot write /nowhere/at/all/index: "));
  }
}

}  // namespace
}  // namespace indexer_test
