#include "kb/chemistry/hansen.h"

#include <gtest/gtest.h>

#include <limits>
#include <ostream>

namespace kb::chemistry {
namespace {

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(HansenDistance, WeighsDispersionTwice) {
  EXPECT_DOUBLE_EQ(HansenDistance({16, 5, 5}, {17, 5, 5}).value(), 2);
  EXPECT_DOUBLE_EQ(HansenDistance({16, 5, 5}, {16, 6, 5}).value(), 1);
  EXPECT_DOUBLE_EQ(HansenDistance({16, 5, 5}, {16, 5, 4}).value(), 1);
  EXPECT_DOUBLE_EQ(HansenDistance({16, 5, 5}, {16, 5, 5}).value(), 0);
}

struct Point {
  const char* name;
  HansenPoint point;
  friend void PrintTo(const Point& row, std::ostream* out) { *out << row.name; }
};
constexpr Point kBadPoints[] = {
    {"NanDispersion", {kNan, 1, 1}},   {"NanPolar", {16, kNan, 1}},
    {"NanHydrogen", {16, 1, kNan}},    {"NegativePolar", {16, -0.1, 1}},
    {"DispersionAbove", {60.1, 1, 1}}, {"InfiniteHydrogen", {16, 1, kInfinity}},
};
class HansenRefuses : public testing::TestWithParam<Point> {};
TEST_P(HansenRefuses, OutOfRange) {
  EXPECT_FALSE(HansenDistance(GetParam().point, {16, 5, 5}).has_value());
  EXPECT_FALSE(HansenDistance({16, 5, 5}, GetParam().point).has_value());
  const HansenPart part[] = {{GetParam().point, 1}};
  EXPECT_FALSE(HansenBlend(part).has_value());
}
INSTANTIATE_TEST_SUITE_P(Points, HansenRefuses, testing::ValuesIn(kBadPoints), kRowName);

TEST(RelativeEnergyDifference, IsDistanceOverRadius) {
  EXPECT_DOUBLE_EQ(RelativeEnergyDifference(4, 8).value(), 0.5);
  EXPECT_DOUBLE_EQ(RelativeEnergyDifference(0, 8).value(), 0);
}

struct Red {
  const char* name;
  double distance, radius;
  friend void PrintTo(const Red& row, std::ostream* out) { *out << row.name; }
};
constexpr Red kBadReds[] = {
    {"NoRadius", 4, 0},
    {"NegativeRadius", 4, -1},
    {"NanRadius", 4, kNan},
    {"RadiusAbove", 4, 60.1},
    {"NanDistance", kNan, 8},
    {"NegativeDistance", -1, 8},
    {"InfiniteDistance", kInfinity, 8},
};
class RedRefuses : public testing::TestWithParam<Red> {};
TEST_P(RedRefuses, OutOfRange) {
  EXPECT_FALSE(RelativeEnergyDifference(GetParam().distance, GetParam().radius).has_value());
}
INSTANTIATE_TEST_SUITE_P(Reds, RedRefuses, testing::ValuesIn(kBadReds), kRowName);

TEST(HansenBlend, IsTheMeanByVolume) {
  const HansenPart parts[] = {{{16, 4, 8}, 3}, {{20, 8, 0}, 1}};
  const auto blend = HansenBlend(parts);
  ASSERT_TRUE(blend.has_value()) << blend.error().what;
  EXPECT_DOUBLE_EQ(blend->dispersion, 17);
  EXPECT_DOUBLE_EQ(blend->polar, 5);
  EXPECT_DOUBLE_EQ(blend->hydrogen_bonding, 6);
}

class BlendRefusesVolume : public testing::TestWithParam<double> {};
TEST_P(BlendRefusesVolume, OutOfRange) {
  const HansenPart parts[] = {{{16, 4, 8}, GetParam()}};
  EXPECT_FALSE(HansenBlend(parts).has_value());
}
INSTANTIATE_TEST_SUITE_P(Volumes, BlendRefusesVolume, testing::Values(0.0, -1.0, kNan, kInfinity, 1e308));
TEST(HansenBlend, RefusesAnEmptyList) {
  EXPECT_FALSE(HansenBlend({}).has_value());
}

}  // namespace
}  // namespace kb::chemistry
