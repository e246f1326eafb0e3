#include <gtest/gtest.h>

#include <cmath>
#include <ostream>
#include <string>

#include "deviation.h"
#include "kb/chemistry/humectancy.h"

// Water activity of glycerol and sorbitol solutions, and water bound at printed humidities.

namespace checks {
namespace {

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };

constexpr double kWater = 18.015, kGlycerol = 92.094, kSorbitol = 182.17;  // g/mol
// K of Norrish: table 3 of PMC2836749 (Int. J. Dent. 2010, 981072), glycerol; sorbitol from the same
// collection.
constexpr double kGlycerolK = 1.16, kSorbitolK = 1.65;

// The trust that NorrishWaterActivity states: 0.02, and 0.01 below x2 = 0.1.
double StatedWaterTrust(double solute) {
  return solute < 0.1 ? 0.01 : 0.02;
}

double MoleFraction(double solute_grams, double molar_mass, double water_grams) {
  const double moles = solute_grams / molar_mass;
  return moles / (moles + water_grams / kWater);
}

struct Freezing {
  const char* name;
  double mass_pct;    // glycerol
  double depression;  // C
  friend void PrintTo(const Freezing& row, std::ostream* out) { *out << row.name; }
};
// Freezing points of glycerol solutions: Handbook of Chemistry and Physics, table "Concentrative properties
// of aqueous solutions" (as copied out in public), which prints to 0.01 C up to 40 %.
constexpr Freezing kFreezing[] = {
    {"Glycerol5", 5, 1.08},    {"Glycerol10", 10, 2.32},  {"Glycerol16", 16, 4.09},
    {"Glycerol20", 20, 5.46},  {"Glycerol24", 24, 7.01},  {"Glycerol28", 28, 8.77},
    {"Glycerol32", 32, 10.74}, {"Glycerol36", 36, 12.96}, {"Glycerol40", 40, 15.5},
};
// Water activity of a solution in balance with ice: 6009.5 J/mol to melt ice at 0 C, 37.9 J/mol K more heat
// capacity in water than in ice.
double ActivityOverIce(double depression) {
  constexpr double kMelting = 6009.5, kHeatCapacity = 37.9, kGas = 8.314, kZero = 273.15;
  const double kelvin = kZero - depression;
  return std::exp(-(kMelting - kHeatCapacity * kZero) / kGas * (1 / kelvin - 1 / kZero) -
                  kHeatCapacity / kGas * std::log(kZero / kelvin));
}
class FreezingPrint : public testing::TestWithParam<Freezing> {};
TEST_P(FreezingPrint, Agrees) {
  const double solute = MoleFraction(GetParam().mass_pct, kGlycerol, 100 - GetParam().mass_pct);
  // The print holds at the freezing point, 26 to 41 C below where the function speaks; activities of these
  // solutions hardly move with temperature (Miyawaki, Biosci. Biotechnol. Biochem. 61 (1997) 466, abstract).
  ExpectPrinted("water activity of glycerol from freezing points", GetParam().name,
                kb::chemistry::NorrishWaterActivity(solute, kGlycerolK).value(),
                ActivityOverIce(GetParam().depression), StatedWaterTrust(solute), "aw");
}
INSTANTIATE_TEST_SUITE_P(Print, FreezingPrint, testing::ValuesIn(kFreezing), kRowName);

struct Correlated {
  const char* name;
  double mass_pct;
  double activity;
  friend void PrintTo(const Correlated& row, std::ostream* out) { *out << row.name; }
};
// Zhang, Grace, Sun, Drying Technology 40 (2022) 2404: a Wilson equation fitted to the published water
// activities of glycerol solutions; worked out at 25 C with the coefficients as a public program library
// repeats them (the paper itself was not at hand). 70 % and more lie beyond x2 = 0.25, where
// NorrishWaterActivity refuses.
constexpr Correlated kZhang2022[] = {
    {"Glycerol10", 10, 0.9759}, {"Glycerol20", 20, 0.9470}, {"Glycerol30", 30, 0.9117},
    {"Glycerol40", 40, 0.8677}, {"Glycerol50", 50, 0.8117}, {"Glycerol60", 60, 0.7382},
};
class CorrelationPrint : public testing::TestWithParam<Correlated> {};
TEST_P(CorrelationPrint, Agrees) {
  const double solute = MoleFraction(GetParam().mass_pct, kGlycerol, 100 - GetParam().mass_pct);
  ExpectPrinted("water activity of glycerol, correlation of 2022", GetParam().name,
                kb::chemistry::NorrishWaterActivity(solute, kGlycerolK).value(), GetParam().activity,
                StatedWaterTrust(solute), "aw");
}
INSTANTIATE_TEST_SUITE_P(Print, CorrelationPrint, testing::ValuesIn(kZhang2022), kRowName);
TEST(Norrish, RefusesWhereItReadsTooLow) {
  EXPECT_FALSE(kb::chemistry::NorrishWaterActivity(MoleFraction(70, kGlycerol, 30), kGlycerolK).has_value());
}

// Sloan and Labuza 1975, as a food-technology text reprints it: g water per 100 g dry solid at water activity
// 0.60, 0.70, 0.80, 0.90.
struct Uptake {
  const char* name;
  double at60, at70, at80, at90;
  friend void PrintTo(const Uptake& row, std::ostream* out) { *out << row.name; }
};
constexpr Uptake kSloanLabuza[] = {
    {"SorbitolCrystal", 17, 22, 37, 76},   {"SorbitolAmorphous", 25, 35, 55, 110},
    {"SucroseAmorphous", 14, 20, 35, 65},  {"GlucoseCrystal", 1, 3.5, 7.5, 12.5},
    {"GlucoseAmorphous", 1, 3.5, 8, 22},   {"FructoseCrystal", 14, 22, 34, 47},
    {"FructoseAmorphous", 18, 30, 44, 80}, {"LactoseCrystal", 0.01, 0.01, 0.05, 0.10},
};
class UptakePrint : public testing::TestWithParam<Uptake> {};
TEST_P(UptakePrint, IsMetAtItsPoints) {
  const Uptake& row = GetParam();
  const kb::chemistry::UptakePair pairs[] = {{60, row.at60}, {70, row.at70}, {80, row.at80}, {90, row.at90}};
  const std::pair<double, double> printed[] = {
      {60, row.at60}, {70, row.at70}, {80, row.at80}, {90, row.at90}};
  for (const auto& [humidity, uptake] : printed) {
    ExpectPrinted("Sloan and Labuza, at the printed points", row.name,
                  kb::chemistry::WaterUptake(pairs, humidity).value(), uptake, 1e-12, "g/100 g");
  }
}
INSTANTIATE_TEST_SUITE_P(Print, UptakePrint, testing::ValuesIn(kSloanLabuza), kRowName);

// Sodium chloride dissolves itself near 75 % humidity, potassium chloride near 84 % (printed beside their
// pairs).
TEST(Deliquescence, GivesNoValueWhereTheSaltDissolvesItself) {
  constexpr kb::chemistry::UptakePair kSodiumChloride[] = {{60, 0.1}, {70, 0.1}, {80, 130}, {90, 585}};
  constexpr kb::chemistry::UptakePair kPotassiumChloride[] = {{60, 0.1}, {80, 0.1}, {90, 580}};
  EXPECT_FALSE(kb::chemistry::WaterUptake(kSodiumChloride, 75).has_value());
  EXPECT_FALSE(kb::chemistry::WaterUptake(kPotassiumChloride, 84).has_value());
}

struct Solution {
  const char* name;
  double uptake;    // g water per 100 g sorbitol
  double rounding;  // half of the step of the print, g
  double activity;
  friend void PrintTo(const Solution& row, std::ostream* out) { *out << row.name; }
};
// Amorphous sorbitol of the same table is a solution at these humidities. The uptakes are printed to 5 g.
constexpr Solution kSorbitolSolutions[] = {
    {"Sorbitol70", 35, 2.5, 0.70},
    {"Sorbitol80", 55, 2.5, 0.80},
    {"Sorbitol90", 110, 2.5, 0.90},
};
class SorbitolPrint : public testing::TestWithParam<Solution> {};
TEST_P(SorbitolPrint, Agrees) {
  const auto activity = [](double water) {
    const kb::chemistry::Humectant sorbitol[] = {{"sorbitol", 100, kSorbitol, kSorbitolK}};
    return kb::chemistry::WaterActivityOf(water, sorbitol).value().value;
  };
  const Solution& row = GetParam();
  const double rounding = activity(row.uptake + row.rounding) - activity(row.uptake);
  ExpectPrinted("water activity of sorbitol, Sloan and Labuza", row.name, activity(row.uptake), row.activity,
                StatedWaterTrust(MoleFraction(100, kSorbitol, row.uptake)) + rounding, "aw");
}
INSTANTIATE_TEST_SUITE_P(Print, SorbitolPrint, testing::ValuesIn(kSorbitolSolutions), kRowName);

}  // namespace
}  // namespace checks
