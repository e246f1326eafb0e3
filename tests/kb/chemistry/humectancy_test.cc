#include "kb/chemistry/humectancy.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <ostream>
#include <vector>

namespace kb::chemistry {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

constexpr UptakePair kPairs[] = {{60, 20}, {80, 40}, {90, 80}};

TEST(WaterUptake, InterpolatesBetweenNeighbours) {
  EXPECT_DOUBLE_EQ(WaterUptake(kPairs, 60).value(), 20);
  EXPECT_DOUBLE_EQ(WaterUptake(kPairs, 70).value(), 30);
  EXPECT_DOUBLE_EQ(WaterUptake(kPairs, 80).value(), 40);
  EXPECT_DOUBLE_EQ(WaterUptake(kPairs, 85).value(), 60);
  EXPECT_DOUBLE_EQ(WaterUptake(kPairs, 90).value(), 80);
}

TEST(WaterUptake, GivesNoValueInsideADeliquescenceStep) {
  constexpr UptakePair kSalt[] = {{70, 0.1}, {80, 130}, {90, 585}};
  EXPECT_DOUBLE_EQ(WaterUptake(kSalt, 70).value(), 0.1);
  EXPECT_DOUBLE_EQ(WaterUptake(kSalt, 80).value(), 130);
  EXPECT_TRUE(WaterUptake(kSalt, 85).has_value());
  const auto inside = WaterUptake(kSalt, 75);
  ASSERT_FALSE(inside.has_value());
  EXPECT_THAT(inside.error().what, HasSubstr("dissolves itself"));
}

class HumidityRefused : public testing::TestWithParam<double> {};
TEST_P(HumidityRefused, OutsideThePairs) {
  EXPECT_FALSE(WaterUptake(kPairs, GetParam()).has_value());
}
INSTANTIATE_TEST_SUITE_P(Humidities, HumidityRefused,
                         testing::Values(59.9, 90.1, 0.0, -1.0, 101.0, kNan, kInfinity));

struct Pairs {
  const char* name;
  std::vector<UptakePair> pairs;
  friend void PrintTo(const Pairs& row, std::ostream* out) { *out << row.name; }
};
const Pairs kBadPairs[] = {
    {"Empty", {}},
    {"OnlyOne", {{60, 20}}},
    {"SameHumidity", {{60, 20}, {60, 30}}},
    {"FallingHumidity", {{80, 20}, {60, 30}}},
    {"FallingUptake", {{60, 30}, {80, 20}}},
    {"NanHumidity", {{60, 20}, {kNan, 30}}},
    {"HumidityAbove", {{60, 20}, {100.1, 30}}},
    {"NegativeHumidity", {{-1, 20}, {60, 30}}},
    {"NanUptake", {{60, kNan}, {80, 30}}},
    {"NegativeUptake", {{60, -1}, {80, 30}}},
    {"InfiniteUptake", {{60, 1}, {80, kInfinity}}},
};
class PairsRefused : public testing::TestWithParam<Pairs> {};
TEST_P(PairsRefused, OutOfOrderOrRange) {
  EXPECT_FALSE(WaterUptake(GetParam().pairs, 60).has_value());
}
INSTANTIATE_TEST_SUITE_P(Lists, PairsRefused, testing::ValuesIn(kBadPairs), kRowName);

TEST(NorrishWaterActivity, IsRaoultsLawWithoutK) {
  EXPECT_DOUBLE_EQ(NorrishWaterActivity(0, 1.16).value(), 1);
  EXPECT_DOUBLE_EQ(NorrishWaterActivity(0.1, 0).value(), 0.9);
  EXPECT_LT(NorrishWaterActivity(0.1, 1.65).value(), NorrishWaterActivity(0.1, 1.16).value());
}

struct Norrish {
  const char* name;
  double solute, k;
  friend void PrintTo(const Norrish& row, std::ostream* out) { *out << row.name; }
};
constexpr Norrish kBadNorrish[] = {
    {"NanSolute", kNan, 1}, {"NegativeSolute", -0.01, 1}, {"TooConcentrated", 0.251, 1},
    {"NanK", 0.1, kNan},    {"NegativeK", 0.1, -0.1},     {"KAbove", 0.1, 10.1},
};
class NorrishRefuses : public testing::TestWithParam<Norrish> {};
TEST_P(NorrishRefuses, OutOfRange) {
  EXPECT_FALSE(NorrishWaterActivity(GetParam().solute, GetParam().k).has_value());
}
INSTANTIATE_TEST_SUITE_P(Inputs, NorrishRefuses, testing::ValuesIn(kBadNorrish), kRowName);

TEST(WaterActivityOf, IsTheProductOfEachAlone) {
  const Humectant glycerin{"glycerin", 9.2094, 92.094, 1.16}, sorbitol{"sorbitol", 18.217, 182.17, 1.65};
  const Humectant first[] = {glycerin}, second[] = {sorbitol}, both[] = {glycerin, sorbitol};
  const auto mixed = WaterActivityOf(80, both);
  ASSERT_TRUE(mixed.has_value()) << mixed.error().what;
  EXPECT_DOUBLE_EQ(mixed->value, WaterActivityOf(80, first)->value * WaterActivityOf(80, second)->value);
  EXPECT_THAT(mixed->not_counted, IsEmpty());
}

TEST(WaterActivityOf, NamesWhatItCannotCount) {
  const Humectant two[] = {{"new humectant", 5, 100, std::nullopt}, {"none of it", 0, 100, std::nullopt}};
  const auto activity = WaterActivityOf(80, two);
  ASSERT_TRUE(activity.has_value());
  EXPECT_DOUBLE_EQ(activity->value, 1);
  EXPECT_THAT(activity->not_counted, ElementsAre("new humectant"));
  EXPECT_DOUBLE_EQ(WaterActivityOf(80, {})->value, 1);
}

struct Solution {
  const char* name;
  double water, grams, molar_mass, k;
  friend void PrintTo(const Solution& row, std::ostream* out) { *out << row.name; }
};
constexpr Solution kBadSolutions[] = {
    {"NoWater", 0, 5, 92, 1.16},           {"NegativeWater", -1, 5, 92, 1.16},
    {"NanWater", kNan, 5, 92, 1.16},       {"NegativeGrams", 80, -5, 92, 1.16},
    {"NanGrams", 80, kNan, 92, 1.16},      {"LightMolecule", 80, 5, 9, 1.16},
    {"NanMolarMass", 80, 5, kNan, 1.16},   {"NegativeK", 80, 5, 92, -1},
    {"TooConcentrated", 20, 80, 92, 1.16},
};
class WaterActivityRefuses : public testing::TestWithParam<Solution> {};
TEST_P(WaterActivityRefuses, OutOfRange) {
  const auto& row = GetParam();
  const Humectant one[] = {{"it", row.grams, row.molar_mass, row.k}};
  EXPECT_FALSE(WaterActivityOf(row.water, one).has_value());
}
INSTANTIATE_TEST_SUITE_P(Solutions, WaterActivityRefuses, testing::ValuesIn(kBadSolutions), kRowName);

}  // namespace
}  // namespace kb::chemistry
