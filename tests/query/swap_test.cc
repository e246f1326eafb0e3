#include "query/swap.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "query/facts.h"
#include "query/request.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::DemoFormula;
using testing_data::Of;
using testing_data::RealCatalogue;

SwapQuestion QuestionFor(kb::Formula formula, std::size_t line) {
  SwapQuestion question;
  question.setting = formula.name;
  question.formula = std::move(formula);
  question.line = line;
  return question;
}

double Total(const kb::Formula& formula) {
  double total = 0;
  for (const kb::FormulaLine& line : formula.lines) total += line.pct;
  return total;
}

class DemoFormulas : public testing::TestWithParam<const char*> {};

// Laws that hold for every line of every demo formula.
TEST_P(DemoFormulas, EverySwapConservesTheWholeAndRemovesWhatIsMissing) {
  const kb::Formula formula = DemoFormula(GetParam());
  for (std::size_t line = 0; line < formula.lines.size(); ++line) {
    const SwapAnswer answer = Swap(RealCatalogue(), QuestionFor(formula, line));
    const std::string missing = RealCatalogue().at(answer.missing).id;
    double weights = 0;
    for (const Role& role : answer.roles) weights += role.weight;
    EXPECT_NEAR(weights, 1, 1e-9) << missing;
    for (const StandIn& item : answer.stand_ins) {
      const std::string stand_in = RealCatalogue().at(item.blend.front().ingredient).id;
      EXPECT_NEAR(Total(item.after), 100, 1e-9) << stand_in << " for " << missing;
      EXPECT_TRUE(std::none_of(item.after.lines.begin(), item.after.lines.end(),
                               [&](const kb::FormulaLine& l) { return l.ingredient == answer.missing; }))
          << stand_in << " for " << missing;
      EXPECT_NE(item.fit, Fit::kRuledOut);
      EXPECT_TRUE(
          std::none_of(answer.ruled_out.begin(), answer.ruled_out.end(),
                       [&](const RuledOut& out) { return out.ingredient == item.blend.front().ingredient; }))
          << stand_in << " is both offered and ruled out for " << missing;
      ASSERT_FALSE(item.changes.empty());
      EXPECT_EQ(item.changes.front().topic, "phase-total");
      EXPECT_GE(item.likeness, 0);
      EXPECT_LE(item.likeness, 1);
    }
  }
}

TEST_P(DemoFormulas, NoStandInBreaksALimit) {
  const kb::Formula formula = DemoFormula(GetParam());
  for (std::size_t line = 0; line < formula.lines.size(); ++line) {
    const SwapAnswer answer = Swap(RealCatalogue(), QuestionFor(formula, line));
    for (const StandIn& item : answer.stand_ins) {
      for (const LimitUse& use : Assess(RealCatalogue(), item.after).limits) {
        EXPECT_FALSE(use.binds && (use.over || use.prohibited))
            << RealCatalogue().at(item.blend.front().ingredient).id << ": " << use.substance << ' '
            << use.pct;
      }
    }
  }
}

INSTANTIATE_TEST_SUITE_P(All, DemoFormulas,
                         testing::Values("hand-cream", "gardeners-balm", "potting-shed-shampoo",
                                         "greenhouse-gel-serum"),
                         [](const auto& row) {
                           std::string name = row.param;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

std::size_t LineOf(const kb::Formula& formula, std::string_view id) {
  const IngredientIx ix = Of(id);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (formula.lines[i].ingredient == ix) return i;
  }
  ADD_FAILURE() << id << " is not in the formula";
  return 0;
}

TEST(Swap, AnswersWhyNotForAnyIngredientOfTheBase) {
  const kb::Formula formula = DemoFormula("hand-cream");
  SwapQuestion question = QuestionFor(formula, LineOf(formula, "cetyl-alcohol"));
  question.why_not = {Of("ceteareth-20"), Of("water"), Of("zinc-oxide"), Of("cetyl-alcohol"),
                      Of("cetearyl-alcohol")};
  const SwapAnswer answer = Swap(RealCatalogue(), question);
  for (const IngredientIx ix : question.why_not) {
    const auto found = std::find_if(answer.ruled_out.begin(), answer.ruled_out.end(),
                                    [&](const RuledOut& item) { return item.ingredient == ix; });
    const bool offered =
        std::any_of(answer.stand_ins.begin(), answer.stand_ins.end(),
                    [&](const StandIn& item) { return item.blend.front().ingredient == ix; });
    ASSERT_TRUE(found != answer.ruled_out.end() || offered) << RealCatalogue().at(ix).id;
    if (found != answer.ruled_out.end()) {
      EXPECT_FALSE(found->because.empty());
    }
  }
}

// In a balm panthenol, salts and gums are no oils: nobody has to be told more than once or twice.
TEST(Swap, RulesOutAloudWhatAMakerWouldHaveTried) {
  const auto asked = ReadSwapQuestion(
      RealCatalogue(), {{{"name", "castor oil"}, {"kind", "leave-on/anhydrous"}, {"level", "35"}}, {}, {}});
  ASSERT_TRUE(asked);
  const SwapAnswer answer = Swap(RealCatalogue(), asked->question);
  const auto wrong_side =
      std::count_if(answer.ruled_out.begin(), answer.ruled_out.end(), [](const RuledOut& item) {
        return item.because.find("belongs in water") != std::string::npos ||
               item.because.find("not for anhydrous") != std::string::npos;
      });
  EXPECT_LE(wrong_side, 3);
}

TEST(Swap, ProposesAPairOnce) {
  const kb::Formula formula = DemoFormula("hand-cream");
  for (std::size_t line = 0; line < formula.lines.size(); ++line) {
    if (RealCatalogue().at(formula.lines[line].ingredient).functions.empty()) continue;
    std::set<std::set<IngredientIx>> seen;
    for (const StandIn& item : Swap(RealCatalogue(), QuestionFor(formula, line)).stand_ins) {
      std::set<IngredientIx> parts;
      for (const BlendPart& part : item.blend) parts.insert(part.ingredient);
      EXPECT_TRUE(seen.insert(std::move(parts)).second)
          << RealCatalogue().at(item.blend.front().ingredient).id;
    }
  }
}

TEST(Swap, OffersNoUvFilterForAnother) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (const IngredientIx ix : catalogue.Members(*catalogue.FindFunction("uv-filter"))) {
    const auto asked = ReadSwapQuestion(
        catalogue,
        Params{
            {{"name", catalogue.at(ix).id}, {"kind", "leave-on/sunscreen"}, {"role", "uv-filter"}}, {}, {}});
    if (!asked) continue;  // no typical sunscreen in this catalogue: read without formulas
    const SwapAnswer answer = Swap(catalogue, asked->question);
    EXPECT_EQ(answer.verdict, "do-not-swap") << catalogue.at(ix).id;
    EXPECT_TRUE(answer.stand_ins.empty()) << catalogue.at(ix).id;
  }
}

// Levels by the law of the role; molar masses from the formulas, worked by hand.
TEST(LevelFor, TakesAcidsAndBasesByEquivalents) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const kb::Function& base = catalogue.function(*catalogue.FindFunction("alkaliser"));
  // KOH 56.11 g/mol against NaOH 40.00 g/mol: 1.40 times the weight.
  const Level level =
      LevelFor(catalogue, base, Of("sodium-hydroxide"), 0.5, Of("potassium-hydroxide"), {}, 5.0);
  EXPECT_NEAR(level.pct, 0.5 * 56.106 / 39.997, 0.01) << level.because;
}

TEST(LevelFor, TakesSurfactantsByActiveMatter) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const kb::Function& role = catalogue.function(*catalogue.FindFunction("surfactant-anionic"));
  const double have = ActiveShare(catalogue, Of("sodium-laureth-sulfate"));
  const double gives = ActiveShare(catalogue, Of("sodium-laureth-sulfate-70"));
  EXPECT_LT(have, 0.35);
  EXPECT_GT(gives, 0.65);
  const Level level =
      LevelFor(catalogue, role, Of("sodium-laureth-sulfate"), 20, Of("sodium-laureth-sulfate-70"),
               {kb::Use::kRinseOff, kb::Form::kSurfactant}, 5.5);
  EXPECT_NEAR(level.pct * gives, 20 * have, 0.1) << level.because;
}

TEST(Replace, LeavesTheBalanceToTheQsLine) {
  const kb::Formula formula = testing_data::FormulaOf(
      "# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,5\nA,Xanthan gum,1\n");
  const kb::Formula after = Replace(RealCatalogue(), formula, 1, {{Of("propanediol"), 8}});
  ASSERT_EQ(after.lines.size(), 3U);
  EXPECT_DOUBLE_EQ(after.lines[0].pct, 91);
  EXPECT_TRUE(after.lines[0].rest);
  EXPECT_EQ(after.lines[1].ingredient, Of("propanediol"));
}

TEST(ReadNumber, TakesDecimalCommasAndPercentSignsAndRefusesWords) {
  const auto read = [](const char* text) {
    return ReadNumber(Params{{{"level", text}}, {}, {}}, "level", 0, 100);
  };
  EXPECT_DOUBLE_EQ(read("2,5 %").value().value(), 2.5);
  EXPECT_DOUBLE_EQ(read("3").value().value(), 3);
  EXPECT_FALSE(read("").value().has_value());
  for (const char* bad : {"two", "2 5", "-1", "101", "nan", "inf", "%", "2.5.1"})
    EXPECT_FALSE(read(bad)) << bad;
}

}  // namespace
}  // namespace query
