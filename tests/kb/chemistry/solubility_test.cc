#include "kb/chemistry/solubility.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <ostream>

namespace kb::chemistry {
namespace {

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

class EveryClass : public testing::TestWithParam<SolubilityClass> {};
TEST_P(EveryClass, GoesThereAndBack) {
  const SolubilityRange bounds = ClassBounds(GetParam());
  EXPECT_LT(bounds.low, bounds.high);
  EXPECT_EQ(ClassOf(bounds.low).value(), GetParam());
  const double inside = std::isinf(bounds.high) ? 2 * bounds.low : (bounds.low + bounds.high) / 2;
  EXPECT_EQ(ClassOf(inside).value(), GetParam());
  EXPECT_EQ(ParseSolubilityClass(Name(GetParam())), GetParam());
}
INSTANTIATE_TEST_SUITE_P(Classes, EveryClass,
                         testing::Values(SolubilityClass::kVerySoluble, SolubilityClass::kFreelySoluble,
                                         SolubilityClass::kSoluble, SolubilityClass::kSparinglySoluble,
                                         SolubilityClass::kSlightlySoluble,
                                         SolubilityClass::kVerySlightlySoluble,
                                         SolubilityClass::kPracticallyInsoluble));

TEST(ParseSolubilityClass, TakesOtherCaseAndInsoluble) {
  EXPECT_EQ(ParseSolubilityClass("Freely Soluble"), SolubilityClass::kFreelySoluble);
  EXPECT_EQ(ParseSolubilityClass("insoluble"), SolubilityClass::kPracticallyInsoluble);
}
class NoClass : public testing::TestWithParam<const char*> {};
TEST_P(NoClass, HasNoBounds) {
  EXPECT_EQ(ParseSolubilityClass(GetParam()), std::nullopt);
}
INSTANTIATE_TEST_SUITE_P(Names, NoClass,
                         testing::Values("", " ", "miscible", "partly soluble", "solubl", "solublee",
                                         "soluble ", "very  soluble"));
class ClassOfRefuses : public testing::TestWithParam<double> {};
TEST_P(ClassOfRefuses, OutOfRange) {
  EXPECT_FALSE(ClassOf(GetParam()).has_value());
}
INSTANTIATE_TEST_SUITE_P(Figures, ClassOfRefuses, testing::Values(kNan, -0.001, -kInfinity, kInfinity));

constexpr SolubilityPoint kTwo[] = {{10, 20}, {40, 60}};

TEST(SolubilityAt, InterpolatesInTheLogarithmAgainstOneOverT) {
  const auto middle = SolubilityAt(kTwo, 40);
  ASSERT_TRUE(middle.has_value()) << middle.error().what;
  EXPECT_EQ(middle->basis, SolubilityBasis::kInterpolated);
  const double number = (middle->range.low + middle->range.high) / 2;
  // At the mean of 1/T the value is the geometric mean, 20; 40 C lies 0.532 of the way.
  EXPECT_NEAR(number, 10 * std::pow(4, 0.53193), 0.001);
  EXPECT_NEAR(middle->range.high / number, 1.15, 1e-9);
}

TEST(SolubilityAt, GivesTheFigureOfThatTemperature) {
  const auto there = SolubilityAt(kTwo, 20.5);
  ASSERT_TRUE(there.has_value());
  EXPECT_EQ(there->basis, SolubilityBasis::kAtThatTemperature);
  EXPECT_DOUBLE_EQ(there->range.low, 8.5);
  EXPECT_DOUBLE_EQ(there->range.high, 11.5);
}

TEST(SolubilityAt, WidensForANearbyTemperature) {
  const auto near = SolubilityAt(kTwo, 64);
  ASSERT_TRUE(near.has_value());
  EXPECT_EQ(near->basis, SolubilityBasis::kNearby);
  EXPECT_DOUBLE_EQ(near->range.low, 28);
  EXPECT_DOUBLE_EQ(near->range.high, 52);
}

TEST(SolubilityAt, HoldsBothFiguresThatDisagree) {
  const SolubilityPoint points[] = {{10, 25}, {14, 25}};
  const auto both = SolubilityAt(points, 25);
  ASSERT_TRUE(both.has_value());
  EXPECT_DOUBLE_EQ(both->range.low, 8.5);
  EXPECT_DOUBLE_EQ(both->range.high, 14 * 1.15);
}

TEST(SolubilityAt, TakesAnUnsaidTemperatureForTheRoomOnly) {
  const SolubilityPoint unsaid[] = {{10, std::nullopt}};
  EXPECT_EQ(SolubilityAt(unsaid, 25)->basis, SolubilityBasis::kNearby);
  EXPECT_FALSE(SolubilityAt(unsaid, 75).has_value());
  EXPECT_FALSE(SolubilityAt(unsaid, 5).has_value());
}

struct At {
  const char* name;
  SolubilityPoint point;
  double celsius;
  friend void PrintTo(const At& row, std::ostream* out) { *out << row.name; }
};
constexpr At kBadAt[] = {
    {"FarAbove", {10, 25}, 75},
    {"FarBelow", {10, 25}, 4},
    {"NanTemperature", {10, 25}, kNan},
    {"TooHot", {10, 25}, 150.1},
    {"TooCold", {10, 25}, -20.1},
    {"NoSolubility", {0, 25}, 25},
    {"NegativeSolubility", {-1, 25}, 25},
    {"NanSolubility", {kNan, 25}, 25},
    {"InfiniteSolubility", {kInfinity, 25}, 25},
    {"NanPoint", {10, kNan}, 25},
    {"HotPoint", {10, 151}, 25},
};
class SolubilityAtRefuses : public testing::TestWithParam<At> {};
TEST_P(SolubilityAtRefuses, OutOfRange) {
  const SolubilityPoint points[] = {GetParam().point};
  EXPECT_FALSE(SolubilityAt(points, GetParam().celsius).has_value());
}
INSTANTIATE_TEST_SUITE_P(Points, SolubilityAtRefuses, testing::ValuesIn(kBadAt), kRowName);
TEST(SolubilityAt, RefusesAnEmptyList) {
  EXPECT_FALSE(SolubilityAt({}, 25).has_value());
}

struct Bench {
  const char* name;
  double solute, solvent;
  std::optional<SolubilityRange> solubility;
  DissolutionVerdict verdict;
  double left_low, left_high;
  friend void PrintTo(const Bench& row, std::ostream* out) { *out << row.name; }
};
constexpr Bench kBenches[] = {
    {"Dissolves", 1, 100, SolubilityRange{20, 30}, DissolutionVerdict::kDissolves, 0, 0},
    {"JustDissolves", 2, 100, SolubilityRange{20, 30}, DissolutionVerdict::kDissolves, 0, 0},
    {"Borderline", 2.5, 100, SolubilityRange{20, 30}, DissolutionVerdict::kBorderline, 0, 0.5},
    {"BorderlineAtTheTop", 3, 100, SolubilityRange{20, 30}, DissolutionVerdict::kBorderline, 0, 1},
    {"DoesNot", 5, 100, SolubilityRange{20, 30}, DissolutionVerdict::kDoesNotDissolve, 2, 3},
    {"Unknown", 5, 100, std::nullopt, DissolutionVerdict::kUnknown, 0, 5},
    {"VerySoluble", 90, 100, SolubilityRange{1000, kInfinity}, DissolutionVerdict::kDissolves, 0, 0},
    {"VerySolubleButMore", 120, 100, SolubilityRange{1000, kInfinity}, DissolutionVerdict::kBorderline, 0,
     20},
    {"Insoluble", 1, 100, SolubilityRange{0, 0}, DissolutionVerdict::kDoesNotDissolve, 1, 1},
    {"Nothing", 0, 100, SolubilityRange{0, 0}, DissolutionVerdict::kDissolves, 0, 0},
};
class DissolveTable : public testing::TestWithParam<Bench> {};
TEST_P(DissolveTable, GivesVerdictAndWhatStays) {
  const auto result = Dissolve(GetParam().solute, GetParam().solvent, GetParam().solubility);
  ASSERT_TRUE(result.has_value()) << result.error().what;
  EXPECT_EQ(result->verdict, GetParam().verdict);
  EXPECT_NEAR(result->undissolved_grams.low, GetParam().left_low, 1e-9);
  EXPECT_NEAR(result->undissolved_grams.high, GetParam().left_high, 1e-9);
  EXPECT_DOUBLE_EQ(result->load, GetParam().solute / GetParam().solvent * 1000);
}
INSTANTIATE_TEST_SUITE_P(Benches, DissolveTable, testing::ValuesIn(kBenches), kRowName);

constexpr Bench kBadBenches[] = {
    {"NegativeSolute", -1, 100, SolubilityRange{20, 30}, {}, 0, 0},
    {"NanSolute", kNan, 100, SolubilityRange{20, 30}, {}, 0, 0},
    {"InfiniteSolute", kInfinity, 100, SolubilityRange{20, 30}, {}, 0, 0},
    {"NoSolvent", 1, 0, SolubilityRange{20, 30}, {}, 0, 0},
    {"NegativeSolvent", 1, -5, SolubilityRange{20, 30}, {}, 0, 0},
    {"NanSolvent", 1, kNan, SolubilityRange{20, 30}, {}, 0, 0},
    {"TurnedRange", 1, 100, SolubilityRange{30, 20}, {}, 0, 0},
    {"NegativeRange", 1, 100, SolubilityRange{-1, 20}, {}, 0, 0},
    {"NanLow", 1, 100, SolubilityRange{kNan, 20}, {}, 0, 0},
    {"NanHigh", 1, 100, SolubilityRange{20, kNan}, {}, 0, 0},
    {"InfiniteLow", 1, 100, SolubilityRange{kInfinity, kInfinity}, {}, 0, 0},
};
class DissolveRefuses : public testing::TestWithParam<Bench> {};
TEST_P(DissolveRefuses, OutOfRange) {
  const auto& row = GetParam();
  const SolubilityRange good{20, 30};
  EXPECT_FALSE(Dissolve(row.solute, row.solvent, row.solubility).has_value());
  EXPECT_FALSE(OnCooling(row.solute, row.solvent, row.solubility, good).has_value());
  EXPECT_FALSE(OnCooling(row.solute, row.solvent, good, row.solubility).has_value());
}
INSTANTIATE_TEST_SUITE_P(Benches, DissolveRefuses, testing::ValuesIn(kBadBenches), kRowName);

TEST(OnCooling, SaysWhatComesOut) {
  // 5 g in 100 mL: all dissolves hot, 1 to 2 g stay dissolved cold.
  const auto cooling = OnCooling(5, 100, SolubilityRange{60, 80}, SolubilityRange{10, 20});
  ASSERT_TRUE(cooling.has_value()) << cooling.error().what;
  EXPECT_EQ(cooling->hot.verdict, DissolutionVerdict::kDissolves);
  EXPECT_EQ(cooling->cold.verdict, DissolutionVerdict::kDoesNotDissolve);
  EXPECT_NEAR(cooling->crystals_grams.low, 3, 1e-9);
  EXPECT_NEAR(cooling->crystals_grams.high, 4, 1e-9);
  EXPECT_TRUE(cooling->crystals_certain);
}

TEST(OnCooling, CountsOnlyWhatHadDissolvedHot) {
  // 10 g in 100 mL: 6 to 8 g dissolve hot, so 2 to 4 g never did; 1 to 2 g stay dissolved cold.
  const auto cooling = OnCooling(10, 100, SolubilityRange{60, 80}, SolubilityRange{10, 20});
  ASSERT_TRUE(cooling.has_value());
  EXPECT_NEAR(cooling->crystals_grams.low, 4, 1e-9);
  EXPECT_NEAR(cooling->crystals_grams.high, 7, 1e-9);
}

TEST(OnCooling, StaysClearOrMayNot) {
  const auto clear = OnCooling(1, 100, SolubilityRange{60, 80}, SolubilityRange{10, 20});
  EXPECT_FALSE(clear->crystals_possible);
  const auto perhaps = OnCooling(1.5, 100, SolubilityRange{60, 80}, SolubilityRange{10, 20});
  EXPECT_TRUE(perhaps->crystals_possible);
  EXPECT_FALSE(perhaps->crystals_certain);
  const auto unknown = OnCooling(1.5, 100, SolubilityRange{60, 80}, std::nullopt);
  EXPECT_EQ(unknown->cold.verdict, DissolutionVerdict::kUnknown);
  EXPECT_TRUE(unknown->crystals_possible);
  EXPECT_FALSE(unknown->crystals_certain);
}

TEST(IdealSolubility, IsOneAboveTheMeltingPoint) {
  EXPECT_DOUBLE_EQ(IdealSolubility(50, 50).value(), 1);
  EXPECT_DOUBLE_EQ(IdealSolubility(50, 80).value(), 1);
  EXPECT_LT(IdealSolubility(160, 25).value(), IdealSolubility(60, 25).value());
}

struct Two {
  const char* name;
  double melting, celsius;
  friend void PrintTo(const Two& row, std::ostream* out) { *out << row.name; }
};
constexpr Two kBadMelts[] = {
    {"NanMelting", kNan, 25},      {"MeltingTooHigh", 400.1, 25}, {"MeltingTooLow", -50.1, 25},
    {"NanTemperature", 100, kNan}, {"TooHot", 100, 150.1},        {"TooCold", 100, -20.1},
};
class IdealSolubilityRefuses : public testing::TestWithParam<Two> {};
TEST_P(IdealSolubilityRefuses, OutOfRange) {
  EXPECT_FALSE(IdealSolubility(GetParam().melting, GetParam().celsius).has_value());
}
INSTANTIATE_TEST_SUITE_P(Melts, IdealSolubilityRefuses, testing::ValuesIn(kBadMelts), kRowName);

TEST(GramsPer100Grams, FollowsFromTheMoleFraction) {
  EXPECT_DOUBLE_EQ(GramsPer100Grams(0.5, 200, 100).value(), 200);
  EXPECT_DOUBLE_EQ(GramsPer100Grams(0, 200, 100).value(), 0);
}
struct Three {
  const char* name;
  double fraction, solute, solvent;
  friend void PrintTo(const Three& row, std::ostream* out) { *out << row.name; }
};
constexpr Three kBadFractions[] = {
    {"One", 1, 200, 100},         {"Negative", -0.1, 200, 100},  {"Nan", kNan, 200, 100},
    {"LightSolute", 0.5, 9, 100}, {"NanSolute", 0.5, kNan, 100}, {"HeavySolvent", 0.5, 200, 5001},
};
class GramsRefuses : public testing::TestWithParam<Three> {};
TEST_P(GramsRefuses, OutOfRange) {
  EXPECT_FALSE(GramsPer100Grams(GetParam().fraction, GetParam().solute, GetParam().solvent).has_value());
}
INSTANTIATE_TEST_SUITE_P(Fractions, GramsRefuses, testing::ValuesIn(kBadFractions), kRowName);

}  // namespace
}  // namespace kb::chemistry
