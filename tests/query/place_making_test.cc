// One truth of placing: what `place` says of a line in a formula, what `check` finds about it and how `weigh` puts it in.
//
// That a thing belongs in a phase or not is common practice, no source; the laws (the same position, temperature and method in all
// three) need none.
#include "query/place_making.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "query/assess.h"
#include "query/place_request.h"
#include "query/weigh.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing_data::FormulaOf;
using testing_data::Of;
using testing_data::RealCatalogue;

struct File {
  std::string name, text;
};

std::vector<File> FilesIn(std::initializer_list<const char*> folders) {
  std::vector<File> out;
  for (const char* folder : folders) {
    for (const auto& entry : fs::directory_iterator(std::string(STILLROOM_SOURCE_DIR "/") + folder)) {
      std::ifstream file(entry.path());
      out.push_back({entry.path().stem().string(),
                     std::string((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>())});
    }
  }
  return out;
}

std::vector<File> EveryFormula() {
  return FilesIn(
      {"data/formulas/demo", "data/formulas/typical", "tests/cases/broken", "tests/cases/monographs"});
}

WeighSheet SheetOf(const kb::Formula& formula, double batch_g) {
  auto sheet = Weigh(RealCatalogue(), formula, Assess(RealCatalogue(), formula), batch_g, 0.01);
  EXPECT_TRUE(sheet) << sheet.error();
  return sheet ? std::move(*sheet) : WeighSheet{};
}

// As `stillroom place NAME --in FILE` asks it.
Placement PlaceIn(const std::string& text, kb::IngredientIx ix) {
  Params params;
  params.values = {{"name", RealCatalogue().at(ix).id}};
  params.formula_text = text;
  const auto asked = ReadPlaceQuestion(RealCatalogue(), params);
  EXPECT_TRUE(asked) << asked.error().what;
  return asked ? Place(RealCatalogue(), asked->question) : Placement{};
}

const Finding* HeatFinding(const Assessment& assessment, kb::IngredientIx ix) {
  for (const Finding& finding : assessment.findings) {
    if (finding.topic == "heat" && finding.ingredients == std::vector<kb::IngredientIx>{ix}) return &finding;
  }
  return nullptr;
}

// Position, temperature and method of every line are the same in `place` and `weigh`, and the phase that `check` heats or adds in
// the cool-down is as hot as its lines are told to be.
TEST(Making, IsOneTruthForEveryLineOfEveryFormula) {
  std::size_t seen = 0;
  for (const File& file : EveryFormula()) {
    SCOPED_TRACE(file.name);
    const kb::Formula formula = FormulaOf(file.text);
    const Assessment assessment = Assess(RealCatalogue(), formula);
    const WeighSheet sheet = SheetOf(formula, 100);
    for (std::size_t p = 0; p < sheet.phases.size(); ++p) {
      const WeighPhase& phase = sheet.phases[p];
      const HeatNote& heat = assessment.heat[p];
      EXPECT_EQ(phase.name, assessment.phases[p].name);
      EXPECT_EQ(phase.heat_to_c.has_value(), heat.heated);
      EXPECT_EQ(phase.heat_to_c, heat.reaches_c);
      EXPECT_EQ(phase.add_below_c.has_value(), heat.cool_down);
      for (const WeighLine& line : phase.lines) {
        const kb::IngredientIx ix = formula.lines[line.line].ingredient;
        SCOPED_TRACE(RealCatalogue().at(ix).id);
        const Placement place = PlaceIn(file.text, ix);
        ++seen;
        EXPECT_EQ(line.place.position, place.position);
        EXPECT_EQ(line.place.min_c, place.min_c);
        EXPECT_EQ(line.place.max_c, place.max_c);
        EXPECT_EQ(line.place.method, place.method);
        EXPECT_EQ(line.place.moves, place.moves);
        const Finding* finding = HeatFinding(assessment, ix);
        EXPECT_EQ(finding != nullptr, !place.moves.empty());
        if (!place.moves.empty()) continue;
        if (phase.heat_to_c) {
          EXPECT_GE(place.max_c, *phase.heat_to_c);
          EXPECT_LE(place.max_c, *phase.heat_most_c);
        }
        if (phase.add_below_c) {
          EXPECT_GE(place.max_c, *phase.add_below_c);
        }
      }
    }
  }
  EXPECT_GE(seen, 200U);
}

// Nothing in a formula is told to see more heat than the least that any source states for it, and nothing that has to be heated is
// told to go in cold.
TEST(Making, NeverTellsALineMoreHeatThanItStandsOrLessThanItNeeds) {
  for (const File& file : EveryFormula()) {
    const kb::Formula formula = FormulaOf(file.text);
    for (const Placement& place : PlaceAll(RealCatalogue(), formula)) {
      const kb::IngredientIx ix = *place.ingredient;
      for (const kb::Fact& fact : RealCatalogue().Facts(ix, "max_c"))
        EXPECT_LE(place.max_c, fact.number->low) << file.name << ' ' << place.what;
      const auto needs = RealCatalogue().Number(ix, "needs_c");
      if (needs && needs->mid() > 45) {
        EXPECT_GE(place.max_c, needs->mid()) << file.name << ' ' << place.what;
      }
    }
  }
}

TEST(Making, FindsNobodyInTheWrongPhaseOfASoundFormula) {
  for (const File& file :
       FilesIn({"data/formulas/demo", "data/formulas/typical", "tests/cases/monographs"})) {
    const kb::Formula formula = FormulaOf(file.text);
    for (const Placement& place : PlaceAll(RealCatalogue(), formula))
      EXPECT_EQ(place.moves, "") << file.name << ' ' << place.what;
  }
}

// Amounts grow with the batch, and nothing else changes.
TEST(Making, TellsAmountsForTheBatch) {
  const kb::Formula cream = testing_data::DemoFormula("hand-cream");
  for (std::size_t i = 0; i < cream.lines.size(); ++i) {
    if (cream.lines[i].ingredient != Of("xanthan-gum")) continue;
    // 0.2 % of 100 g and of 1 kg, in five parts of glycerin.
    EXPECT_THAT(PlaceAll(RealCatalogue(), cream)[i].how,
                testing::AllOf(HasSubstr("0.2 g"), HasSubstr("1.0 g")));
    EXPECT_THAT(PlaceAll(RealCatalogue(), cream, 1000)[i].how,
                testing::AllOf(HasSubstr("2.0 g"), HasSubstr("10 g")));
  }
}

struct Wrong {
  const char* name;
  const char* lines;       // of a cream with water in A, oils and emulsifier in B, additions in C
  const char* ingredient;  // that stands wrongly
  Position position;       // where it goes in
  const char* kind;
};

class WrongPhase : public testing::TestWithParam<Wrong> {};

// By common practice of the trade, no source.
TEST_P(WrongPhase, GetsTheSameAdviceFromPlaceCheckAndWeigh) {
  const Wrong& wrong = GetParam();
  const std::string text =
      std::string("# kind: ") + wrong.kind + "\n# target pH: 5.5\nphase,ingredient,percent\n" + wrong.lines;
  const kb::Formula formula = FormulaOf(text);
  const kb::IngredientIx ix = Of(wrong.ingredient);
  const Placement place = PlaceIn(text, ix);
  EXPECT_EQ(place.position, wrong.position)
      << PositionId(place.position) << ' ' << testing::PrintToString(place.shares);
  ASSERT_FALSE(place.moves.empty());
  ASSERT_FALSE(place.watch.empty());
  EXPECT_THAT(place.watch.front(), HasSubstr(place.moves));
  const Assessment assessment = Assess(RealCatalogue(), formula);
  const Finding* finding = HeatFinding(assessment, ix);
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::kWarn);
  EXPECT_EQ(finding->advice, place.moves);
  EXPECT_THAT(place.watch.front(), HasSubstr(finding->text));
  ASSERT_FALSE(finding->sources.empty());
  EXPECT_FALSE(finding->sources.front().empty());
  const WeighSheet sheet = SheetOf(formula, 100);
  const std::string& name = RealCatalogue().at(ix).name;
  bool told = false;
  for (const std::string& step : sheet.steps) {
    if (step.find(place.moves) == std::string::npos) {
      // The step of its phase does not put it in: its list is the first sentence.
      const std::string list = step.substr(0, step.find('.'));
      EXPECT_TRUE(list.rfind("Phase", 0) != 0 || list.find(name) == std::string::npos) << step;
    } else {
      told = true;
    }
  }
  EXPECT_TRUE(told);
  for (const WeighPhase& phase : sheet.phases) {
    for (const WeighLine& line : phase.lines) {
      if (formula.lines[line.line].ingredient == ix) {
        EXPECT_EQ(line.place.moves, place.moves);
      }
    }
  }
}

constexpr const char* kCream = "leave-on emulsion o/w";

INSTANTIATE_TEST_SUITE_P(
    Cases, WrongPhase,
    testing::Values(
        Wrong{"RetinolInTheHotOils",
              "A,Water,q.s.\nA,Glycerin,4\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nB,Retinol,0.2\nC,Phenoxyethanol,0.9\n",
              "retinol", Position::kCoolDown, kCream},
        Wrong{"FragranceInTheHotOils",
              "A,Water,q.s.\nA,Glycerin,4\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nB,Lavender oil,0.2\nC,Phenoxyethanol,0.9\n",
              "lavender-oil", Position::kCoolDown, kCream},
        Wrong{"EnzymeInTheHotWater",
              "A,Water,q.s.\nA,Bromelain,1\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nC,Phenoxyethanol,0.9\n",
              "bromelain", Position::kCoolDownWater, kCream},
        Wrong{"FattyAlcoholInTheCoolDown",
              "A,Water,q.s.\nA,Glycerin,4\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nC,Phenoxyethanol,0.9\nC,Cetyl alcohol,0.8\n",
              "cetyl-alcohol", Position::kHeatedOil, kCream},
        Wrong{"FattyAlcoholInTheHotWater",
              "A,Water,q.s.\nA,Glycerin,4\nA,Cetyl alcohol,2\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nC,Phenoxyethanol,0.9\n",
              "cetyl-alcohol", Position::kHeatedOil, kCream},
        Wrong{"ChelatorInTheHotOils",
              "A,Water,q.s.\nA,Glycerin,4\nB,Glyceryl stearate and PEG-100 stearate,5\n"
              "B,Caprylic/capric triglyceride,10\nB,Disodium EDTA,0.1\nC,Phenoxyethanol,0.9\n",
              "disodium-edta", Position::kHeatedWater, kCream}),
    [](const auto& test) { return std::string(test.param.name); });

}  // namespace
}  // namespace query
