// Rebalancing after a swap: worked examples by hand, and laws over the formulas of the base with swaps drawn by chance.
//
// Alligation: two emulsifiers of HLB h1 and h2 give T where the first has the share (T - h2) / (h1 - h2): Griffin, J. Soc. Cosmet.
// Chem. 1 (1949) 311. The HLB figures used here are those of data/, stated again in each example.
#include "query/rebalance.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "query/request.h"
#include "query/roles.h"
#include "query/swap.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::FormulaOf;
using testing_data::Of;
using testing_data::RealCatalogue;

std::size_t LineOf(const kb::Formula& formula, std::string_view id) {
  const IngredientIx ix = Of(id);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (formula.lines[i].ingredient == ix) return i;
  }
  ADD_FAILURE() << id << " is not in the formula";
  return 0;
}

double PctOf(const kb::Formula& formula, std::string_view id) {
  return formula.lines[LineOf(formula, id)].pct;
}

double Total(const kb::Formula& formula) {
  double total = 0;
  for (const kb::FormulaLine& line : formula.lines) total += line.pct;
  return total;
}

Rebalanced SwapAndRebalance(const kb::Formula& before, std::string_view gone, std::string_view came,
                            double level, const RebalanceSettings& settings = {}) {
  const kb::Formula after = Replace(RealCatalogue(), before, LineOf(before, gone), {{Of(came), level}});
  return Rebalance(RealCatalogue(), before, Assess(RealCatalogue(), before), after, {Of(came)}, settings);
}

const HeldDemand* Find(const Rebalanced& answer, std::string_view id) {
  const auto found = std::find_if(answer.demands.begin(), answer.demands.end(),
                                  [&](const HeldDemand& one) { return one.id == id; });
  return found == answer.demands.end() ? nullptr : &*found;
}

// --- the emulsifier pair ---

// Polysorbate 80 (HLB 15) and sorbitan oleate (4.3), 4 % together; sweet almond oil asks for 6, isopropyl palmitate for 11.5.
//   asked   (10 * 6 + 5 * 11.5) / 15 = 117.5 / 15 = 7.833
//   split   (7.833 - 4.3) / (15 - 4.3) = 3.533 / 10.7 = 0.3302; of 4 %: 1.321 and 2.679 %
constexpr const char* kPair =
    "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,4\n"
    "B,Polysorbate 80,1.321\nB,Sorbitan oleate,2.679\nB,Sweet almond oil,10\nB,Isopropyl palmitate,5\n";

TEST(Rebalance, TheFiguresOfThePairAreThoseOfTheData) {
  const kb::Catalogue& catalogue = RealCatalogue();
  EXPECT_DOUBLE_EQ(catalogue.Number(Of("polysorbate-80"), "hlb")->mid(), 15);
  EXPECT_DOUBLE_EQ(catalogue.Number(Of("sorbitan-oleate"), "hlb")->mid(), 4.3);
  EXPECT_DOUBLE_EQ(RequiredHlbFact(catalogue, Of("sweet-almond-oil"), false)->number->mid(), 6);
  EXPECT_DOUBLE_EQ(RequiredHlbFact(catalogue, Of("isopropyl-palmitate"), false)->number->mid(), 11.5);
  EXPECT_DOUBLE_EQ(RequiredHlbFact(catalogue, Of("castor-oil"), false)->number->mid(), 14);
}

// Castor oil (14) for the isopropyl palmitate: asked (60 + 5 * 14) / 15 = 8.667, split (8.667 - 4.3) / 10.7 = 0.4081; of 4 %: 1.632
// and 2.368 %. Nothing else moves.
TEST(Rebalance, SplitsTheEmulsifierPairByAlligation) {
  const Rebalanced answer = SwapAndRebalance(FormulaOf(kPair), "isopropyl-palmitate", "castor-oil", 5,
                                             {.hlb_tolerance = 0, .ph_tolerance = 0.15});
  EXPECT_TRUE(answer.met());
  EXPECT_NEAR(PctOf(answer.formula, "polysorbate-80"), 1.632, 0.006);
  EXPECT_NEAR(PctOf(answer.formula, "sorbitan-oleate"), 2.368, 0.006);
  EXPECT_DOUBLE_EQ(PctOf(answer.formula, "sweet-almond-oil"), 10);
  EXPECT_DOUBLE_EQ(PctOf(answer.formula, "castor-oil"), 5);
  EXPECT_DOUBLE_EQ(PctOf(answer.formula, "glycerin"), 4);
  EXPECT_NEAR(PctOf(answer.formula, "water"), 77, 0.011);
  EXPECT_NEAR(Total(answer.formula), 100, 1e-9);
}

// With the half unit that means nothing, the pair has to give 8.667 - 0.5 = 8.167: (8.167 - 4.3) / 10.7 = 0.3614; 1.445 and 2.555 %.
TEST(Rebalance, MovesThePairNoFurtherThanItMatters) {
  const Rebalanced answer = SwapAndRebalance(FormulaOf(kPair), "isopropyl-palmitate", "castor-oil", 5);
  EXPECT_NEAR(PctOf(answer.formula, "polysorbate-80"), 1.445, 0.006);
  EXPECT_NEAR(PctOf(answer.formula, "sorbitan-oleate"), 2.555, 0.006);
  // |1.445 - 1.321| / 1.321 + |2.555 - 2.679| / 2.679 = 0.0939 + 0.0463
  EXPECT_NEAR(answer.cost, 0.1402, 0.006);
}

// Squalane asks for 11 where the palmitate asked for 11.5: 5 * 0.5 / 15 = 0.17 of a unit.
TEST(Rebalance, LeavesThePairForADifferenceThatMeansNothing) {
  const Rebalanced answer = SwapAndRebalance(FormulaOf(kPair), "isopropyl-palmitate", "squalane", 5);
  EXPECT_TRUE(answer.met());
  EXPECT_TRUE(answer.moves.empty());
  EXPECT_EQ(answer.cost, 0);
}

// One emulsifier has one HLB: nothing that is in the formula can bring it to another.
TEST(Rebalance, SaysThatOneEmulsifierCannotFollow) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nB,Polysorbate 80,3\n"
      "B,Castor oil,10\nB,Sweet almond oil,5\n");
  const Rebalanced answer = SwapAndRebalance(formula, "castor-oil", "caprylic-capric-triglyceride", 10);
  EXPECT_FALSE(answer.met());
  const HeldDemand* hlb = Find(answer, "hlb");
  ASSERT_NE(hlb, nullptr);
  EXPECT_FALSE(hlb->met);
  EXPECT_NE(hlb->text.find("second emulsifier of lower HLB"), std::string::npos) << hlb->text;
  EXPECT_NEAR(PctOf(answer.formula, "polysorbate-80"), 3, 1e-9);
  EXPECT_TRUE(Find(answer, "oil-phase")->met);
}

TEST(Rebalance, LeavesEmulsifiersAloneWhereHlbDoesNotSpeak) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nB,Glyceryl stearate citrate,3\n"
      "B,Glyceryl stearate,2\nB,Castor oil,5\nB,Sweet almond oil,10\n");
  const Rebalanced answer = SwapAndRebalance(formula, "castor-oil", "caprylic-capric-triglyceride", 5);
  EXPECT_TRUE(answer.moves.empty());
  EXPECT_EQ(Find(answer, "hlb"), nullptr);
  EXPECT_TRUE(std::any_of(answer.notes.begin(), answer.notes.end(), [](const std::string& note) {
    return note.find("HLB is not held") != std::string::npos;
  }));
}

// --- the oil phase ---

constexpr const char* kOils =
    "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nB,Glyceryl stearate citrate,3\n"
    "B,Castor oil,5\nB,Sweet almond oil,10\nB,Jojoba oil,4\n";

// 3 % for 5 %: 2 % of oil are missing. As a part of its level the almond oil moves least: 2 / 10 against 2 / 4.
TEST(Rebalance, FillsTheOilPhaseFromTheLineThatIsMovedLeast) {
  const Rebalanced answer =
      SwapAndRebalance(FormulaOf(kOils), "castor-oil", "caprylic-capric-triglyceride", 3);
  EXPECT_TRUE(answer.met());
  EXPECT_NEAR(PctOf(answer.formula, "sweet-almond-oil"), 12, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "jojoba-oil"), 4, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "caprylic-capric-triglyceride"), 3, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "water"), 78, 1e-9);
  EXPECT_NEAR(answer.cost, 2.0 / 10, 1e-9);
  ASSERT_EQ(answer.moves.size(), 1U);
  EXPECT_NEAR(answer.moves.front().before_pct, 10, 1e-9);
}

// 19 % of one oil are at most 20 % (its usual level), and the stand-in leaves 5 % missing: 1 % can be made good.
TEST(Rebalance, SaysHowMuchOfTheOilPhaseIsMissing) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nB,Glyceryl stearate citrate,3\n"
      "B,Castor oil,6\nB,Sweet almond oil,19\n");
  ASSERT_EQ(UsualLevel(RealCatalogue(), Of("sweet-almond-oil"), "emollient", formula.kind)->high, 20);
  const Rebalanced answer = SwapAndRebalance(formula, "castor-oil", "jojoba-oil", 1);
  const HeldDemand* oils = Find(answer, "oil-phase");
  ASSERT_NE(oils, nullptr);
  EXPECT_FALSE(oils->met);
  EXPECT_NEAR(oils->before, 25, 1e-6);
  EXPECT_NEAR(oils->after, 21, 1e-6);
  EXPECT_NEAR(PctOf(answer.formula, "sweet-almond-oil"), 20, 1e-9);
  EXPECT_NEAR(Total(answer.formula), 100, 1e-9);
}

// A powder that takes an oil's part: the other oils do not make up for the oil that went.
TEST(Rebalance, AsksForNoOilWhereNoneCameIn) {
  const Rebalanced answer = SwapAndRebalance(FormulaOf(kOils), "castor-oil", "xanthan-gum", 0.3);
  EXPECT_NEAR(PctOf(answer.formula, "sweet-almond-oil"), 10, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "jojoba-oil"), 4, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "water"), 82.7, 1e-9);
}

// 5 % of a cationic of which 75 % are cetearyl alcohol bring 3.75 %; the pure one brings none, and the formula's own 3 % make up for
// it: 6.75 %. The liquid oil beside it stays.
TEST(Rebalance, MakesUpForTheFattyAlcoholThatCameWithABlend) {
  const kb::Formula formula =
      FormulaOf(RealCatalogue().FindFormula("typical", "rinse-off-conditioner")->text);
  ASSERT_DOUBLE_EQ(PctOf(formula, "behentrimonium-methosulfate-25"), 5);
  ASSERT_DOUBLE_EQ(PctOf(formula, "cetearyl-alcohol"), 3);
  const Rebalanced answer =
      SwapAndRebalance(formula, "behentrimonium-methosulfate-25", "behentrimonium-methosulfate", 1.25);
  EXPECT_NEAR(PctOf(answer.formula, "cetearyl-alcohol"), 6.75, 1e-9);
  EXPECT_NEAR(PctOf(answer.formula, "caprylic-capric-triglyceride"), 2, 1e-9);
  EXPECT_NEAR(Total(answer.formula), 100, 1e-9);
}

// --- the law ---

// Phenoxyethanol may be 1 % (Regulation (EC) 1223/2009, Annex V, entry 29). The formula holds 0.9 %, and 0.4 % of a 90:10 blend bring
// 0.36 % more: 0.64 % are left for the line.
TEST(Rebalance, MakesRoomForALimitedSubstanceThatComesTwice) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Xanthan "
      "gum,0.5\nB,Phenoxyethanol,0.9\n"
      "B,Caprylyl glycol,0.5\n");
  const Rebalanced answer =
      SwapAndRebalance(formula, "caprylyl-glycol", "phenoxyethanol-ethylhexylglycerin", 0.4);
  EXPECT_NEAR(PctOf(answer.formula, "phenoxyethanol"), 0.64, 0.002);
  EXPECT_LE(PctOf(answer.formula, "phenoxyethanol") + 0.36, 1 + 1e-9);
  EXPECT_TRUE(Find(answer, "limit")->met);
}

// --- the pH ---

TEST(Rebalance, BringsTheOldPhBackWithTheAcidOfTheFormula) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Xanthan gum,0.5\nA,Glycerin,4\n"
      "B,Sodium benzoate,0.4\nB,Citric acid,0.2\n");
  const double was = *Assess(RealCatalogue(), formula).ph.estimate;
  const kb::Formula swapped =
      Replace(RealCatalogue(), formula, LineOf(formula, "glycerin"), {{Of("sodium-lactate"), 2}});
  const double left_alone = *Assess(RealCatalogue(), swapped).ph.estimate;
  ASSERT_GT(std::abs(left_alone - was), 0.15);
  const Rebalanced answer = SwapAndRebalance(formula, "glycerin", "sodium-lactate", 2);
  const HeldDemand* ph = Find(answer, "ph");
  ASSERT_NE(ph, nullptr);
  const double now = *Assess(RealCatalogue(), answer.formula).ph.estimate;
  EXPECT_NEAR(ph->after, now, 1e-9);
  ASSERT_TRUE(ph->met) << ph->text;
  EXPECT_NEAR(now, was, 0.15);
  EXPECT_GT(PctOf(answer.formula, "citric-acid"), 0.2);  // lactate is a base: it takes more acid
  EXPECT_NEAR(PctOf(answer.formula, "sodium-benzoate"), 0.4, 1e-12);
  EXPECT_NEAR(Total(answer.formula), 100, 1e-9);
}

// --- laws ---

struct Drawn {
  std::string what;
  kb::Formula before, after;
  IngredientIx came = 0;
  Assessment assessed;
  Rebalanced answer;
};

// Every line of every formula that comes with the base, for one ingredient drawn by chance at a level of its own usual range; and,
// since HLB speaks for few of those formulas, every lipid of known required HLB for an oil beside the pair above.
const std::vector<Drawn>& Swaps() {
  static const std::vector<Drawn> all = [] {
    const kb::Catalogue& catalogue = RealCatalogue();
    std::mt19937 draw(23);
    std::vector<Drawn> out;
    for (const kb::SavedFormula& saved : catalogue.formulas()) {
      const auto formula = kb::ReadFormula(catalogue, saved.text);
      if (!formula) continue;
      const Assessment assessed = Assess(catalogue, *formula);
      for (std::size_t line = 0; line < formula->lines.size(); ++line) {
        if (formula->lines[line].rest) continue;
        const auto came = static_cast<IngredientIx>(draw() % catalogue.ingredients().size());
        const auto& functions = catalogue.at(came).functions;
        if (functions.empty() || came == formula->lines[line].ingredient) continue;
        const auto usual =
            UsualLevel(catalogue, came, catalogue.function(functions.front()).id, formula->kind);
        if (!usual) continue;
        const double level =
            std::min(20.0, usual->low + (usual->high - usual->low) * static_cast<double>(draw() % 100) / 100);
        Drawn one{catalogue.at(came).id + " for " + catalogue.at(formula->lines[line].ingredient).id +
                      " in " + saved.id,
                  *formula,
                  Replace(catalogue, *formula, line, {{came, level}}),
                  came,
                  assessed,
                  {}};
        if (std::abs(Total(one.after) - 100) > 1e-6) continue;
        one.answer = Rebalance(catalogue, one.before, assessed, one.after, {came});
        out.push_back(std::move(one));
      }
    }
    const kb::Formula pair = FormulaOf(kPair);
    const Assessment assessed = Assess(catalogue, pair);
    const std::size_t line = LineOf(pair, "isopropyl-palmitate");
    for (IngredientIx came = 0; came < catalogue.ingredients().size(); ++came) {
      if (RequiredHlbFact(catalogue, came, false) == nullptr || came == pair.lines[line].ingredient) continue;
      Drawn one{catalogue.at(came).id + " beside the pair",
                pair,
                Replace(catalogue, pair, line, {{came, 5}}),
                came,
                assessed,
                {}};
      one.answer = Rebalance(catalogue, one.before, assessed, one.after, {came});
      out.push_back(std::move(one));
    }
    return out;
  }();
  return all;
}

TEST(RebalanceLaws, TheWholeIsAHundredAndNothingIsNegative) {
  ASSERT_GT(Swaps().size(), 100U);
  for (const Drawn& one : Swaps()) {
    SCOPED_TRACE(one.what);
    EXPECT_NEAR(Total(one.answer.formula), 100, 1e-9);
    ASSERT_EQ(one.answer.formula.lines.size(), one.after.lines.size());
    for (std::size_t i = 0; i < one.after.lines.size(); ++i) {
      EXPECT_GE(one.answer.formula.lines[i].pct, 0);
      EXPECT_EQ(one.answer.formula.lines[i].ingredient, one.after.lines[i].ingredient);
    }
  }
}

TEST(RebalanceLaws, WhatMovesStaysInItsUsualRangeOrWhereItWas) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (const Drawn& one : Swaps()) {
    SCOPED_TRACE(one.what);
    for (const Move& move : one.answer.moves) {
      const kb::FormulaLine& line = one.answer.formula.lines[move.line];
      if (move.balance || catalogue.HasFunction(line.ingredient, "acidifier") ||
          catalogue.HasFunction(line.ingredient, "alkaliser") ||
          catalogue.HasFunction(line.ingredient, "buffer"))
        continue;
      SCOPED_TRACE(catalogue.at(line.ingredient).id);
      const auto roles = RolesOf(catalogue, one.after, move.line);
      const auto usual = UsualLevel(catalogue, line.ingredient, catalogue.function(roles.front().function).id,
                                    one.after.kind);
      ASSERT_TRUE(usual);
      EXPECT_GE(line.pct, std::min(move.before_pct, usual->low) - 1e-9);
      EXPECT_LE(line.pct, std::max(move.before_pct, usual->high) + 1e-9);
      EXPECT_GE(line.pct, 0.5 * move.before_pct - 1e-9);
      EXPECT_NE(line.ingredient, one.came);
    }
  }
}

TEST(RebalanceLaws, NoLimitIsPassedThatWasKeptBeforeUnlessItIsSaid) {
  for (const Drawn& one : Swaps()) {
    SCOPED_TRACE(one.what);
    const HeldDemand* limit = Find(one.answer, "limit");
    if (limit != nullptr && !limit->met) continue;
    for (const LimitUse& use : Assess(RealCatalogue(), one.answer.formula, Depth::kForDiff).limits) {
      if (!use.binds || (!use.over && !use.prohibited)) continue;
      EXPECT_TRUE(std::any_of(one.assessed.limits.begin(), one.assessed.limits.end(),
                              [&](const LimitUse& old) {
                                return old.entry == use.entry && old.annex == use.annex &&
                                       old.scope == use.scope && old.pct >= use.pct - 1e-6;
                              }))
          << use.substance << ' ' << use.pct;
    }
  }
}

TEST(RebalanceLaws, WhatIsCalledKeptIsKeptByTheAssessment) {
  std::size_t oils = 0;
  std::size_t gaps = 0;
  for (const Drawn& one : Swaps()) {
    SCOPED_TRACE(one.what);
    const Assessment now = Assess(RealCatalogue(), one.answer.formula, Depth::kForDiff);
    if (const HeldDemand* oil = Find(one.answer, "oil-phase"); oil != nullptr && oil->met) {
      ++oils;
      EXPECT_NEAR(now.composition.oils, oil->before, 0.05);
      EXPECT_LE(oil->before, one.assessed.composition.oils + 1e-9);
    }
    if (const HeldDemand* hlb = Find(one.answer, "hlb"); hlb != nullptr && hlb->met) {
      ++gaps;
      const double was = *one.assessed.emulsion.provided_hlb - *one.assessed.emulsion.required_hlb;
      const double is = *now.emulsion.provided_hlb - *now.emulsion.required_hlb;
      EXPECT_GE(is, std::min(was, 0.0) - 0.55);
      EXPECT_LE(is, std::max(was, 0.0) + 0.55);
    }
    for (const HeldDemand& demand : one.answer.demands) EXPECT_FALSE(demand.text.empty());
  }
  EXPECT_GT(oils, 20U);
  EXPECT_GT(gaps, 40U);
}

// Where water alone meets every demand, nothing else is moved.
TEST(RebalanceLaws, IsNeverDearerThanWaterAlone) {
  std::size_t enough = 0;
  for (const Drawn& one : Swaps()) {
    const Assessment now = Assess(RealCatalogue(), one.after, Depth::kForDiff);
    const Emulsion& old_emulsion = one.assessed.emulsion;
    const bool oils = !kb::IsEmulsion(one.after.kind.form) ||
                      std::abs(now.composition.oils - one.assessed.composition.oils) < 0.001;
    const bool hlb = !old_emulsion.applies || !now.emulsion.applies ||
                     std::abs((*now.emulsion.provided_hlb - *now.emulsion.required_hlb) -
                              (*old_emulsion.provided_hlb - *old_emulsion.required_hlb)) < 0.5;
    const bool ph = !one.assessed.ph.estimate || !now.ph.estimate ||
                    std::abs(*now.ph.estimate - *one.assessed.ph.estimate) < 0.15;
    const bool law = std::none_of(now.limits.begin(), now.limits.end(), [](const LimitUse& use) {
      return use.binds && (use.over || use.prohibited);
    });
    if (!oils || !hlb || !ph || !law || !one.after.BalanceLine(RealCatalogue())) continue;
    ++enough;
    SCOPED_TRACE(one.what);
    for (const Move& move : one.answer.moves) EXPECT_TRUE(move.balance);
    EXPECT_LT(one.answer.cost, 0.01);
  }
  EXPECT_GT(enough, 30U);
}

// --- as asked for ---

TEST(SwapRebalanced, GivesTheRebalancedFormulaAndItsChanges) {
  Params params;
  params.values = {{"name", "cetyl alcohol"}, {"rebalance", "1"}, {"limit", "4"}};
  params.formula_text = RealCatalogue().FindFormula("demo", "hand-cream")->text;
  auto asked = ReadSwapQuestion(RealCatalogue(), params);
  ASSERT_TRUE(asked);
  const SwapAnswer with = Swap(RealCatalogue(), asked->question);
  asked->question.rebalance = false;
  const SwapAnswer without = Swap(RealCatalogue(), asked->question);
  ASSERT_EQ(with.stand_ins.size(), without.stand_ins.size());
  for (std::size_t i = 0; i < with.stand_ins.size(); ++i) {
    const StandIn& item = with.stand_ins[i];
    EXPECT_EQ(item.blend.front().ingredient, without.stand_ins[i].blend.front().ingredient);
    EXPECT_FALSE(without.stand_ins[i].rebalanced);
    ASSERT_TRUE(item.rebalanced);
    EXPECT_NEAR(Total(item.after), 100, 1e-9);
    EXPECT_EQ(kb::WriteFormula(RealCatalogue(), item.after),
              kb::WriteFormula(RealCatalogue(), item.rebalanced->formula));
    ASSERT_FALSE(item.changes.empty());
    EXPECT_EQ(item.changes.front().topic, "phase-total");
  }
}

TEST(SwapRebalanced, RefusesAWordThatIsNeitherYesNorNo) {
  const auto asked =
      ReadSwapQuestion(RealCatalogue(), {{{"name", "glycerin"}, {"rebalance", "perhaps"}}, {}, {}});
  ASSERT_FALSE(asked);
  EXPECT_EQ(asked.error().where, "rebalance");
}

}  // namespace
}  // namespace query
