// `find` on the real data: questions, filters, facets.
//
// Which substance a name, an abbreviation or a number means: the CAS registry, the EC inventory and the EU nomenclature of
// ingredients. What a maker would call a useful answer: tests/bench/find_queries.tsv, graded before the engine was asked.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <string>
#include <vector>

#include "query/facts.h"
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

// --- questions ---

TEST(FindQuestions, WhatAFunctionDoesLeadsToItsCard) {
  for (const char* words : {"what does a humectant do", "what is a humectant", "what do humectants do"}) {
    const FindAnswer answer = Find(words);
    EXPECT_EQ(answer.ask, "what") << words;
    EXPECT_EQ(First(answer), "function:humectant") << words;
    // The card's own first sentence.
    const auto function = Catalogue().FindFunction("humectant").value();
    const std::string& card = Catalogue().function(function).card.what;
    EXPECT_EQ(answer.answer.substr(0, 25), card.substr(0, 25)) << words;
  }
  EXPECT_EQ(First(Find("what does a chelator do")), "function:chelating-agent");
  EXPECT_EQ(First(Find("what does xanthan gum do")), "xanthan-gum");
}

TEST(FindQuestions, WhichPhaseLeadsToTheFact) {
  for (const char* words : {"which phase does niacinamide go in", "what phase do I add niacinamide",
                            "niacinamide which phase", "when do i add niacinamide"}) {
    const FindAnswer answer = Find(words);
    EXPECT_EQ(answer.ask, "phase") << words;
    EXPECT_EQ(First(answer), "niacinamide") << words;
    EXPECT_THAT(answer.answer, HasSubstr("Goes into ")) << words;
    EXPECT_EQ(answer.answer, answer.results.front().why) << words;
  }
}

TEST(FindQuestions, CanIHeatLeadsToTheFact) {
  const FindAnswer answer = Find("can I heat retinol");
  EXPECT_EQ(answer.ask, "heat");
  EXPECT_EQ(First(answer), "retinol");
  // The figure on the answer is the record's own.
  const auto most = Catalogue().Number(Catalogue().FindId("retinol").value(), "max_c");
  ASSERT_TRUE(most.has_value());
  EXPECT_THAT(answer.answer, HasSubstr(std::to_string(static_cast<int>(most->low)) + " C"));
  EXPECT_THAT(Find("is retinol heat stable").answer, HasSubstr("heat stable: no"));
}

TEST(FindQuestions, NumbersComeWithTheirStanding) {
  const FindAnswer melts = Find("melting point of stearic acid");
  EXPECT_EQ(melts.ask, "melts");
  EXPECT_EQ(First(melts), "stearic-acid");
  EXPECT_THAT(melts.answer, HasSubstr("Melts at "));
  EXPECT_THAT(melts.answer, HasSubstr("("));
  const FindAnswer hlb = Find("hlb of polysorbate 80");
  EXPECT_EQ(First(hlb), "polysorbate-80");
  EXPECT_THAT(hlb.answer, HasSubstr("HLB 15")) << "Griffin, J. Soc. Cosmet. Chem. 5 (1954) 249";
  EXPECT_EQ(Find("ph of lactic acid").ask, "ph");
  EXPECT_EQ(Find("how much xanthan gum").ask, "level");
  EXPECT_THAT(Find("how much xanthan gum").answer, HasSubstr("%"));
  EXPECT_EQ(Find("does allantoin dissolve in water").ask, "dissolves");
}

TEST(FindQuestions, UnknownFactsAreSaid) {
  const FindAnswer answer = Find("hlb of salt");
  ASSERT_FALSE(answer.results.empty());
  EXPECT_THAT(answer.answer, HasSubstr("No HLB is known here"));
}

TEST(FindQuestions, ClaimsAreAnsweredAndLeaveNothingOut) {
  const FindAnswer glycerin = Find("is glycerin vegan");
  EXPECT_EQ(glycerin.ask, "claim");
  EXPECT_EQ(First(glycerin), "glycerin");
  const FindAnswer beeswax = Find("is beeswax vegan");
  EXPECT_EQ(First(beeswax), "beeswax") << "though it is not";
  EXPECT_THAT(beeswax.answer, HasSubstr("vegan: no"));
}

TEST(FindQuestions, AlternativesLeadToTheSwap) {
  for (const char* words :
       {"alternative to cetyl alcohol", "substitute for cetyl alcohol", "cetyl alcohol substitute",
        "instead of cetyl alcohol", "replace cetyl alcohol", "what can i use instead of cetyl alcohol"}) {
    const FindAnswer answer = Find(words);
    EXPECT_EQ(answer.ask, "swap") << words;
    ASSERT_FALSE(answer.results.empty()) << words;
    EXPECT_THAT(Ids(answer), Not(Contains("cetyl-alcohol"))) << words;
    EXPECT_THAT(Ids(answer), Contains(testing::AnyOf("cetearyl-alcohol", "stearyl-alcohol"))) << words;
    EXPECT_THAT(answer.results.front().why, HasSubstr("Stands in for cetyl alcohol")) << words;
  }
}

TEST(FindQuestions, AUvFilterIsNotSwapped) {
  const FindAnswer answer = Find("alternative to avobenzone");
  EXPECT_EQ(answer.ask, "swap");
  EXPECT_THAT(Ids(answer), ElementsAre("avobenzone")) << "nothing is offered";
  EXPECT_THAT(answer.answer, HasSubstr("do not swap"));
}

TEST(FindQuestions, AClaimThatIsBrokenAsksForStandIns) {
  const FindAnswer answer = Find("vegan beeswax");
  ASSERT_FALSE(answer.results.empty());
  EXPECT_THAT(Ids(answer), Not(Contains("beeswax")));
  for (const kb::IngredientIx ix : Ingredients(answer))
    EXPECT_EQ(query::KeepsClaim(Catalogue(), ix, "vegan").state, query::ClaimState::kKept)
        << Catalogue().at(ix).id;
}

TEST(FindQuestions, ComparisonsLeadToBoth) {
  const FindAnswer answer = Find("squalene vs squalane");
  EXPECT_EQ(answer.ask, "compare");
  EXPECT_THAT(Ids(answer), ElementsAre("squalene", "squalane"));
}

// --- filters ---

struct Filtered {
  const char* words;
  std::vector<std::string> filters;  // in the language of kb/search_filter.h
};

void PrintTo(const Filtered& item, std::ostream* out) {
  *out << '"' << item.words << '"';
}

class FindFilter : public testing::TestWithParam<Filtered> {};

TEST_P(FindFilter, IsTakenFromTheWordsAndHolds) {
  const FindAnswer answer = Find(GetParam().words, 50);
  std::vector<std::string> taken;
  for (const query::FilterTaken& item : answer.filters) {
    taken.push_back(kb::WriteSearchFilter(item.filter));
    EXPECT_NE(item.text, "");
    EXPECT_NE(item.words, "");
    // Without its words the query asks for less.
    EXPECT_LT(item.without.size(), std::string(GetParam().words).size());
    EXPECT_THAT(item.without, Not(HasSubstr(item.words)));
  }
  EXPECT_THAT(taken, testing::UnorderedElementsAreArray(GetParam().filters));
  ASSERT_FALSE(answer.results.empty());
  for (const kb::IngredientIx ix : Ingredients(answer)) {
    for (const query::FilterTaken& item : answer.filters)
      EXPECT_TRUE(kb::Holds(Catalogue(), ix, item.filter)) << Catalogue().at(ix).id << ": " << item.text;
  }
  for (const Found& found : answer.results)
    EXPECT_NE(found.type, FoundType::kInventory) << "of them nothing is known";
}

INSTANTIATE_TEST_SUITE_P(
    Words, FindFilter,
    testing::Values(Filtered{"oil soluble antioxidant", {"solubility:oil"}},
                    Filtered{"water-soluble humectant", {"solubility:water"}},
                    Filtered{"vegan wax", {"keep:vegan"}},
                    Filtered{"heat stable preservative", {"heat:stable"}},
                    Filtered{"cold process emulsifier", {"keep:cold-process"}},
                    Filtered{"powder humectants", {"form:powder|crystals"}},
                    Filtered{"cationic emulsifiers that are flakes", {"form:flakes"}},
                    Filtered{"cationic powder", {"charge:cationic", "form:powder|crystals"}},
                    Filtered{"preservative below pH 4", {"ph<4"}},
                    Filtered{"humectant under 2 %", {"level<2"}},
                    Filtered{"nut free oils", {"keep:nut-free"}}, Filtered{"natural wax", {"keep:natural"}},
                    Filtered{"non greasy oil fast absorbing", {"-feel:greasy|rich", "spreads:fast|medium"}},
                    Filtered{"oil soluble vitamin c", {"solubility:oil"}},
                    Filtered{"vegan palm free emulsifier", {"keep:vegan", "keep:palm-free"}},
                    Filtered{"peg free cold process solubiliser", {"keep:peg-free", "keep:cold-process"}},
                    Filtered{"humectant below 2,5 percent", {"level<2.5"}}));

TEST(FindFilters, OfVitaminCTheOilSolubleAndTheWaterSolubleDiffer) {
  EXPECT_THAT(First(Find("oil soluble vitamin c")),
              testing::AnyOf("tetrahexyldecyl-ascorbate", "ascorbyl-palmitate"));
  EXPECT_THAT(Ids(Find("oil soluble vitamin c")), Not(Contains("ascorbic-acid")));
  EXPECT_EQ(First(Find("water soluble vitamin c")), "ascorbic-acid");
}

TEST(FindFilters, CanBeTakenOff) {
  const FindAnswer narrow = Find("vegan wax", 100);
  ASSERT_EQ(narrow.filters.size(), 1U);
  const FindAnswer wide = Find(narrow.filters.front().without, 100);
  EXPECT_THAT(wide.filters, IsEmpty());
  EXPECT_GT(wide.total, narrow.total);
  EXPECT_THAT(Ids(wide), Contains("beeswax"));
  EXPECT_THAT(Ids(narrow), Not(Contains("beeswax")));
}

TEST(FindFilters, NamesAreLeftOut) {
  const FindAnswer salt = Find("thickener for shampoo without salt", 30);
  EXPECT_THAT(Ids(salt), Not(Contains("sodium-chloride")));
  EXPECT_THAT(salt.left_out, Not(IsEmpty()));
  EXPECT_THAT(Ids(Find("lanolin free lip balm", 30)), Not(Contains("lanolin")));
  EXPECT_THAT(Ids(Find("clear gel not carbomer", 30)), Not(Contains("carbomer")));
  // Thyme oil is two fifths thymol (Perfumer and Flavorist, Progress in Essential Oils, after Manou 1998).
  const std::vector<std::string> oils = Ids(Find("essential oil without thymol", 200));
  EXPECT_THAT(oils, Contains("lavender-oil"));
  EXPECT_THAT(oils, Not(Contains("thyme-oil")));
}

TEST(FindFilters, ThatANamedThingDoesNotPassAreSaid) {
  // The acid itself is crystals: nothing of that name is liquid, and it must not look as if it were.
  const FindAnswer answer = Find("liquid stearic acid");
  for (const Found& found : answer.results) {
    if (Id(found) != "stearic-acid") continue;
    EXPECT_THAT(found.why, HasSubstr("not known to be"));
  }
}

// --- facets ---

std::map<std::string, std::map<std::string, std::size_t>> Facets(const FindAnswer& answer) {
  std::map<std::string, std::map<std::string, std::size_t>> out;
  for (const query::FacetCount& item : answer.facets)
    out[std::string(item.facet)][std::string(item.word)] = item.count;
  return out;
}

TEST(FindFacets, AddUp) {
  for (const char* words : {"humectant", "vegan wax", "chelating agent"}) {
    const FindAnswer answer = Find(words, 200);
    const std::vector<kb::IngredientIx> found = Ingredients(answer);
    auto facets = Facets(answer);
    ASSERT_EQ(answer.results.size(), answer.total) << words << ": all are shown, so that they can be counted";
    std::map<std::string, std::size_t> functions;
    std::map<std::string, std::size_t> forms;
    for (const kb::IngredientIx ix : found) {
      for (const kb::FunctionIx function : Catalogue().at(ix).functions)
        ++functions[Catalogue().function(function).id];
      if (const auto form = Catalogue().Choice(ix, "form"); !form.empty()) ++forms[std::string(form)];
    }
    EXPECT_EQ(facets.at("function"), functions) << words;
    EXPECT_EQ(facets.at("form"), forms) << words;
    for (const char* facet : {"phase", "form", "charge", "origin", "solubility", "heat"}) {
      std::size_t sum = 0;
      if (!facets.count(facet)) continue;
      for (const auto& [word, count] : facets.at(facet)) sum += count;
      EXPECT_LE(sum, found.size()) << facet << ": each ingredient counts once";
    }
    for (const auto& [word, count] : facets.at("keep")) EXPECT_LE(count, found.size()) << word;
  }
}

TEST(FindFacets, SayWhatTheFilterWouldFind) {
  const FindAnswer all = Find("humectant", 200);
  const std::size_t powders = Facets(all).at("form").at("powder");
  query::FindQuestion question;
  question.words = "humectant";
  question.limit = 200;
  question.filters = {kb::ParseSearchFilter("form:powder").value()};
  const FindAnswer narrowed = RealBase().finder->Find(RealBase().Index(), question);
  EXPECT_EQ(Ingredients(narrowed).size(), powders);
}

}  // namespace
}  // namespace find_test
