// The weighing sheet: masses that add up, what a scale cannot show, and the order of making.
#include "query/weigh.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <vector>

#include "query/render_assess.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::DemoFormula;
using testing_data::FormulaOf;
using testing_data::Of;
using testing_data::RealCatalogue;

constexpr const char* kDemos[] = {"hand-cream", "gardeners-balm", "potting-shed-shampoo",
                                  "greenhouse-gel-serum"};

WeighSheet SheetOf(const kb::Formula& formula, double batch_g, double scale_g) {
  auto sheet = Weigh(RealCatalogue(), formula, Assess(RealCatalogue(), formula), batch_g, scale_g);
  EXPECT_TRUE(sheet) << sheet.error();
  return sheet ? std::move(*sheet) : WeighSheet{};
}

const WeighLine* LineOf(const WeighSheet& sheet, const kb::Formula& formula, kb::IngredientIx ix) {
  for (const WeighPhase& phase : sheet.phases) {
    for (const WeighLine& line : phase.lines) {
      if (formula.lines[line.line].ingredient == ix) return &line;
    }
  }
  return nullptr;
}

// What a kitchen makes and what a small workshop makes, on scales from 0.01 g to 1 g: the grams add up to the batch, each is a
// whole number of divisions and less than one division from the percentage.
TEST(Weigh, GramsAddUpToTheBatchOnEveryScale) {
  for (const char* name : kDemos) {
    const kb::Formula formula = DemoFormula(name);
    for (const double batch : {50.0, 100.0, 250.0, 333.0, 1000.0, 5000.0}) {
      for (const double scale : {0.01, 0.1, 0.5, 1.0}) {
        const WeighSheet sheet = SheetOf(formula, batch, scale);
        double sum = 0;
        double largest = 0;
        std::size_t lines = 0;
        for (const WeighPhase& phase : sheet.phases) {
          double in_phase = 0;
          for (const WeighLine& line : phase.lines) {
            ++lines;
            in_phase += line.grams;
            const double divisions = line.grams / scale;
            EXPECT_NEAR(divisions, std::round(divisions), 1e-6);
            EXPECT_LT(std::abs(line.grams - line.exact_g), scale * (1 + 1e-9));
            largest = std::max(largest, std::abs(line.error));
          }
          EXPECT_NEAR(in_phase, phase.grams, 1e-6);
          sum += in_phase;
        }
        EXPECT_EQ(lines, formula.lines.size());
        EXPECT_NEAR(sum, batch, 1e-6) << name << ' ' << batch << " g by " << scale << " g";
        EXPECT_NEAR(std::abs(sheet.largest_error), largest, 1e-12);
      }
    }
  }
}

// By hand: 0.2 % of 50 g is 0.1 g, a tenth of a 1 g division; 0.1 g on a scale of 0.01 g is ten divisions, enough.
TEST(Weigh, ALineBelowTheScaleIsToBeDiluted) {
  const kb::Formula formula = DemoFormula("hand-cream");
  const kb::IngredientIx gum = Of("xanthan-gum");
  const WeighSheet coarse = SheetOf(formula, 50, 1);
  const WeighLine* line = LineOf(coarse, formula, gum);
  ASSERT_NE(line, nullptr);
  EXPECT_NEAR(line->exact_g, 0.1, 1e-12);
  EXPECT_FALSE(line->dilution.empty());
  EXPECT_FALSE(coarse.warnings.empty());
  const WeighSheet fine = SheetOf(formula, 50, 0.01);
  line = LineOf(fine, formula, gum);
  ASSERT_NE(line, nullptr);
  EXPECT_TRUE(line->dilution.empty()) << line->dilution;
}

TEST(Weigh, PhasesComeInOrderWithTheirTemperatures) {
  const kb::Formula formula = DemoFormula("hand-cream");
  const WeighSheet sheet = SheetOf(formula, 500, 0.1);
  ASSERT_EQ(sheet.phases.size(), 3U);
  EXPECT_EQ(sheet.phases[0].phase, "A");
  // An emulsion's phases meet at one temperature, hot enough for the emulsifier and the fatty alcohol (cetyl alcohol melts at 49 C).
  ASSERT_TRUE(sheet.phases[0].heat_to_c && sheet.phases[1].heat_to_c);
  EXPECT_EQ(*sheet.phases[0].heat_to_c, *sheet.phases[1].heat_to_c);
  EXPECT_GE(*sheet.phases[0].heat_to_c, 55);
  EXPECT_LE(*sheet.phases[0].heat_to_c, 80);
  ASSERT_TRUE(sheet.phases[2].add_below_c);
  EXPECT_LE(*sheet.phases[2].add_below_c, 45);
  const auto step = [&](const std::string& words) {
    const auto found = std::find_if(sheet.steps.begin(), sheet.steps.end(), [&](const std::string& text) {
      return text.find(words) != std::string::npos;
    });
    EXPECT_NE(found, sheet.steps.end()) << words;
    return found - sheet.steps.begin();
  };
  EXPECT_LT(step("Phase A"), step("Phase B"));
  EXPECT_LT(step("Phase B"), step("together hot"));
  EXPECT_LT(step("together hot"), step("Phase C"));
  EXPECT_LT(step("Phase C"), step("Measure the pH"));
  EXPECT_NE(sheet.steps[static_cast<std::size_t>(step("Phase A"))].find("hold for 20 minutes"),
            std::string::npos);
  EXPECT_NE(sheet.steps[static_cast<std::size_t>(step("Measure the pH"))].find("5.2"), std::string::npos);
}

TEST(Weigh, SaysWhatToWear) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on gel\n# target pH: 6\nphase,ingredient,percent\nA,Water,q.s.\nA,Carbomer,0.4\n"
      "B,Phenoxyethanol,1\nC,Sodium hydroxide,0.15\n");
  const WeighSheet sheet = SheetOf(formula, 500, 0.1);
  const auto corrosive = std::find_if(sheet.cautions.begin(), sheet.cautions.end(),
                                      [](const WeighCaution& one) { return one.what == "corrosive"; });
  ASSERT_NE(corrosive, sheet.cautions.end());
  EXPECT_NE(corrosive->gear.find("goggles"), std::string::npos);
  EXPECT_NE(std::find(corrosive->ingredients.begin(), corrosive->ingredients.end(), Of("sodium-hydroxide")),
            corrosive->ingredients.end());
}

TEST(Weigh, CarriesWhatTheCheckStopsFor) {
  const kb::Formula formula =
      FormulaOf("# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Xanthan gum,0.8\n");
  const WeighSheet sheet = SheetOf(formula, 100, 0.1);
  ASSERT_FALSE(sheet.findings.empty());
  EXPECT_EQ(sheet.findings.front().severity, Severity::kStop);
  EXPECT_NE(WeighText(RealCatalogue(), formula, sheet, 80).find("stop"), std::string::npos);
}

TEST(Weigh, RefusesMassesThatMakeNoSheet) {
  const kb::Formula formula = DemoFormula("hand-cream");
  const Assessment assessment = Assess(RealCatalogue(), formula);
  for (const auto& [batch, scale] : std::vector<std::pair<double, double>>{
           {0.5, 0.01}, {2e6, 1}, {100, 1e-6}, {100, 2000}, {100, 10}, {NAN, 0.1}, {100, NAN}}) {
    EXPECT_FALSE(Weigh(RealCatalogue(), formula, assessment, batch, scale)) << batch << ' ' << scale;
  }
}

TEST(ReadMass, TakesUnitsAndRefusesOthers) {
  EXPECT_EQ(ReadMass("500g"), 500);
  EXPECT_EQ(ReadMass("1.5 kg"), 1500);
  EXPECT_EQ(ReadMass("1,5kg"), 1500);
  EXPECT_EQ(ReadMass("250"), 250);
  EXPECT_EQ(ReadMass("10 mg"), 0.01);
  for (const char* bad :
       {"", "g", "-5g", "0", "500 ml", "2 cups", "5 oz", "nan", "inf", "1e400", "5 gg", "5g 3"})
    EXPECT_FALSE(ReadMass(bad)) << bad;
}

// The classical example of the method: 10 seats for votes of 45, 35 and 20 of 100 give 4.5, 3.5 and 2.0; equal remainders go to
// the earlier ones.
TEST(LargestRemainders, ShareOutWithoutLoss) {
  EXPECT_EQ(LargestRemainders({45, 35, 20}, 10), (std::vector<long long>{5, 3, 2}));
  EXPECT_EQ(LargestRemainders({1, 1, 1}, 100), (std::vector<long long>{34, 33, 33}));
  const auto counts = LargestRemainders({0.1, 0.2, 99.7}, 7);
  EXPECT_EQ(std::accumulate(counts.begin(), counts.end(), 0LL), 7);
}

}  // namespace
}  // namespace query
