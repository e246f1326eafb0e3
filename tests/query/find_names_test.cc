// `find` by name on the real data: whole, half typed, misspelt.
//
// Which substance a name, an abbreviation or a number means: the CAS registry, the EC inventory and the EU nomenclature of
// ingredients. What a maker would call a useful answer: tests/bench/find_queries.tsv, graded before the engine was asked.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "kb/text.h"
#include "tests/query/find_asked.h"

namespace find_test {
namespace {

using query::FindAnswer;
using query::Found;
using query::FoundType;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

// --- names ---

struct Named {
  const char* typed;
  const char* first;
};

void PrintTo(const Named& item, std::ostream* out) {
  *out << '"' << item.typed << '"';
}

class FindName : public testing::TestWithParam<Named> {};

TEST_P(FindName, LeadsToWhatItMeans) {
  const FindAnswer answer = Find(GetParam().typed);
  EXPECT_EQ(First(answer), GetParam().first);
  EXPECT_EQ(answer.corrected, "") << "nothing had to be put right";
}

INSTANTIATE_TEST_SUITE_P(Exact, FindName,
                         testing::Values(Named{"GLYCERIN", "glycerin"}, Named{"glycerol", "glycerin"},
                                         Named{"BUTYROSPERMUM PARKII BUTTER", "shea-butter"},
                                         Named{"xanthan gum", "xanthan-gum"}, Named{"EDTA", "disodium-edta"},
                                         Named{"SLES", "sodium-laureth-sulfate"},
                                         Named{"IPM", "isopropyl-myristate"},
                                         Named{"Vitamin B3", "niacinamide"},
                                         Named{"NaOH", "sodium-hydroxide"}, Named{"ZnO", "zinc-oxide"},
                                         Named{"TiO2", "titanium-dioxide"}));
INSTANTIATE_TEST_SUITE_P(Numbers, FindName,
                         testing::Values(Named{"56-81-5", "glycerin"}, Named{"200-289-5", "glycerin"},
                                         Named{"7732-18-5", "water"}, Named{"CAS 56-81-5", "glycerin"},
                                         Named{"98-92-0", "niacinamide"}, Named{"77-92-9", "citric-acid"},
                                         Named{"201-069-1", "citric-acid"}));
INSTANTIATE_TEST_SUITE_P(
    Variants, FindName,
    testing::Values(Named{"glycerins", "glycerin"}, Named{"propane diol", "propanediol"},
                    Named{"propane-diol", "propanediol"}, Named{"co co caprylate", "coco-caprylate"},
                    Named{"cococaprylate", "coco-caprylate"},
                    Named{"cocamidopropylbetaine", "cocamidopropyl-betaine"},
                    Named{"ceteareth20", "ceteareth-20"}, Named{"Ceteareth 20", "ceteareth-20"},
                    Named{"poly sorbate 80", "polysorbate-80"}, Named{"  shea   BUTTER ", "shea-butter"}));
INSTANTIATE_TEST_SUITE_P(OtherLanguages, FindName,
                         testing::Values(Named{"Aqua", "water"}, Named{"eau", "water"},
                                         Named{"Cera Alba", "beeswax"},
                                         Named{"acide ascorbique", "ascorbic-acid"},
                                         Named{"Ascorbinsäure", "ascorbic-acid"},
                                         Named{"ASCORBINSAURE", "ascorbic-acid"}));

TEST(FindNames, WholeNameGoesBeforeLongerOnes) {
  const FindAnswer answer = Find("glycerin");
  ASSERT_GT(answer.results.size(), 1U);
  EXPECT_EQ(First(answer), "glycerin");
  EXPECT_EQ(First(Find("retinal")), "retinal") << "not retinol";
  EXPECT_EQ(First(Find("squalene")), "squalene") << "not squalane";
}

TEST(FindNames, BeginningsGoBeforePartsInside) {
  const FindAnswer answer = Find("lavender");
  ASSERT_FALSE(answer.results.empty());
  for (std::size_t i = 0; i < std::min<std::size_t>(3, answer.results.size()); ++i)
    EXPECT_THAT(Id(answer.results[i]), HasSubstr("lavender")) << i;
}

TEST(FindNames, SayWhatItIs) {
  const FindAnswer answer = Find("glycerin");
  ASSERT_FALSE(answer.results.empty());
  EXPECT_THAT(answer.results.front().why, Not(IsEmpty()));
}

TEST(FindNames, ListOffALabelLeadsToEachInTurn) {
  EXPECT_THAT(Ids(Find("Aqua, Glycerin, Cetearyl Alcohol, Phenoxyethanol")),
              ElementsAre("water", "glycerin", "cetearyl-alcohol", "phenoxyethanol"));
}

// --- half-typed ---

TEST(FindTyping, EveryBeginningOfANameLeadsToIt) {
  for (const std::string name : {"niacinamide", "xanthan gum", "tocopherol", "shea butter"}) {
    for (std::size_t n = 5; n <= name.size(); ++n) {
      const std::string typed = name.substr(0, n);
      const FindAnswer answer = Find(typed, 10, true);
      const std::string id = Catalogue().at(Catalogue().FindExact(name).value()).id;
      EXPECT_THAT(Ids(answer), Contains(id)) << typed;
    }
  }
}

TEST(FindTyping, NamesThatBeginSoGoBeforeThoseThatHoldAWordThatDoes) {
  const FindAnswer answer = Find("citr", 20, true);
  bool inside = false;
  for (const Found& found : answer.results) {
    if (found.type != FoundType::kIngredient) continue;
    const kb::Ingredient& item = Catalogue().at(found.ix);
    std::vector<std::string> names = {item.name, item.inci, item.id};
    names.insert(names.end(), item.also.begin(), item.also.end());
    names.insert(names.end(), item.label_names.begin(), item.label_names.end());
    const bool begins = std::any_of(names.begin(), names.end(), [](const std::string& name) {
      return kb::FoldTight(name).substr(0, 4) == "citr";
    });
    EXPECT_FALSE(begins && inside) << item.id << " comes after a name that only holds such a word";
    inside = inside || !begins;
  }
}

TEST(FindTyping, GivesNoFacetsAndNothingForNothing) {
  EXPECT_THAT(Find("gly", 10, true).facets, IsEmpty());
  EXPECT_THAT(Ids(Find("", 10, true)), IsEmpty());
  EXPECT_THAT(Ids(Find("qqqqqq", 10, true)), IsEmpty());
}

// --- misspelt ---

class FindMisspelt : public testing::TestWithParam<Named> {};

TEST_P(FindMisspelt, LeadsToWhatWasMeantAndSaysSo) {
  const FindAnswer answer = Find(GetParam().typed);
  EXPECT_EQ(First(answer), GetParam().first);
  EXPECT_NE(answer.corrected, "") << "it must say what it was taken for";
}

INSTANTIATE_TEST_SUITE_P(Transposed, FindMisspelt,
                         testing::Values(Named{"glycrein", "glycerin"}, Named{"niacniamide", "niacinamide"},
                                         Named{"xanthna gum", "xanthan-gum"},
                                         Named{"allantion", "allantoin"}));
INSTANTIATE_TEST_SUITE_P(Dropped, FindMisspelt,
                         testing::Values(Named{"niacinmide", "niacinamide"}, Named{"beewax", "beeswax"},
                                         Named{"cetyl alchol", "cetyl-alcohol"},
                                         Named{"phenoxyethnol", "phenoxyethanol"}));
INSTANTIATE_TEST_SUITE_P(Doubled, FindMisspelt,
                         testing::Values(Named{"glycerrin", "glycerin"}, Named{"panthennol", "panthenol"},
                                         Named{"shea buttter", "shea-butter"},
                                         Named{"alllantoin", "allantoin"}));
INSTANTIATE_TEST_SUITE_P(Heard, FindMisspelt,
                         testing::Values(Named{"zanthan gum", "xanthan-gum"}, Named{"gliserin", "glycerin"},
                                         Named{"nia cinnamide", "niacinamide"},
                                         Named{"dimethacone", "dimethicone"},
                                         Named{"tokoferol", "tocopherol"}));
INSTANTIATE_TEST_SUITE_P(Functions, FindMisspelt,
                         testing::Values(Named{"humactant", "function:humectant"},
                                         Named{"preservatve", "function:preservative"},
                                         Named{"emolient", "function:emollient"}));

TEST(FindMisspeltWords, OfferTheOtherReading) {
  // One letter from squalane and one from squalene.
  const FindAnswer answer = Find("squaline");
  ASSERT_FALSE(answer.results.empty());
  std::vector<std::string> readings = answer.other_readings;
  readings.push_back(answer.corrected);
  EXPECT_THAT(readings, Contains("squalane"));
  EXPECT_THAT(readings, Contains("squalene"));
}

TEST(FindMisspeltWords, ArePutRightInsideAQuestion) {
  const FindAnswer heat = Find("can I heat niacinimide");
  EXPECT_EQ(First(heat), "niacinamide");
  EXPECT_EQ(heat.ask, "heat");
  EXPECT_NE(heat.corrected, "");
}

TEST(FindMisspeltWords, ThatAreNamesAreLeftAlone) {
  for (const char* name :
       {"retinal", "squalene", "cetearyl alcohol", "cetyl alcohol", "sorbitol", "mannitol"})
    EXPECT_EQ(Find(name).corrected, "") << name;
}

TEST(FindMisspeltWords, SaySoOnTheScreen) {
  EXPECT_THAT(TextOf(query::AnswerFind, {{"q", "glycerrin"}}), HasSubstr("Taken for 'glycerin'"));
  const auto json = JsonOf(query::AnswerFind, {{"q", "glycerrin"}});
  EXPECT_EQ(json["understood"]["corrected"], "glycerin");
}

}  // namespace
}  // namespace find_test
