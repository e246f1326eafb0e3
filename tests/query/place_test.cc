// Where things go in: worked examples, trade rules and laws.
//
// Expected positions are common practice of the trade, row by row; temperatures beside them are the lowest that our references
// state for the ingredient. Solubility classes are those of Ph. Eur. General Notices 1.4.
#include "query/place.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>

#include "query/place_parts.h"
#include "query/place_request.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing::AnyOf;
using testing::HasSubstr;
using testing::Not;
using testing_data::Of;
using testing_data::RealCatalogue;
using Words = std::vector<std::pair<std::string, std::string>>;

Placement Ask(Words values) {
  const auto asked = ReadPlaceQuestion(RealCatalogue(), Params{std::move(values), {}, {}});
  if (!asked) {
    ADD_FAILURE() << asked.error().what << "; expected " << asked.error().expected;
    return {};
  }
  return Place(RealCatalogue(), asked->question);
}

Placement Stranger(const std::string& facts, const std::string& kind = "leave-on/emulsion-ow",
                   const std::string& level = "1") {
  return Ask({{"described", facts}, {"kind", kind}, {"level", level}});
}

std::string At(const Placement& placement) {
  return std::string(PositionId(placement.position));
}

kb::Formula Typical(const std::string& kind) {
  const auto setting = ReadSetting(RealCatalogue(), Params{{{"kind", kind}}, {}, {}});
  EXPECT_TRUE(setting) << kind;
  return setting ? setting->formula : kb::Formula{};
}

// --- worked examples ----------------------------------------------------------------------------------------------------

struct Worked {
  const char* asked;
  const char* position;
  std::vector<std::string> also;
  double most_c;        // it is never advised hotter than this
  const char* mention;  // a word of what the answer has to say
};

const std::vector<Worked>& WorkedExamples() {
  static const std::vector<Worked> examples = {
      {"gellan gum", "heated-water", {}, 95, "cool-down"},
      {"silica dimethyl silylate", "disperse-in-oil", {"heated-oil", "cool-down"}, 90, "float"},
      {"silica microspheres", "cool-down", {"disperse-in-oil", "slurry", "disperse-in-glycol"}, 80, "mask"},
      {"sulfur powder", "slurry", {"disperse-in-glycol", "disperse-in-oil", "cool-down"}, 40, "limits vary"},
      {"ascorbyl palmitate", "heated-oil", {"cool-down"}, 80, "Not water-soluble"},
      {"sodium stearoyl glutamate", "heated-water", {"heated-oil"}, 85, "pH 5"},
      {"dl panthenol powder", "heated-water", {"cool-down-water", "cool-down"}, 70, "half"},
      {"ascorbic acid powder", "cool-down-water", {"cool-down"}, 40, "metal"},
      {"retinol 10% in oil", "cool-down", {"disperse-in-oil"}, 40, "EU"},
      {"ferulic acid", "disperse-in-glycol", {}, 80, "pH"},
      {"kojic acid", "cool-down-water", {"cool-down", "heated-water"}, 40, "1 %"},
      {"bromelain", "cool-down-water", {"cool-down", "slurry"}, 40, "cold"},
      {"PEG 12 dimethicone", "cool-down", {"heated-water", "cool-down-water"}, 60, "water phase"},
      {"water soluble lanolin", "heated-water", {"cool-down"}, 80, "ool"},
  };
  return examples;
}

TEST(PlaceExamples, AnswersTheWorkedExamples) {
  int exact = 0;
  for (const Worked& example : WorkedExamples()) {
    const Placement answer = Ask({{"name", example.asked}});
    const bool second = std::find(example.also.begin(), example.also.end(), At(answer)) != example.also.end();
    EXPECT_TRUE(At(answer) == example.position || second) << example.asked << " goes into " << At(answer);
    exact += At(answer) == example.position ? 1 : 0;
    EXPECT_LE(answer.max_c, example.most_c) << example.asked;
    std::string all = answer.method;
    for (const std::string& text : answer.watch) all += ' ' + text;
    EXPECT_THAT(all, HasSubstr(example.mention)) << example.asked;
  }
  EXPECT_GE(exact, 12);
}

std::string Hyphenated(std::string text) {
  std::replace(text.begin(), text.end(), ' ', '-');
  return text;
}

TEST(PlaceExamples, AnswersTheExamplesBesideTheProject) {
  std::ifstream file(STILLROOM_SOURCE_DIR "/../shared/examples/place_examples.jsonl");
  if (!file) GTEST_SKIP() << "no ../shared/examples/place_examples.jsonl here";
  std::string line;
  int all = 0, exact = 0;
  while (std::getline(file, line)) {
    const auto example = nlohmann::json::parse(line);
    const std::string query = example.at("query");
    const Placement answer = Ask({{"name", query}});
    const std::string wanted = Hyphenated(example.at("expected_phase"));
    bool second = false;
    for (const std::string also : example.at("also_ok")) second = second || Hyphenated(also) == At(answer);
    EXPECT_TRUE(At(answer) == wanted || second) << query << " goes into " << At(answer);
    EXPECT_LE(answer.max_c, example.at("max_temperature_c").get<double>()) << query;
    if (example.contains("min_temperature_c")) {
      EXPECT_GE(answer.min_c, example.at("min_temperature_c").get<double>()) << query;
    }
    ++all;
    exact += At(answer) == wanted ? 1 : 0;
  }
  EXPECT_GE(all, 14);
  EXPECT_GE(exact, all - 2);
}

// --- laws over every record ---------------------------------------------------------------------------------------------

std::optional<double> LowestMaximum(kb::IngredientIx ix) {
  std::optional<double> lowest;
  for (const kb::Fact& fact : RealCatalogue().Facts(ix, "max_c")) {
    if (fact.number && (!lowest || fact.number->low < *lowest)) lowest = fact.number->low;
  }
  return lowest;
}

class EveryRecord : public testing::TestWithParam<const char*> {};

TEST_P(EveryRecord, IsNeverAdvisedHotterThanItStands) {
  PlaceQuestion question;
  question.formula = Typical(GetParam());
  for (kb::IngredientIx ix = 0; ix < RealCatalogue().ingredients().size(); ++ix) {
    question.ingredient = ix;
    const Placement answer = Place(RealCatalogue(), question, PlaceDepth::kWithoutTests);
    const std::string& id = RealCatalogue().at(ix).id;
    EXPECT_LE(answer.min_c, answer.max_c) << id;
    const auto most = LowestMaximum(ix);
    if (!most) continue;
    EXPECT_LE(answer.max_c, *most) << id;
    // 45 C: nothing that stands no more sees a heated phase.
    if (*most <= 45) {
      EXPECT_FALSE(IsHeated(answer.position)) << id;
    }
  }
}

TEST_P(EveryRecord, TellsNothingInsolubleToDissolve) {
  const kb::Catalogue& catalogue = RealCatalogue();
  PlaceQuestion question;
  question.formula = Typical(GetParam());
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    question.ingredient = ix;
    const bool by_base =
        catalogue.Says(ix, "how_in", "neutralise") || catalogue.Says(ix, "neutralise", "yes");
    // Figures may show that the little that is used does dissolve.
    if (catalogue.Choice(ix, "in_water") != "insoluble" || by_base ||
        catalogue.Best(ix, "water_g_per_l") != nullptr)
      continue;
    const Placement answer = Place(catalogue, question, PlaceDepth::kWithoutTests);
    EXPECT_NE(At(answer), "cool-down-water") << catalogue.at(ix).id;
    if (At(answer) == "heated-water") {
      EXPECT_THAT(answer.method, Not(HasSubstr("dissolve"))) << catalogue.at(ix).id;
    }
  }
}

TEST_P(EveryRecord, GetsSharesThatSumToOneAndRivalsThatAreOpen) {
  PlaceQuestion question;
  question.formula = Typical(GetParam());
  for (kb::IngredientIx ix = 0; ix < RealCatalogue().ingredients().size(); ++ix) {
    question.ingredient = ix;
    const Placement answer = Place(RealCatalogue(), question, PlaceDepth::kWithoutTests);
    double sum = 0;
    for (const double share : answer.shares) sum += share;
    const std::string& id = RealCatalogue().at(ix).id;
    EXPECT_NEAR(sum, 1, 1e-9) << id;
    EXPECT_GT(answer.confidence, 0) << id;
    EXPECT_LT(answer.confidence, 1) << id;
    EXPECT_FALSE(answer.because.empty()) << id;
    EXPECT_FALSE(answer.method.empty()) << id;
    for (const SecondPlace& second : answer.second) {
      EXPECT_NE(second.position, answer.position) << id;
      EXPECT_GT(second.share, 0) << id;
      EXPECT_LE(second.share, answer.shares[static_cast<std::size_t>(answer.position)]) << id;
      EXPECT_FALSE(second.because.empty()) << id;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Kinds, EveryRecord,
                         testing::Values("leave-on/emulsion-ow", "leave-on/gel", "leave-on/anhydrous",
                                         "rinse-off/surfactant"),
                         [](const auto& row) {
                           std::string name = row.param;
                           std::replace_if(
                               name.begin(), name.end(), [](char c) { return c == '-' || c == '/'; }, '_');
                           return name;
                         });

// With and without the words that an answer needs, the same is found.
TEST(Place, WeighsTheSameWithoutWords) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const placing::Rulebook rules(catalogue);
  for (const char* kind : {"leave-on/emulsion-ow", "leave-on/gel", "rinse-off/surfactant"}) {
    const kb::Formula formula = Typical(kind);
    for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
      const Room room = RoomOf(catalogue, formula, ix);
      const placing::Case told = placing::MakeCase(catalogue, rules, TraitsOf(catalogue, ix), room, 2);
      const placing::Case bare = placing::MakeCase(catalogue, rules, ix, room, 2);
      const placing::Weighing a = placing::Weigh(told);
      const placing::Weighing b = placing::Weigh(bare, placing::Words::kWithout);
      ASSERT_EQ(a.score, b.score) << catalogue.at(ix).id;
      ASSERT_EQ(a.out, b.out) << catalogue.at(ix).id;
      ASSERT_EQ(a.best, b.best) << catalogue.at(ix).id;
      EXPECT_EQ(a.usual, b.usual) << catalogue.at(ix).id;
      EXPECT_EQ(placing::NumberOf(told, placing::Name::kMaxC), placing::NumberOf(bare, placing::Name::kMaxC));
      EXPECT_EQ(placing::NumberOf(told, placing::Name::kNeedsC),
                placing::NumberOf(bare, placing::Name::kNeedsC));
    }
  }
}

TEST(Place, IsDeterministic) {
  PlaceQuestion question;
  question.formula = Typical("leave-on/emulsion-ow");
  for (kb::IngredientIx ix = 0; ix < RealCatalogue().ingredients().size(); ix += 7) {
    question.ingredient = ix;
    const Placement once = Place(RealCatalogue(), question);
    const Placement again = Place(RealCatalogue(), question);
    EXPECT_EQ(once.position, again.position);
    EXPECT_EQ(once.shares, again.shares);
    EXPECT_EQ(once.method, again.method);
    EXPECT_EQ(once.because, again.because);
    EXPECT_EQ(once.watch, again.watch);
  }
}

// More facts: the confidence rises, or the answer shows what made it fall.
TEST(Place, LosesConfidenceOnlyForAReasonThatItShows) {
  std::mt19937 random(7);
  const kb::Catalogue& catalogue = RealCatalogue();
  PlaceQuestion few, more;
  few.formula = more.formula = Typical("leave-on/emulsion-ow");
  few.level = more.level = 1;
  int fell = 0, rose = 0;
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ix += 3) {
    Traits facts = TraitsOf(catalogue, ix);
    std::erase_if(facts, [](const Trait& trait) { return trait.property == "phase"; });
    std::shuffle(facts.begin(), facts.end(), random);
    few.described.clear();
    more.described.clear();
    Placement before = Place(catalogue, few, PlaceDepth::kWithoutTests);
    for (const Trait& fact : facts) {
      more.described.push_back(fact);
      Placement after = Place(catalogue, more, PlaceDepth::kWithoutTests);
      rose += after.confidence > before.confidence ? 1 : 0;
      if (after.confidence < before.confidence - 1e-12) {
        ++fell;
        const auto is_new = [&](const std::string& text) {
          const auto held = [&](const std::vector<std::string>& list) {
            return std::find(list.begin(), list.end(), text) != list.end();
          };
          return !held(before.against) && !held(before.because);
        };
        EXPECT_TRUE(std::any_of(after.against.begin(), after.against.end(), is_new) ||
                    std::any_of(after.because.begin(), after.because.end(), is_new))
            << catalogue.at(ix).id << ": " << fact.property << " lowered the confidence from "
            << before.confidence << " for " << At(before) << " to " << after.confidence << " for "
            << At(after) << " and the answer does not say why: " << testing::PrintToString(after.because)
            << testing::PrintToString(after.against);
      }
      before = std::move(after);
    }
  }
  EXPECT_GT(rose, fell) << "facts inform";
}

// The same for strangers whose facts nobody's record holds together. Where the position stays and its confidence falls, something
// new speaks against it; where another position is first now, something new speaks for that one or against the old.
TEST(Place, LosesNoConfidenceSilentlyOverStrangeStrangers) {
  const std::vector<std::vector<const char*>> facts = {
      {"form=powder", "form=crystals", "form=flakes", "form=solid", "form=paste", "form=liquid"},
      {"in_water=dissolves", "in_water=disperses", "in_water=swells", "in_water=insoluble",
       "in_water=reacts"},
      {"in_oil=dissolves", "in_oil=disperses", "in_oil=swells", "in_oil=insoluble", "in_oil=polar"},
      {"in_glycol=dissolves", "in_glycol=insoluble"},
      {"water_class=freely-soluble", "water_class=soluble", "water_class=slightly-soluble"},
      {"water_g_per_l=0.3", "water_g_per_l=8", "water_g_per_l=12", "water_g_per_l=200"},
      {"water_g_per_l=900@80", "water_g_per_l=15@70"},
      {"melting_c=45", "melting_c=68", "melting_c=230"},
      {"needs_c=25", "needs_c=60", "needs_c=85"},
      {"max_c=35", "max_c=55", "max_c=90"},
      {"log_p=-2", "log_p=1.5", "log_p=6"},
      {"molar_mass=180", "molar_mass=5000"},
      {"class=gum", "class=silica", "class=starch", "class=retinoid", "class=pigment", "class=ester",
       "class=protein", "class=phenolic", "class=acrylate"},
      {"function=preservative", "function=antioxidant", "function=chelating-agent", "function=fragrance",
       "function=emulsifier-ow", "function=absorbent-powder"},
      {"lumps=yes", "lumps=no"},
      {"how_in=melt", "how_in=last", "how_in=neutralise", "how_in=pre-disperse"},
      {"keeps=fragile", "keeps=stable"},
      {"stays_on=evaporates"},
      {"neutralise=yes"},
      {"polymer=yes", "polymer=no"},
      {"absorbs_oil=high"},
  };
  const kb::Catalogue& catalogue = RealCatalogue();
  std::mt19937 random(11);
  int fell = 0;
  for (int stranger = 0; stranger < 250; ++stranger) {
    std::vector<std::size_t> order(facts.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::shuffle(order.begin(), order.end(), random);
    PlaceQuestion question;
    question.formula = Typical(stranger % 3 == 0 ? "leave-on/gel" : "leave-on/emulsion-ow");
    question.level = stranger % 2 == 0 ? 1.0 : 5.0;
    Placement before = Place(catalogue, question, PlaceDepth::kWithoutTests);
    std::string told;
    for (std::size_t i = 0; i < 10; ++i) {
      const auto& choices = facts[order[i]];
      const char* fact = choices[random() % choices.size()];
      const auto trait = ReadTrait(catalogue, fact);
      ASSERT_TRUE(trait) << fact;
      question.described.push_back(*trait);
      told += std::string(" ") + fact;
      Placement after = Place(catalogue, question, PlaceDepth::kWithoutTests);
      if (after.confidence < before.confidence - 1e-12) {
        ++fell;
        const auto is_new = [&](const std::string& text) {
          const auto held = [&](const std::vector<std::string>& list) {
            return std::find(list.begin(), list.end(), text) != list.end();
          };
          return !held(before.against) && !held(before.because);
        };
        bool shown = std::any_of(after.against.begin(), after.against.end(), is_new);
        if (after.position != before.position)
          shown = shown || std::any_of(after.because.begin(), after.because.end(), is_new);
        EXPECT_TRUE(shown) << told << ": from " << before.confidence << " for " << At(before) << " to "
                           << after.confidence << " for " << At(after);
      }
      before = std::move(after);
    }
  }
  EXPECT_GT(fell, 100);
}

// A stranger with a record's facts, without its usual position, should mostly end where the trade puts it. The aim: three of
// four in the same position, nine of ten in the first two.
TEST(Place, PutsStrangersWhereTheTradePutsThem) {
  const kb::Catalogue& catalogue = RealCatalogue();
  PlaceQuestion question, known;
  question.formula = known.formula = Typical("leave-on/emulsion-ow");
  int all = 0, same = 0, first_two = 0;
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    const kb::Fact* usual = catalogue.Best(ix, "phase");
    if (usual == nullptr) continue;
    known.ingredient = ix;
    question.level = Place(catalogue, known, PlaceDepth::kWithoutTests).level_pct;
    question.described = TraitsOf(catalogue, ix);
    std::erase_if(question.described, [](const Trait& trait) { return trait.property == "phase"; });
    const Placement answer = Place(catalogue, question, PlaceDepth::kWithoutTests);
    ++all;
    same += At(answer) == usual->text ? 1 : 0;
    first_two += At(answer) == usual->text ||
                         (!answer.second.empty() && PositionId(answer.second.front().position) == usual->text)
                     ? 1
                     : 0;
  }
  ASSERT_GT(all, 1000);
  EXPECT_GE(same, 0.75 * all);
  EXPECT_GE(first_two, 0.9 * all);
}

// --- trade rules, common practice ---------------------------------------------------------------------------------------

TEST(PlaceTrade, KeepsWhatHeatSpoilsForTheCoolDown) {
  const kb::Catalogue& catalogue = RealCatalogue();
  PlaceQuestion question;
  question.formula = Typical("leave-on/emulsion-ow");
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    const std::string_view what = catalogue.Choice(ix, "class");
    const bool volatile_one = what == "fragrance" || what == "essential-oil" || what == "cooling-compound";
    const bool living = what == "enzyme" || what == "peptide" || what == "ferment" || what == "retinoid";
    // Gelatin is the protein that has to be dissolved warm.
    const bool protein = what == "protein" && catalogue.at(ix).id != "gelatin";
    if (!volatile_one && !living && !protein) continue;
    question.ingredient = ix;
    EXPECT_THAT(At(Place(catalogue, question, PlaceDepth::kWithoutTests)),
                AnyOf("cool-down", "cool-down-water"))
        << catalogue.at(ix).id;
  }
}

struct TradeRow {
  const char* facts;
  std::vector<const char*> positions;
};

TEST(PlaceTrade, PlacesStrangersByTheRulesOfTheTrade) {
  const std::vector<TradeRow> rows = {
      {"form=liquid function=preservative", {"cool-down"}},
      {"form=liquid class=fragrance", {"cool-down"}},
      {"form=powder class=enzyme water=yes", {"cool-down-water", "cool-down"}},
      {"form=powder class=protein water=yes max_c=45", {"cool-down-water", "cool-down"}},
      {"form=liquid class=peptide water=yes", {"cool-down", "cool-down-water"}},
      {"form=powder class=vitamin water=yes max_c=40", {"cool-down-water"}},
      {"form=liquid class=ferment water=yes", {"cool-down", "cool-down-water"}},
      {"form=powder oil=yes water=no melting_c=65", {"heated-oil"}},
      {"form=flakes oil=yes water=no melting_c=58 needs_c=62", {"heated-oil"}},
      {"form=powder oil=polar water=no melting_c=150 max_c=85", {"heated-oil"}},
      {"form=powder polymer=yes water=swells lumps=yes", {"slurry", "disperse-in-glycol", "disperse-in-oil"}},
      {"form=powder polymer=yes water=swells needs_c=85 oil=no", {"heated-water"}},
      {"form=powder class=pigment water=no oil=disperses", {"disperse-in-oil"}},
      {"form=powder class=treated-silica water=no oil=disperses", {"disperse-in-oil"}},
      {"form=powder class=clay water=swells", {"slurry"}},
      {"form=powder function=chelating-agent water=yes max_c=90", {"heated-water"}},
      {"form=crystals water_class=very-soluble oil=no max_c=90", {"heated-water"}},
      {"form=powder water=no oil=no glycol=yes", {"disperse-in-glycol", "cool-down", "slurry"}},
      {"form=liquid class=silicone oil=yes water=no", {"cool-down"}},
  };
  for (const TradeRow& row : rows) {
    const Placement answer = Stranger(row.facts);
    const bool expected = std::any_of(row.positions.begin(), row.positions.end(),
                                      [&](const char* p) { return At(answer) == p; });
    EXPECT_TRUE(expected) << row.facts << " goes into " << At(answer);
  }
}

TEST(PlaceTrade, HeatsOilSolubleSolidsUntilTheOilIsClear) {
  const Placement answer = Stranger("form=powder oil=yes water=no melting_c=165 max_c=90");
  EXPECT_EQ(At(answer), "heated-oil");
  EXPECT_THAT(answer.method, HasSubstr("clear"));
}

TEST(PlaceTrade, WetsWhatLumpsBeforeItMeetsWater) {
  const Placement answer = Ask({{"name", "xanthan gum"}, {"level", "0.5"}});
  EXPECT_EQ(At(answer), "slurry");
  EXPECT_THAT(answer.method, HasSubstr("2.5 g"));  // five parts of glycerin, and the typical cream holds 4 g
  EXPECT_THAT(answer.method, HasSubstr("Fish eyes"));
}

// --- solubility -----------------------------------------------------------------------------------------------------------

// 8 % in 80 % of water asks for 100 g in a litre. By the classes' bounds (parts of solvent for one of solute, Ph. Eur. 1.4): very
// soluble and freely soluble (up to 10 parts) hold it; soluble (10 to 30 parts, 33 to 100 g/L) may at its end; sparingly soluble
// (10 to 33 g/L) does not at 25 C; from slightly soluble on (10 g/L at most) not even seven times as much, hot, would do.
TEST(PlaceSolubility, FollowsTheClassesOfThePharmacopoeia) {
  Room room;
  room.water = 80;
  room.oil = 15;
  room.process_c = 75;
  const auto verdict = [&](const char* word) {
    Traits traits = {{"water_class", {word}, {}, {}, ""}};
    const placing::Rulebook rules(RealCatalogue());
    const placing::Case given = placing::MakeCase(RealCatalogue(), rules, std::move(traits), room, 8);
    return std::string(placing::ChoiceOf(given, placing::Name::kDissolving));
  };
  EXPECT_EQ(verdict("very-soluble"), "cold");
  EXPECT_EQ(verdict("freely-soluble"), "cold");
  EXPECT_EQ(verdict("soluble"), "borderline");
  EXPECT_EQ(verdict("sparingly-soluble"), "crystals");
  EXPECT_EQ(verdict("slightly-soluble"), "no");
  EXPECT_EQ(verdict("very-slightly-soluble"), "no");
  EXPECT_EQ(verdict("practically-insoluble"), "no");
  EXPECT_EQ(verdict("miscible"), "cold");
}

TEST(PlaceSolubility, DependsOnTheLevel) {
  // Caffeine dissolves to 24 g/L at room temperature (AqSolDB): 0.5 % stays in 73 % of water, 3 % does not.
  const Placement little = Ask({{"name", "caffeine"}, {"level", "0.5"}});
  const Placement much = Ask({{"name", "caffeine"}, {"level", "3"}});
  EXPECT_EQ(At(little), "heated-water");
  EXPECT_THAT(little.watch, Not(testing::Contains(HasSubstr("crystals may come back"))));
  EXPECT_LT(much.shares[0], little.shares[0]);
  EXPECT_THAT(much.against, testing::Contains(HasSubstr("3 % is more than")));
}

TEST(PlaceSolubility, TellsAStrangerThatDoesNotDissolveElsewhere) {
  const Placement answer = Stranger("form=powder water_g_per_l=0.5 melting_c=230 oil=no");
  EXPECT_THAT(At(answer), AnyOf("cool-down", "slurry", "disperse-in-glycol"));
  EXPECT_THAT(answer.because, testing::Contains(HasSubstr("does not dissolve")));
}

// --- in this batch --------------------------------------------------------------------------------------------------------

TEST(PlaceInBatch, SaysWhenNothingThereTakesIt) {
  const Placement answer = Ask({{"name", "niacinamide"}, {"kind", "leave-on/anhydrous"}});
  EXPECT_FALSE(answer.fits);
  EXPECT_THAT(At(answer), Not(AnyOf("heated-water", "cool-down-water")));
  EXPECT_THAT(answer.watch, testing::Contains(HasSubstr("needs water")));
}

TEST(PlaceInBatch, HeatsNoColdGelForWhatDissolvesCold) {
  const kb::Formula gel = testing_data::FormulaOf(
      "# kind: leave-on "
      "gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,5\nA,Niacinamide,4\nA,Xanthan gum,0.5\n");
  const std::vector<Placement> all = PlaceAll(RealCatalogue(), gel);
  ASSERT_EQ(all.size(), 4U);
  EXPECT_EQ(At(all[2]), "cool-down-water");
}

TEST(PlaceInBatch, PlacesEachLineOfAFormula) {
  for (const char* name : {"hand-cream", "gardeners-balm", "potting-shed-shampoo", "greenhouse-gel-serum"}) {
    const kb::Formula formula = testing_data::DemoFormula(name);
    const std::vector<Placement> all = PlaceAll(RealCatalogue(), formula);
    ASSERT_EQ(all.size(), formula.lines.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
      EXPECT_DOUBLE_EQ(all[i].level_pct, formula.lines[i].pct);
      EXPECT_TRUE(all[i].ask.empty());
    }
  }
}

// --- tests to ask for -----------------------------------------------------------------------------------------------------

TEST(PlaceAsks, ForTheFactsThatDecideAndNarrowsWithTheResults) {
  const Placement first = Stranger("form=powder");
  ASSERT_FALSE(first.ask.empty());
  EXPECT_LT(first.confidence, 0.5);
  EXPECT_THAT(first.ask.front().bench_test, HasSubstr(" g "));
  EXPECT_THAT(first.ask.front().bench_test, HasSubstr(" C"));
  EXPECT_THAT(first.ask.front().bench_test, HasSubstr("minutes"));
  for (std::size_t i = 1; i < first.ask.size(); ++i) EXPECT_GE(first.ask[i - 1].bits, first.ask[i].bits);
  const Placement then = Stranger("form=powder in_water=dissolves water_g_per_l=50");
  const Placement last =
      Stranger("form=powder in_water=dissolves water_g_per_l=50 max_c=40 in_oil=insoluble");
  EXPECT_GT(then.confidence, first.confidence);
  EXPECT_GT(last.confidence, then.confidence);
  EXPECT_EQ(At(last), "cool-down-water");
}

TEST(PlaceAsks, NothingThatIsKnown) {
  for (const BenchAsk& ask : Stranger("form=powder water=no oil=no").ask) {
    EXPECT_THAT(ask.fact, Not(HasSubstr("into water")));
    EXPECT_THAT(ask.fact, Not(HasSubstr("into oil")));
  }
}

TEST(PlaceAsks, ForFactsThatTheDescriptionTakes) {
  for (const kb::BenchTest& test : RealCatalogue().placing().tests) {
    EXPECT_GE(test.outcomes.size(), 2U) << test.id;
    for (const kb::BenchOutcome& outcome : test.outcomes) {
      for (const std::string& set : outcome.sets) {
        EXPECT_TRUE(ReadTrait(RealCatalogue(), set)) << test.id << ": " << set;
      }
    }
  }
}

}  // namespace
}  // namespace query
