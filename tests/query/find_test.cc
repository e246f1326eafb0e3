// `find` on the real data: names, spelling, questions, filters, facets, options, and what is no question at all.
//
// Which substance a name, an abbreviation or a number means: the CAS registry, the EC inventory and the EU nomenclature of
// ingredients. What a maker would call a useful answer: tests/bench/find_queries.tsv, graded before the engine was asked.
#include "query/find.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "kb/derived.h"
#include "kb/text.h"
#include "query/facts.h"
#include "tests/query/find_base.h"

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

const kb::Catalogue& Catalogue() {
  return RealBase().catalogue;
}

FindAnswer Find(const std::string& words, std::size_t limit = 10, bool typing = false) {
  query::FindQuestion question;
  question.words = words;
  question.limit = limit;
  question.typing = typing;
  return RealBase().finder->Find(RealBase().Index(), question);
}

std::string Id(const Found& found) {
  switch (found.type) {
    case FoundType::kFunction:
      return "function:" + Catalogue().function(static_cast<kb::FunctionIx>(found.ix)).id;
    case FoundType::kInventory:
      return "inventory:" + found.entry.inci;
    case FoundType::kIngredient:
      break;
  }
  return Catalogue().at(found.ix).id;
}

std::vector<std::string> Ids(const FindAnswer& answer) {
  std::vector<std::string> out;
  for (const Found& found : answer.results) out.push_back(Id(found));
  return out;
}

std::string First(const FindAnswer& answer) {
  return answer.results.empty() ? "nothing" : Id(answer.results.front());
}

std::vector<kb::IngredientIx> Ingredients(const FindAnswer& answer) {
  std::vector<kb::IngredientIx> out;
  for (const Found& found : answer.results) {
    if (found.type == FoundType::kIngredient) out.push_back(found.ix);
  }
  return out;
}

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

// --- the command ---

TEST(FindCommand, TakesItsOptions) {
  struct Option {
    const char* name;
    const char* value;
    const char* filter;
  };
  for (const Option& option :
       {Option{"function", "humectant", "function:humectant"},
        Option{"function", "moisture binder", "function:humectant"},
        Option{"phase", "cool-down", "phase:cool-down"}, Option{"solubility", "oil", "solubility:oil"},
        Option{"form", "powder", "form:powder"}, Option{"charge", "cationic", "charge:cationic"},
        Option{"keep", "vegan", "keep:vegan"}, Option{"filter", "ph<4", "ph<4"}}) {
    if (std::string(option.value) == "moisture binder" && !Catalogue().FindFunction("moisture binder"))
      continue;
    const auto json = JsonOf(query::AnswerFind, {{option.name, option.value}, {"limit", "50"}});
    ASSERT_EQ(json["understood"]["filters"].size(), 1U) << option.name;
    EXPECT_EQ(json["understood"]["filters"][0]["filter"], option.filter);
    EXPECT_EQ(json["results"].size(), std::min<std::size_t>(50, json["total"].get<std::size_t>()))
        << option.name;
    ASSERT_FALSE(json["results"].empty()) << option.name;
    const auto filter = kb::ParseSearchFilter(option.filter).value();
    for (const auto& result : json["results"]) {
      const auto ix = Catalogue().FindId(result["id"].get<std::string>());
      if (result["type"] == "function") continue;
      ASSERT_TRUE(ix.has_value());
      EXPECT_TRUE(kb::Holds(Catalogue(), *ix, filter)) << result["id"] << " " << option.filter;
    }
  }
}

TEST(FindCommand, OptionsAndWordsNarrowTogether) {
  const auto json = JsonOf(
      query::AnswerFind,
      {{"q", "emollient"}, {"keep", "vegan"}, {"keep", "palm-free"}, {"form", "liquid"}, {"limit", "5"}});
  EXPECT_EQ(json["results"].size(), 5U);
  EXPECT_EQ(json["understood"]["filters"].size(), 3U);
  EXPECT_GT(json["total"].get<std::size_t>(), 5U);
}

TEST(FindCommand, KeepsTheContract) {
  const auto json = JsonOf(query::AnswerFind, {{"q", "what does a humectant do"}});
  for (const char* name : {"query", "understood", "total", "results", "facets"})
    EXPECT_TRUE(json.contains(name)) << name;
  for (const char* name : {"text", "corrected", "filters"})
    EXPECT_TRUE(json["understood"].contains(name)) << name;
  ASSERT_FALSE(json["results"].empty());
  for (const auto& result : json["results"]) {
    for (const char* name : {"type", "id", "inci", "name", "functions", "why"})
      EXPECT_TRUE(result.contains(name)) << name;
    EXPECT_THAT(result["type"].get<std::string>(), testing::AnyOf("ingredient", "function"));
  }
  EXPECT_EQ(json["results"][0]["type"], "function");
}

TEST(FindCommand, RefusesWhatItDoesNotKnow) {
  const auto refused = [](const Values& values) {
    const auto reply = Ask(query::AnswerFind, values, query::Want::kJson);
    EXPECT_FALSE(reply) << values.front().first;
    return reply ? query::Trouble{} : reply.error();
  };
  EXPECT_THAT(refused({{"q", ""}}).what, HasSubstr("nothing to look for"));
  EXPECT_THAT(refused({{"q", " -- "}}).what, HasSubstr("nothing to look for"));
  EXPECT_THAT(refused({{"keep", "vegn"}, {"q", "wax"}}).nearest, Contains("vegan"));
  EXPECT_THAT(refused({{"form", "powdr"}, {"q", "wax"}}).nearest, Contains("powder"));
  EXPECT_EQ(refused({{"function", "nonesuch"}, {"q", "wax"}}).where, "function");
  EXPECT_EQ(refused({{"filter", "ph<"}, {"q", "wax"}}).where, "filter");
  EXPECT_EQ(refused({{"filter", "nonesuch:x"}, {"q", "wax"}}).where, "filter");
  EXPECT_EQ(refused({{"limit", "0"}, {"q", "wax"}}).where, "limit");
  EXPECT_EQ(refused({{"limit", "many"}, {"q", "wax"}}).where, "limit");
}

TEST(FindCommand, SaysWhereNothingIsFound) {
  const auto reply = Ask(query::AnswerFind, {{"q", "qwxzqwxz"}}, query::Want::kText);
  ASSERT_TRUE(reply);
  EXPECT_FALSE(reply->found);
  EXPECT_THAT(reply->body, HasSubstr("Nothing found"));
}

// --- what is no question ---

TEST(FindGarbage, AnswersCleanly) {
  std::vector<std::string> garbage = {"%",
                                      "< > %",
                                      "((((",
                                      "\"\"\"",
                                      "'; DROP TABLE ingredient; --",
                                      "AND OR NOT XOR NEAR",
                                      "*",
                                      "glyc*",
                                      "+-~^",
                                      std::string("\0", 1),
                                      std::string("gly\0cerin", 9),
                                      "\xFF\xFE\xFD",
                                      "\xC3\x28",
                                      "\xF0\x9F\xA7\xB4",
                                      "gl\xC3",
                                      std::string(10'000, 'a'),
                                      std::string(10'000, ' '),
                                      std::string(10'000, '%'),
                                      std::string(10'000, '\xC3'),
                                      "ph<",
                                      "under %",
                                      "under 99999999999999999999999999 %",
                                      "-1",
                                      "1e308 %",
                                      "0",
                                      "not",
                                      "not not not",
                                      "without",
                                      "for for for",
                                      "alternative to",
                                      "is",
                                      "vs",
                                      "compare",
                                      "free free free"};
  std::string words;
  while (words.size() < 10'000) words += "glycerin wax ";
  garbage.push_back(words);
  std::string marks;
  while (marks.size() < 10'000) marks += "\xE2\x80\x99\xC3\xA4";
  garbage.push_back(marks);
  for (const std::string& text : garbage) {
    for (const bool typing : {false, true}) {
      const FindAnswer answer = Find(text, 10, typing);
      EXPECT_LE(answer.results.size(), 10U);
    }
    // The answer is one JSON document whatever was asked, or it says what was wrong.
    const auto reply = Ask(query::AnswerFind, {{"q", text}}, query::Want::kJson);
    if (reply) {
      EXPECT_FALSE(nlohmann::json::parse(reply->body, nullptr, false).is_discarded()) << text.substr(0, 20);
    } else {
      EXPECT_FALSE(nlohmann::json::parse(query::TroubleJson(reply.error()), nullptr, false).is_discarded());
    }
  }
}

TEST(FindGarbage, BrandsAndStrangersAreNotGuessedFromASingleLetter) {
  EXPECT_THAT(Ids(Find("zzyzx s")), IsEmpty());
}

// --- the inventory ---

TEST(FindInventory, NamesWithoutWorkingDataAreShownAsSuch) {
  for (const char* words :
       {"acetamidoethoxyethanol", "ACETAMIDOETHOXYETHANOL", "118974-46-2", "acetamidoethoxy"}) {
    const FindAnswer answer = Find(words);
    EXPECT_EQ(First(answer), "inventory:ACETAMIDOETHOXYETHANOL") << words;
    EXPECT_EQ(answer.results.front().why, "Named in the EU inventory as humectant; no working data here.")
        << words;
  }
  const auto json = JsonOf(query::AnswerFind, {{"q", "acetamidoethoxyethanol"}});
  EXPECT_EQ(json["results"][0]["working_data"], false);
  EXPECT_EQ(json["results"][0]["id"], "");
}

TEST(FindInventory, AreFoundMisspeltAndHalfTyped) {
  EXPECT_THAT(Ids(Find("astrocaryum", 10, true)), Contains("inventory:ASTROCARYUM VULGARE SEED BUTTER"));
  const FindAnswer answer = Find("astrocarium vulgare seed butter");
  EXPECT_EQ(First(answer), "inventory:ASTROCARYUM VULGARE SEED BUTTER");
  EXPECT_NE(answer.corrected, "");
}

TEST(FindInventory, RecordsOfOursStayOurs) {
  const FindAnswer answer = Find("glycerin", 50);
  EXPECT_EQ(First(answer), "glycerin");
  EXPECT_THAT(Ids(answer), Not(Contains("inventory:GLYCERIN")));
}

TEST(FindInventory, NeverPassAFilterAndNeverStandIn) {
  for (const char* words : {"vegan humectant", "humectant under 2 %", "alternative to glycerin",
                            "instead of shea butter", "water soluble extract"}) {
    for (const Found& found : Find(words, 200).results) EXPECT_NE(found.type, FoundType::kInventory) << words;
  }
  // Nor can they be asked to: there is nothing to reckon with.
  const auto reply = Ask(query::AnswerSwap, {{"name", "acetamidoethoxyethanol"}, {"kind", "leave-on/gel"}},
                         query::Want::kJson);
  EXPECT_FALSE(reply);
}

TEST(FindInventory, HasACardThatSaysSo) {
  const auto json = JsonOf(query::AnswerShow, {{"name", "acetamidoethoxyethanol"}});
  EXPECT_EQ(json["working_data"], false);
  EXPECT_THAT(json["cas"], testing::ElementsAre("118974-46-2"));
  EXPECT_THAT(TextOf(query::AnswerShow, {{"name", "acetamidoethoxyethanol"}}),
              HasSubstr("no working data here"));
}

}  // namespace
}  // namespace find_test
