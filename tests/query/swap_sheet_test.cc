// Sheets of whole formulas, what a reader of them must hear, and several ingredients missing at once.
#include <gtest/gtest.h>

#include <algorithm>

#include "query/sheet.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::DemoFormula;
using testing_data::Of;
using testing_data::RealCatalogue;

bool Holds(const kb::Formula& formula, IngredientIx ix) {
  return std::any_of(formula.lines.begin(), formula.lines.end(),
                     [&](const kb::FormulaLine& line) { return line.ingredient == ix; });
}

TEST(Sheet, HasEveryLineInTheFormulasOrderWithThreeStandInsAtMost) {
  for (const char* name : {"hand-cream", "potting-shed-shampoo"}) {
    const kb::Formula formula = DemoFormula(name);
    const Sheet sheet = MakeSheet(RealCatalogue(), formula, {});
    ASSERT_EQ(sheet.lines.size(), formula.lines.size());
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
      EXPECT_EQ(sheet.lines[i].line, i);
      EXPECT_LE(sheet.lines[i].stand_ins.size(), 3U);
      EXPECT_TRUE(!sheet.lines[i].stand_ins.empty() || !sheet.lines[i].because.empty());
      for (const StandIn& item : sheet.lines[i].stand_ins) {
        EXPECT_GT(item.level_pct, 0);
        EXPECT_FALSE(ChangeThatMatters(item).empty());
      }
    }
  }
}

TEST(ChangeThatMatters, TakesTheWorstAndThenWhatAMakerNotices) {
  StandIn item;
  item.changes = {{"phase-total", "phase A stays", "70.00", "70.00", "%", Severity::kNote},
                  {"feel", "greasier", "", "", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "greasier");
  item.changes.push_back({"ph", "the pH rises", "5.0", "5.2", "", Severity::kNote});
  EXPECT_EQ(ChangeThatMatters(item), "the pH rises");
  item.changes.push_back({"preservation", "nothing left covers mould", "", "", "", Severity::kStop});
  EXPECT_EQ(ChangeThatMatters(item), "nothing left covers mould");
}

// Required HLB is found by trying blends a unit apart: a fifth of a unit is no news.
TEST(ChangeThatMatters, LeavesOutASmallShiftOfTheHlb) {
  StandIn item;
  item.handling = {"heat it to 70 C"};
  item.changes = {{"hlb", "asks for HLB 7.3 instead of 7.1", "7.1", "7.3", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "heat it to 70 C");
  item.changes = {{"hlb", "asks for HLB 8.1 instead of 7.1", "7.1", "8.1", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "asks for HLB 8.1 instead of 7.1");
  item.changes = {{"hlb", "asks for HLB 8.1 instead of not known", "not known", "8.1", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "asks for HLB 8.1 instead of not known");
}

TEST(SwapSeveral, TakesNoneOfTheMissingForAnother) {
  SwapQuestion question;
  question.formula = DemoFormula("hand-cream");
  const std::vector<IngredientIx> missing = {Of("cetyl-alcohol"), Of("glycerin"), Of("shea-butter")};
  const SeveralAnswer answer = SwapSeveral(RealCatalogue(), question, missing);
  ASSERT_EQ(answer.each.size(), missing.size());
  EXPECT_TRUE(answer.complete);
  double total = 0;
  for (const kb::FormulaLine& line : answer.after.lines) total += line.pct;
  EXPECT_NEAR(total, 100, 1e-9);
  for (const IngredientIx ix : missing) EXPECT_FALSE(Holds(answer.after, ix)) << RealCatalogue().at(ix).id;
  for (const SwapAnswer& one : answer.each) {
    for (const StandIn& item : one.stand_ins) {
      for (const BlendPart& part : item.blend) {
        EXPECT_EQ(std::count(missing.begin(), missing.end(), part.ingredient), 0)
            << RealCatalogue().at(part.ingredient).id;
      }
    }
  }
  ASSERT_FALSE(answer.changes.empty());
  EXPECT_EQ(answer.changes.front().topic, "phase-total");
}

}  // namespace
}  // namespace query
