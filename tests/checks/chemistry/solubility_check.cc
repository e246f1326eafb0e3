#include <gtest/gtest.h>

#include <cmath>
#include <ostream>
#include <string>

#include "deviation.h"
#include "kb/chemistry/solubility.h"

// Pharmacopoeia classes against measured figures, interpolation against printed tables, the ideal solubility
// against its printed rule of thumb.

namespace checks {
namespace {

using kb::chemistry::SolubilityClass;

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };

struct Bound {
  const char* name;
  SolubilityClass soluble;
  double parts_from, parts_to;  // mL of solvent per g of solute; 0: no bound
  friend void PrintTo(const Bound& row, std::ostream* out) { *out << row.name; }
};
// BP and Ph. Eur. general notices, USP "description and relative solubility": parts of solvent per part of
// solute.
constexpr Bound kBounds[] = {
    {"VerySoluble", SolubilityClass::kVerySoluble, 0, 1},
    {"FreelySoluble", SolubilityClass::kFreelySoluble, 1, 10},
    {"Soluble", SolubilityClass::kSoluble, 10, 30},
    {"SparinglySoluble", SolubilityClass::kSparinglySoluble, 30, 100},
    {"SlightlySoluble", SolubilityClass::kSlightlySoluble, 100, 1000},
    {"VerySlightlySoluble", SolubilityClass::kVerySlightlySoluble, 1000, 10000},
    {"PracticallyInsoluble", SolubilityClass::kPracticallyInsoluble, 10000, 0},
};
class BoundPrint : public testing::TestWithParam<Bound> {};
TEST_P(BoundPrint, Agrees) {
  const auto bounds = ClassBounds(GetParam().soluble);
  // Exact but for the rounding of doubles.
  const std::string name = GetParam().name;
  if (GetParam().parts_from > 0) {
    ExpectPrinted("bounds of the solubility classes", name + " high", 1000 / bounds.high,
                  GetParam().parts_from, 1e-9, "parts");
  } else {
    EXPECT_TRUE(std::isinf(bounds.high));
  }
  if (GetParam().parts_to > 0) {
    ExpectPrinted("bounds of the solubility classes", name + " low", 1000 / bounds.low, GetParam().parts_to,
                  1e-9, "parts");
  } else {
    EXPECT_EQ(bounds.low, 0);
  }
}
INSTANTIATE_TEST_SUITE_P(Print, BoundPrint, testing::ValuesIn(kBounds), kRowName);

struct Measured {
  const char* name;
  double solubility;  // g/L
  const char* printed_class;
  friend void PrintTo(const Measured& row, std::ostream* out) { *out << row.name; }
};
// Number: AqSolDB (doi 10.1038/s41597-019-0151-1), salicylic acid a supplier's figure at 20 C. Class: USP 29
// (panthenol), USP 32 (caffeine, calcium carbonate), an excipient handbook (tocopherol), the Chinese
// pharmacopoeia (salicylic acid), a property sheet (benzoic acid). All six agree. Ascorbyl palmitate stays
// out: its number is for 70 C.
constexpr Measured kMeasured[] = {
    {"Panthenol", 509, "freely soluble"},
    {"Caffeine", 23.9, "sparingly soluble"},
    {"BenzoicAcid", 2.93, "slightly soluble"},
    {"SalicylicAcid", 2, "slightly soluble"},
    {"CalciumCarbonate", 0.0166, "practically insoluble"},
    {"Tocopherol", 0.0000013, "practically insoluble"},
};
class MeasuredClass : public testing::TestWithParam<Measured> {};
TEST_P(MeasuredClass, IsThePrintedOne) {
  const auto printed = kb::chemistry::ParseSolubilityClass(GetParam().printed_class);
  ASSERT_TRUE(printed.has_value());
  EXPECT_EQ(kb::chemistry::ClassOf(GetParam().solubility).value(), *printed);
}
INSTANTIATE_TEST_SUITE_P(Print, MeasuredClass, testing::ValuesIn(kMeasured), kRowName);

struct Between {
  const char* name;
  double low_celsius, low;  // g per 100 g water
  double high_celsius, high;
  double celsius, printed;  // between the two
  friend void PrintTo(const Between& row, std::ostream* out) { *out << row.name; }
};
// Boric acid: a chemical property database (0 to 100 C). Ammonium salts and alum: solubility table of a
// reagent catalogue, 0 to 100 C in steps of 20. g per 100 g of water. Each printed middle value is computed
// from its two printed neighbours. Potassium alum is the hardest of them: its solubility grows tenfold from
// 20 to 80 C.
constexpr Between kBetween[] = {
    {"BoricAcid20", 0, 2.77, 40, 8.9, 20, 4.87},
    {"BoricAcid25", 20, 4.87, 30, 6.77, 25, 5.74},
    {"BoricAcid40", 20, 4.87, 60, 14.89, 40, 8.9},
    {"BoricAcid50", 40, 8.9, 60, 14.89, 50, 11.39},
    {"BoricAcid60", 40, 8.9, 80, 23.54, 60, 14.89},
    {"AmmoniumChloride20", 0, 29.7, 40, 46, 20, 37.56},
    {"AmmoniumChloride40", 20, 37.56, 60, 55.3, 40, 46},
    {"AmmoniumChloride60", 40, 46, 80, 65.6, 60, 55.3},
    {"AmmoniumPhosphate40", 20, 36.8, 60, 82.9, 40, 56.7},
    {"AmmoniumPhosphate60", 40, 56.7, 80, 120.7, 60, 82.9},
    {"PotassiumAlum40", 20, 6.01, 60, 33.3, 40, 13.6},
    {"PotassiumAlum60", 40, 13.6, 80, 72, 60, 33.3},
};
// The band that SolubilityAt states for an interpolated value: 15 %.
constexpr double kStatedBand = 15;
class InterpolationPrint : public testing::TestWithParam<Between> {};
TEST_P(InterpolationPrint, LiesInTheStatedBand) {
  const Between& row = GetParam();
  const kb::chemistry::SolubilityPoint points[] = {{10 * row.low, row.low_celsius},
                                                   {10 * row.high, row.high_celsius}};
  const auto there = kb::chemistry::SolubilityAt(points, row.celsius);
  ASSERT_TRUE(there.has_value()) << there.error().what;
  EXPECT_EQ(there->basis, kb::chemistry::SolubilityBasis::kInterpolated);
  EXPECT_GE(10 * row.printed, there->range.low);
  EXPECT_LE(10 * row.printed, there->range.high);
  const double middle = (there->range.low + there->range.high) / 2;
  ExpectPrinted("solubility interpolated over 10 to 40 C", row.name, 10 * middle / row.printed, 100,
                kStatedBand, "% of print");
}
INSTANTIATE_TEST_SUITE_P(Print, InterpolationPrint, testing::ValuesIn(kBetween), kRowName);

// Boric acid again, 8 g in 100 g of water (a lesson in crystals): clear at 80 C (23.54 dissolve), and at 20 C
// all above 4.87 g comes out, 3.13 g. Both figures carry a band of 15 %, which for the cold one is 0.73 g.
TEST(OnCooling, BoricAcidComesOutAsTheTableSays) {
  const kb::chemistry::SolubilityPoint points[] = {{48.7, 20}, {235.4, 80}};
  const auto cooling = kb::chemistry::OnCooling(8, 100, kb::chemistry::SolubilityAt(points, 80)->range,
                                                kb::chemistry::SolubilityAt(points, 20)->range);
  ASSERT_TRUE(cooling.has_value()) << cooling.error().what;
  EXPECT_EQ(cooling->hot.verdict, kb::chemistry::DissolutionVerdict::kDissolves);
  EXPECT_TRUE(cooling->crystals_certain);
  EXPECT_LE(cooling->crystals_grams.low, 3.13);
  EXPECT_GE(cooling->crystals_grams.high, 3.13);
  ExpectPrinted("crystals on cooling, boric acid", "8 g from 80 to 20 C",
                (cooling->crystals_grams.low + cooling->crystals_grams.high) / 2, 3.13, 0.73, "g");
}

struct Melt {
  const char* name;
  double melting;  // C
  friend void PrintTo(const Melt& row, std::ostream* out) { *out << row.name; }
};
// Yalkowsky's rule of thumb at 25 C, log10 x = -0.01 (mp - 25), as reviews print it. The coefficient has one
// digit: the entropy of 56.5 J/mol K behind it makes 0.0099, so up to 0.0005 a degree.
constexpr Melt kMelts[] = {{"Mp50", 50}, {"Mp80", 80}, {"Mp125", 125}, {"Mp160", 160}, {"Mp240", 240}};
class RuleOfThumb : public testing::TestWithParam<Melt> {};
TEST_P(RuleOfThumb, Agrees) {
  const double above = GetParam().melting - 25;
  ExpectPrinted("ideal solubility, rule of thumb", GetParam().name,
                std::log10(kb::chemistry::IdealSolubility(GetParam().melting, 25).value()), -0.01 * above,
                0.0005 * above, "log10 x");
}
INSTANTIATE_TEST_SUITE_P(Print, RuleOfThumb, testing::ValuesIn(kMelts), kRowName);

}  // namespace
}  // namespace checks
