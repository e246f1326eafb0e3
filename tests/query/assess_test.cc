// What follows from a formula: broken formulas give the finding that they were broken for and no other, sound ones give none, and
// what is not known is said. The broken ones stand in tests/cases/broken.
#include "query/assess.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <ostream>
#include <random>
#include <string>
#include <vector>

#include "query/assess_dose.h"
#include "query/place.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

namespace fs = std::filesystem;
using testing_data::FormulaOf;
using testing_data::Of;
using testing_data::RealCatalogue;

kb::Formula FileFormula(const fs::path& path) {
  std::ifstream file(path);
  EXPECT_TRUE(file) << path;
  const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
  return FormulaOf(text);
}

std::string Said(const Assessment& assessment) {
  std::string out;
  for (const Finding& finding : assessment.findings) {
    out += std::string(SeverityName(finding.severity)) + " " + finding.key + ": " + finding.text + "\n";
  }
  return out;
}

struct Broken {
  const char* file;
  Severity severity;
  const char* topic;
  const char* key;         // begins with
  const char* ingredient;  // one of those named; "" for none
  const char* words;       // in the text
  friend void PrintTo(const Broken& broken, std::ostream* out) { *out << broken.file; }
};

class BrokenFormula : public ::testing::TestWithParam<Broken> {};

// First in rank, with a source, and nothing else to stop for or to look at.
TEST_P(BrokenFormula, GivesItsFindingAndNoOther) {
  const Broken& broken = GetParam();
  const kb::Formula formula =
      FileFormula(fs::path(STILLROOM_SOURCE_DIR "/tests/cases/broken") / (std::string(broken.file) + ".csv"));
  const Assessment assessment = Assess(RealCatalogue(), formula);
  ASSERT_FALSE(assessment.findings.empty());
  const Finding& first = assessment.findings.front();
  EXPECT_EQ(first.severity, broken.severity) << Said(assessment);
  EXPECT_EQ(first.topic, broken.topic);
  EXPECT_EQ(first.key.rfind(broken.key, 0), 0U) << first.key;
  EXPECT_NE(first.text.find(broken.words), std::string::npos) << first.text;
  EXPECT_FALSE(first.advice.empty());
  ASSERT_FALSE(first.sources.empty());
  for (const std::string& source : first.sources) EXPECT_FALSE(source.empty());
  if (*broken.ingredient != '\0') {
    EXPECT_NE(std::find(first.ingredients.begin(), first.ingredients.end(), Of(broken.ingredient)),
              first.ingredients.end());
  }
  for (std::size_t i = 1; i < assessment.findings.size(); ++i)
    EXPECT_EQ(assessment.findings[i].severity, Severity::kNote) << Said(assessment);
}

INSTANTIATE_TEST_SUITE_P(
    Cases, BrokenFormula,
    ::testing::Values(
        Broken{"no-preservative", Severity::kStop, "preservation", "preservation:none", "",
               "no preservative"},
        Broken{"cationic-with-anionic", Severity::kStop, "conflict", "conflict:quat-with-anionic-surfactant",
               "sodium-laureth-sulfate", "Cationic and anionic"},
        Broken{"allantoin-2", Severity::kWarn, "solubility", "solubility:allantoin", "allantoin",
               "2 % allantoin"},
        Broken{"sorbate-at-ph-7", Severity::kStop, "preservation", "preservation:none", "potassium-sorbate",
               "of its acid is active"},
        Broken{"niacinamide-with-acid", Severity::kWarn, "conflict", "conflict:niacinamide-with-strong-acid",
               "niacinamide", "nicotinic acid"},
        Broken{"retinol-heated", Severity::kWarn, "heat", "heat:hurt:retinol", "retinol", "heated to"},
        Broken{"carbomer-with-salt", Severity::kWarn, "conflict", "conflict:acrylate-with-salt", "carbomer",
               "thins"},
        Broken{"phenoxyethanol-1.2", Severity::kStop, "limit", "limit:EU/V/29", "phenoxyethanol",
               "1.2 %, above the 1 % allowed"},
        Broken{"wo-with-polysorbate", Severity::kWarn, "emulsion", "emulsion:against", "",
               "turns over or parts"},
        Broken{"ipbc-body-lotion", Severity::kStop, "limit", "limit:EU/V/56", "iodopropynyl-butylcarbamate",
               "body lotion and body cream"}),
    [](const auto& test) {
      std::string name = test.param.file;
      std::replace_if(
          name.begin(), name.end(), [](char c) { return std::isalnum(c) == 0; }, '_');
      return name;
    });

TEST(Assess, FindsNothingAgainstSoundFormulas) {
  std::size_t seen = 0;
  for (const char* folder : {"demo", "typical"}) {
    for (const auto& entry :
         fs::directory_iterator(std::string(STILLROOM_SOURCE_DIR "/data/formulas/") + folder)) {
      ++seen;
      const Assessment assessment = Assess(RealCatalogue(), FileFormula(entry.path()));
      for (const Finding& finding : assessment.findings)
        EXPECT_EQ(finding.severity, Severity::kNote) << entry.path() << '\n' << Said(assessment);
    }
  }
  EXPECT_GE(seen, 21U);
}

// `place` and `check` read the same facts: what `place` adds to the cooled batch alone does not stand in a heated phase of a sound
// formula, and where `check` says that heat hurts, `place` does not heat and knows the same temperature.
TEST(Assess, AgreesWithPlaceOnHeat) {
  for (const char* folder : {"demo", "typical"}) {
    for (const auto& entry :
         fs::directory_iterator(std::string(STILLROOM_SOURCE_DIR "/data/formulas/") + folder)) {
      const kb::Formula formula = FileFormula(entry.path());
      const Assessment assessment = Assess(RealCatalogue(), formula);
      const std::vector<Placement> places = PlaceAll(RealCatalogue(), formula);
      ASSERT_EQ(places.size(), formula.lines.size());
      for (std::size_t i = 0; i < places.size(); ++i) {
        const bool heated = assessment.heat[formula.lines[i].phase].heated;
        EXPECT_FALSE(heated && places[i].position == Position::kCoolDown)
            << entry.path() << ' ' << places[i].what;
      }
    }
  }
  const kb::Formula broken = FileFormula(STILLROOM_SOURCE_DIR "/tests/cases/broken/retinol-heated.csv");
  const std::vector<Placement> places = PlaceAll(RealCatalogue(), broken);
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (broken.lines[i].ingredient != Of("retinol")) continue;
    EXPECT_FALSE(IsHeated(places[i].position));
    ASSERT_TRUE(places[i].stands_c);
    EXPECT_NE(Assess(RealCatalogue(), broken)
                  .findings.front()
                  .text.find("stands " + std::to_string(std::lround(*places[i].stands_c)) + " C"),
              std::string::npos);
  }
}

// --- limits -----------------------------------------------------------------------------------------------------------

// A watery product with one substance in it, kept by alcohol so that nothing but limits speaks.
kb::Formula With(const std::string& what, double pct, const std::string& kind, const std::string& used_as) {
  std::string text = "# kind: " + kind + "\n";
  if (!used_as.empty()) text += "# used as: " + used_as + "\n";
  text += "phase,ingredient,percent\nA,Water,q.s.\nA," + what + "," + std::to_string(pct) + "\n";
  return FormulaOf(text);
}

const Finding* LimitFinding(const Assessment& assessment) {
  const auto found = std::find_if(assessment.findings.begin(), assessment.findings.end(),
                                  [](const Finding& finding) { return finding.topic == "limit"; });
  return found == assessment.findings.end() ? nullptr : &*found;
}

struct LimitCase {
  const char* what;
  double pct;
  const char* kind;
  const char* used_as;
  const char* expected;  // stop, warn, note, or "" for nothing said
  friend void PrintTo(const LimitCase& item, std::ostream* out) {
    *out << item.what << ' ' << item.pct << " % " << item.kind << ' ' << item.used_as;
  }
};

class AnnexLimit : public ::testing::TestWithParam<LimitCase> {};

TEST_P(AnnexLimit, IsHeld) {
  const LimitCase& item = GetParam();
  const Assessment assessment = Assess(RealCatalogue(), With(item.what, item.pct, item.kind, item.used_as));
  const Finding* finding = LimitFinding(assessment);
  EXPECT_EQ(finding == nullptr ? std::string() : std::string(SeverityName(finding->severity)), item.expected)
      << (finding == nullptr ? "nothing said" : finding->text);
}

// Regulation (EC) No 1223/2009. Where the limit is as the acid, the salt's figure is limit times M(salt) / M(acid), molar masses
// from the atomic weights of IUPAC 2021: benzoic acid 122.12, sodium benzoate 144.10: 0.5 % acid = 0.590 % salt, 2.5 % = 2.950 %;
// sorbic acid 112.13, potassium sorbate 150.22: 0.6 % = 0.804 %; salicylic acid 138.12, sodium salicylate 160.10.
INSTANTIATE_TEST_SUITE_P(
    Cases, AnnexLimit,
    ::testing::Values(
        LimitCase{"Sodium benzoate", 0.589, "leave-on water", "toner", ""},         // V/1
        LimitCase{"Sodium benzoate", 0.592, "leave-on water", "toner", "stop"},     // V/1
        LimitCase{"Sodium benzoate", 2.94, "rinse-off surfactant", "shampoo", ""},  // V/1
        LimitCase{"Sodium benzoate", 2.96, "rinse-off surfactant", "shampoo", "stop"},
        LimitCase{"Potassium sorbate", 0.80, "leave-on water", "toner", ""},  // V/4
        LimitCase{"Potassium sorbate", 0.81, "leave-on water", "toner", "stop"},
        LimitCase{"Benzyl alcohol", 1, "leave-on water", "toner", ""},  // V/34
        LimitCase{"Benzyl alcohol", 1.05, "leave-on water", "toner", "stop"},
        LimitCase{"Phenoxyethanol", 1, "leave-on water", "toner", ""},  // V/29
        LimitCase{"Phenoxyethanol", 1.2, "leave-on water", "toner", "stop"},
        LimitCase{"Iodopropynyl butylcarbamate", 0.01, "leave-on emulsion o/w", "face cream", ""},  // V/56
        LimitCase{"Iodopropynyl butylcarbamate", 0.012, "leave-on emulsion o/w", "face cream", "stop"},
        LimitCase{"Iodopropynyl butylcarbamate", 0.005, "leave-on emulsion o/w", "body lotion", "stop"},
        LimitCase{"Iodopropynyl butylcarbamate", 0.005, "leave-on emulsion o/w", "", "note"},
        LimitCase{"Iodopropynyl butylcarbamate", 0.02, "rinse-off surfactant", "shampoo", ""},
        LimitCase{"Zinc pyrithione", 0.5, "rinse-off surfactant", "shampoo", "stop"},  // II
        LimitCase{"Salicylic acid", 2.5, "rinse-off surfactant", "shampoo", ""},       // III/98
        LimitCase{"Salicylic acid", 3.1, "rinse-off surfactant", "shampoo", "stop"},
        LimitCase{"Salicylic acid", 2.5, "rinse-off surfactant", "", "warn"},  // 3 % where it is for hair
        LimitCase{"Salicylic acid", 2.5, "rinse-off surfactant", "body wash", "stop"},
        LimitCase{"Salicylic acid", 2.5, "leave-on gel", "hair gel", "stop"},  // left on: the general 2 %
        LimitCase{"Salicylic acid", 2, "leave-on gel", "face serum", ""},
        LimitCase{"Salicylic acid", 1, "leave-on emulsion o/w", "body lotion", "stop"},  // 0.5 %
        LimitCase{"Salicylic acid", 1, "leave-on emulsion o/w", "", "note"},
        LimitCase{"Hydrogen peroxide", 6, "rinse-off conditioner", "hair mask", ""},  // III/12: hair 12 %
        LimitCase{"Hydrogen peroxide", 6, "leave-on gel", "face serum", "stop"},      // skin 4 %
        LimitCase{"Hydrogen peroxide", 12.5, "rinse-off conditioner", "", "stop"},
        LimitCase{"Retinol", 0.2, "leave-on emulsion o/w", "face cream", ""},         // III/376: 0.3 %
        LimitCase{"Retinol", 0.2, "leave-on emulsion o/w", "body lotion", "stop"}));  // 0.05 %

// Of other countries only what the formula names: Japan's letter 0524001 of 2007 (caffeine 2 %, bisabolol 1.2 %, for lips and
// mouth 0.7905 %), its Standards for Cosmetics of 2000 (no hydrogen peroxide), 21 CFR 74.2333 (CI 17200 on lips 3 %). The EU has no
// limit for caffeine and bisabolol, 4 % for hydrogen peroxide on skin, and none for the colour.
INSTANTIATE_TEST_SUITE_P(
    OtherCountries, AnnexLimit,
    ::testing::Values(LimitCase{"Caffeine", 3, "leave-on gel", "face serum", ""},
                      LimitCase{"Caffeine", 3, "leave-on gel", "face serum, japan", "stop"},
                      LimitCase{"Caffeine", 2, "leave-on gel", "face serum, Japan", ""},
                      LimitCase{"Caffeine", 3, "leave-on gel", "face serum, usa", ""},
                      LimitCase{"Bisabolol", 1, "leave-on anhydrous", "face cream, japan", ""},
                      LimitCase{"Bisabolol", 1, "leave-on anhydrous", "lip balm, japan", "stop"},
                      LimitCase{"Bisabolol", 1, "leave-on anhydrous", "lip balm", ""},
                      LimitCase{"Hydrogen peroxide", 2, "leave-on gel", "face serum", ""},
                      LimitCase{"Hydrogen peroxide", 2, "leave-on gel", "face serum, japan", "stop"},
                      LimitCase{"CI 17200", 4, "leave-on anhydrous", "lip balm", ""},
                      LimitCase{"CI 17200", 4, "leave-on anhydrous", "lip balm, usa", "stop"}));

TEST(Limits, AnotherCountryCountsOnlyWhereItIsNamedAndIsSaid) {
  const std::string lines = "phase,ingredient,percent\nA,Water,q.s.\nA,Caffeine,3\n";
  const std::string kind = "# kind: leave-on gel\n";
  // The name of a product is no market.
  EXPECT_EQ(LimitFinding(Assess(RealCatalogue(), FormulaOf("# name: Japan rose serum\n" + kind + lines))),
            nullptr);
  const Assessment there =
      Assess(RealCatalogue(), FormulaOf("# name: Lip serum\n" + kind + "# used as: japan\n" + lines));
  const Finding* finding = LimitFinding(there);
  ASSERT_NE(finding, nullptr);
  EXPECT_NE(finding->text.find("JP notification 0524001 of 2007, entry 12"), std::string::npos)
      << finding->text;
  EXPECT_EQ(finding->text.find("Annex"), std::string::npos) << finding->text;
}

// Benzoic acid and its salt share entry 1 of Annex V: 0.3 % acid and 0.3 % salt are 0.3 + 0.3 * 122.12 / 144.10 = 0.554 % as acid.
TEST(Limits, SubstancesOfOneEntryCountTogether) {
  const Assessment assessment =
      Assess(RealCatalogue(),
             FormulaOf("# kind: leave-on water\n# used as: toner\nphase,ingredient,percent\nA,Water,q.s.\n"
                       "A,Benzoic acid,0.3\nA,Sodium benzoate,0.3\n"));
  const Finding* finding = LimitFinding(assessment);
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::kStop);
  EXPECT_EQ(finding->ingredients.size(), 2U);
  const auto use = std::find_if(assessment.limits.begin(), assessment.limits.end(),
                                [](const LimitUse& one) { return one.annex == "V" && one.entry == "1"; });
  ASSERT_NE(use, assessment.limits.end());
  EXPECT_NEAR(use->pct, 0.5542, 0.0001);  // molar masses to two decimals
}

// --- what is not known ------------------------------------------------------------------------------------------------

TEST(Unknown, NoPhIsMadeUpWhereTheConstantsAreMissing) {
  const Assessment assessment = Assess(RealCatalogue(), testing_data::DemoFormula("potting-shed-shampoo"));
  if (assessment.ph.missing.empty()) GTEST_SKIP() << "all constants of this formula are known by now";
  EXPECT_FALSE(assessment.unknown.empty());
  if (!assessment.ph.estimate) {
    EXPECT_NE(assessment.ph.because.find("measure"), std::string::npos);
  }
}

TEST(Unknown, OilsWithoutARequiredHlbAreNamedAndNotCounted) {
  const kb::Formula formula = FormulaOf(
      "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,Water,q.s.\nB,Polysorbate 60,3\n"
      "B,Sweet almond oil,10\nC,Phenoxyethanol,1\n");
  const Assessment assessment = Assess(RealCatalogue(), formula);
  const Emulsion& emulsion = assessment.emulsion;
  EXPECT_EQ(emulsion.required_hlb.has_value(), emulsion.covered_share > 0);
  EXPECT_EQ(emulsion.not_covered.empty(), emulsion.covered_share > 1 - 1e-9);
}

TEST(Unknown, APreservativeIsNotTakenForWorkingWhereThePhIsNotKnown) {
  const Assessment assessment = Assess(
      RealCatalogue(), FormulaOf("# kind: rinse-off surfactant\nphase,ingredient,percent\nA,Water,q.s.\n"
                                 "A,Disodium cocoyl glutamate,20\nA,Sodium benzoate,0.5\n"));
  if (assessment.ph.used) GTEST_SKIP() << "the pH of this formula is known by now";
  EXPECT_TRUE(std::any_of(assessment.unknown.begin(), assessment.unknown.end(), [](const std::string& text) {
    return text.find("pH is not known") != std::string::npos;
  }));
}

// --- pH ---------------------------------------------------------------------------------------------------------------

// The dose, weighed in, gives the target.
TEST(Dose, BringsTheFormulaToTheTarget) {
  const std::string head = "# kind: leave-on water\n# target pH: 5\nphase,ingredient,percent\nA,Water,q.s.\n";
  const kb::Formula before = FormulaOf(head + "A,Sodium citrate,1\n");
  const Assessment assessed = Assess(RealCatalogue(), before);
  ASSERT_TRUE(assessed.ph.estimate);
  const auto dose =
      DoseToReach(RealCatalogue(), before, assessed, 5, RealCatalogue().FindExact("citric acid"));
  ASSERT_TRUE(dose) << dose.error();
  const kb::Formula after =
      FormulaOf(head + "A,Sodium citrate,1\nA,Citric acid," + std::to_string(dose->pct) + "\n");
  // 0.01: the dose takes the place of its own mass of water.
  EXPECT_NEAR(*Assess(RealCatalogue(), after).ph.estimate, 5, 0.01);
  EXPECT_LE(dose->low, dose->pct);
  EXPECT_GE(dose->high, dose->pct);
}

TEST(Dose, RefusesWhatMovesItTheOtherWay) {
  const kb::Formula formula =
      FormulaOf("# kind: leave-on water\nphase,ingredient,percent\nA,Water,q.s.\nA,Sodium citrate,1\n");
  const Assessment assessed = Assess(RealCatalogue(), formula);
  EXPECT_FALSE(DoseToReach(RealCatalogue(), formula, assessed, 11, RealCatalogue().FindExact("citric acid")));
  EXPECT_FALSE(DoseToReach(RealCatalogue(), formula, assessed, 5, Of("glycerin")));
}

// --- any formula ------------------------------------------------------------------------------------------------------

void CheckWhole(const kb::Formula& formula, const Assessment& a) {
  double phases = 0;
  for (const PhaseTotal& phase : a.phases) phases += phase.pct;
  EXPECT_NEAR(phases, 100, 1e-6);
  double substances = 0;
  for (const Substance& item : a.substances) {
    EXPECT_TRUE(std::isfinite(item.pct)) << item.inci;
    substances += item.pct;
  }
  EXPECT_NEAR(substances, 100, 1e-6);
  for (const double sum : {a.composition.water, a.composition.oils, a.composition.emulsifiers,
                           a.composition.electrolytes, a.composition.surfactant_active}) {
    EXPECT_GE(sum, -1e-9);
    EXPECT_LE(sum, 100 + 1e-6);
  }
  EXPECT_EQ(a.heat.size(), formula.phases.size());
  EXPECT_TRUE(std::is_sorted(a.findings.begin(), a.findings.end(),
                             [](const Finding& x, const Finding& y) { return x.severity < y.severity; }));
  for (const Finding& finding : a.findings) {
    EXPECT_FALSE(finding.text.empty());
    EXPECT_EQ(finding.text.find(" nan"), std::string::npos) << finding.text;
    EXPECT_EQ(finding.text.find(" inf "), std::string::npos) << finding.text;
  }
  if (a.ph.estimate) {
    EXPECT_TRUE(std::isfinite(*a.ph.estimate));
    EXPECT_LE(*a.ph.low, *a.ph.estimate + 1e-9);
    EXPECT_GE(*a.ph.high, *a.ph.estimate - 1e-9);
  }
  if (a.emulsion.required_hlb) {
    EXPECT_TRUE(std::isfinite(*a.emulsion.required_hlb));
  }
  EXPECT_TRUE(a.emulsion.covered_share >= 0 && a.emulsion.covered_share <= 1 + 1e-9);
  for (const LimitUse& use : a.limits) EXPECT_TRUE(std::isfinite(use.pct));
}

const Finding* LevelOf(const Assessment& assessment, const std::string& id) {
  const auto found = std::find_if(assessment.findings.begin(), assessment.findings.end(),
                                  [&](const Finding& finding) { return finding.key == "level:" + id; });
  return found == assessment.findings.end() ? nullptr : &*found;
}

// 21 % is more than what is usual of it; the FDA's Inactive Ingredient Database lists 12 % in a topical cream and in an ointment
// (rows HEXYLENE GLYCOL, TOPICAL, CREAM and OINTMENT) and no share in a gel (a daily 280 mg).
TEST(Level, AboveTheUsualStandsBesideWhatAMedicineOfThatFormHolds) {
  const std::string lines = "phase,ingredient,percent\nA,Water,79\nA,Hexylene glycol,21\n";
  const kb::Formula cream = FormulaOf("# name: x\n# kind: leave-on emulsion-ow\n" + lines);
  const kb::Formula gel = FormulaOf("# name: x\n# kind: leave-on gel\n" + lines);
  const Assessment of_cream = Assess(RealCatalogue(), cream);
  const Assessment of_gel = Assess(RealCatalogue(), gel);
  const Finding* in_cream = LevelOf(of_cream, "hexylene-glycol");
  ASSERT_NE(in_cream, nullptr);
  EXPECT_EQ(in_cream->severity, Severity::kNote);
  EXPECT_NE(in_cream->text.find("an approved topical cream holds 12 %"), std::string::npos) << in_cream->text;
  EXPECT_EQ(in_cream->sources.size(), 2U);
  const Finding* in_gel = LevelOf(of_gel, "hexylene-glycol");
  ASSERT_NE(in_gel, nullptr);
  EXPECT_EQ(in_gel->text.find("approved"), std::string::npos) << in_gel->text;
}

// 30 % is more than what is usual of it. Int. J. Toxicol. 17(Suppl. 4) (1998) 95: the highest concentration reported is 35 %.
TEST(Level, AboveTheUsualStandsBesideWhatASafetyAssessmentReports) {
  const kb::Formula gel =
      FormulaOf("# name: x\n# kind: leave-on gel\nphase,ingredient,percent\nA,Water,70\nA,PVP,30\n");
  const Assessment assessment = Assess(RealCatalogue(), gel);
  const Finding* level = LevelOf(assessment, "pvp");
  ASSERT_NE(level, nullptr) << Said(assessment);
  EXPECT_EQ(level->severity, Severity::kNote);
  EXPECT_NE(level->text.find("a published safety assessment reports up to 35 % in cosmetics"),
            std::string::npos)
      << level->text;
  EXPECT_GE(level->sources.size(), 2U);
}

// Int. J. Toxicol. 20(Suppl. 3) (2001) 61: peppermint oil at 3 % in rinse-off and 0.2 % in leave-on formulations.
TEST(Level, ReportedOfTheKindOfUseIsNamed) {
  const std::string lines = "phase,ingredient,percent\nA,Sunflower oil,90\nA,Peppermint oil,10\n";
  const kb::Formula balm = FormulaOf("# name: x\n# kind: leave-on anhydrous\n" + lines);
  const kb::Formula scrub = FormulaOf("# name: x\n# kind: rinse-off anhydrous\n" + lines);
  const Assessment left_on = Assess(RealCatalogue(), balm);
  const Assessment rinsed = Assess(RealCatalogue(), scrub);
  const Finding* on_skin = LevelOf(left_on, "peppermint-oil");
  const Finding* in_shower = LevelOf(rinsed, "peppermint-oil");
  ASSERT_NE(on_skin, nullptr) << Said(left_on);
  ASSERT_NE(in_shower, nullptr) << Said(rinsed);
  EXPECT_NE(on_skin->text.find("reports up to 0.2 % in leave-on products"), std::string::npos)
      << on_skin->text;
  EXPECT_NE(in_shower->text.find("reports up to 3 % in rinse-off products"), std::string::npos)
      << in_shower->text;
}

// Cosmetics held up to 5 % chloroxylenol (J. Am. Coll. Toxicol. 4(5) (1985)); the law gives 0.5 % now (Annex V/26).
TEST(Level, ReportedIsNotNamedWhereTheLawGivesLess) {
  const kb::Formula lotion = FormulaOf(
      "# name: x\n# kind: rinse-off gel\nphase,ingredient,percent\nA,Water,96\nA,Chloroxylenol,4\n");
  const Assessment assessment = Assess(RealCatalogue(), lotion);
  const Finding* level = LevelOf(assessment, "chloroxylenol");
  ASSERT_NE(level, nullptr) << Said(assessment);
  EXPECT_EQ(level->text.find("reports"), std::string::npos) << level->text;
}

// A topical ointment holds 2.2 % benzyl alcohol (same database), a cosmetic may hold 1 % (Regulation (EC) No 1223/2009, Annex V/34).
TEST(Level, OfAMedicineIsNotNamedWhereTheLawGivesCosmeticsLess) {
  const kb::Formula balm = FormulaOf(
      "# name: x\n# kind: leave-on anhydrous\nphase,ingredient,percent\nA,Petrolatum,97.5\nA,Benzyl "
      "alcohol,2.5\n");
  const Assessment assessment = Assess(RealCatalogue(), balm);
  const Finding* level = LevelOf(assessment, "benzyl-alcohol");
  ASSERT_NE(level, nullptr) << Said(assessment);
  EXPECT_EQ(level->text.find("approved"), std::string::npos) << level->text;
  EXPECT_NE(Said(assessment).find("limit:"), std::string::npos) << Said(assessment);
}

// Lines drawn at random from the whole catalogue, in random phases and shares: nonsense, but well formed.
TEST(AnyFormula, IsAssessedWithoutNonsense) {
  const kb::Catalogue& catalogue = RealCatalogue();
  std::mt19937 random(20261125);
  const auto up_to = [&](std::size_t most) {
    return std::uniform_int_distribution<std::size_t>(0, most)(random);
  };
  const kb::IngredientIx water = Of("water");
  for (int round = 0; round < 300; ++round) {
    kb::Formula formula;
    formula.kind = {up_to(1) == 0 ? kb::Use::kLeaveOn : kb::Use::kRinseOff, kb::kForms[up_to(8)]};
    if (up_to(2) == 0) formula.target_ph = 2 + static_cast<double>(up_to(90)) / 10;
    formula.phases = {"A", "B", "C"};
    double total = 0;
    std::size_t phase = 0;
    for (std::size_t i = 0; i < 3 + up_to(12); ++i) {
      kb::FormulaLine line;
      line.phase = phase;
      line.ingredient =
          i == 0 ? water : static_cast<kb::IngredientIx>(up_to(catalogue.ingredients().size() - 1));
      line.pct = std::pow(10, static_cast<double>(up_to(40)) / 10 - 2.5);
      total += line.pct;
      formula.lines.push_back(std::move(line));
      if (phase < 2) phase += up_to(3) == 0 ? 1 : 0;
    }
    for (kb::FormulaLine& line : formula.lines) line.pct *= 100 / total;
    SCOPED_TRACE(kb::WriteFormula(catalogue, formula));
    CheckWhole(formula, Assess(catalogue, formula));
    if (::testing::Test::HasFailure()) return;
  }
}

}  // namespace
}  // namespace query
