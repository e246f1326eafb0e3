#include "kb/chemistry/preservation.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

namespace kb::chemistry {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(FreeInWater, IsAllOfItWithoutOilAndMicelles) {
  const auto free = FreeInWater({.overall = 0.5, .undissociated = 0.4});
  ASSERT_TRUE(free.has_value());
  EXPECT_DOUBLE_EQ(free->in_water, 0.5);
  EXPECT_DOUBLE_EQ(free->undissociated, 0.2);
  EXPECT_DOUBLE_EQ(free->share_free, 1);
}

// What binds is R of total over free by definition: J. Soc. Cosmet. Chem. 23 (1972) p. 714.
TEST(FreeInWater, WithMicellesAloneIsTheTotalOverR) {
  EXPECT_DOUBLE_EQ(FreeInWater({.overall = 0.6, .binding = 3})->in_water, 0.2);
}

// By hand: one volume of oil and one of water, K = 10, half dissociated, R = 2. Per volume of water 0.4 x 2 = 0.8 in
// all; free w, bound w, in the oil 10 x w / 2: 7 w = 0.8.
TEST(FreeInWater, AddsUpOilMicellesAndDissociation) {
  const auto free =
      FreeInWater({.overall = 0.4, .oil_to_water = 1, .oil_water = 10, .undissociated = 0.5, .binding = 2});
  ASSERT_TRUE(free.has_value());
  EXPECT_NEAR(free->in_water, 0.8 / 7, 1e-12);
  EXPECT_NEAR(free->undissociated, 0.4 / 7, 1e-12);
  EXPECT_NEAR(free->in_oil, 4.0 / 7, 1e-12);
  EXPECT_NEAR(free->share_free, 1.0 / 7, 1e-12);
}

TEST(FreeInWater, LosesNothingOnTheWay) {
  std::mt19937 random(1969);
  const auto upto = [&](double most) { return most * static_cast<double>(random()) / 4294967295.0; };
  for (int run = 0; run < 5000; ++run) {
    const Partition partition{upto(5), upto(20), std::pow(10, upto(8) - 3), upto(1), 1 + upto(50)};
    const auto free = FreeInWater(partition);
    ASSERT_TRUE(free.has_value());
    const double found = free->in_water * partition.binding + free->in_oil * partition.oil_to_water;
    const double put_in = partition.overall * (1 + partition.oil_to_water);
    ASSERT_NEAR(found, put_in, 1e-9 * put_in) << "run " << run;
    ASSERT_GE(free->share_free, 0);
    ASSERT_LE(free->share_free, 1);
    ASSERT_LE(free->undissociated, free->in_water);
  }
}

struct PartitionRefusal {
  const char* row;
  Partition partition;
  const char* says;
  friend void PrintTo(const PartitionRefusal& refusal, std::ostream* out) { *out << refusal.row; }
};
// clang-format off
const PartitionRefusal kPartitionRefusals[] = {
    {"OverallNan", {kNan, 0, 1, 1, 1}, "overall concentration is nan"},
    {"OverallNegative", {-0.1, 0, 1, 1, 1}, "overall concentration is -0.1"},
    {"OverallAbove", {100.1, 0, 1, 1, 1}, "expected 0 to 100"},
    {"RatioNegative", {1, -1, 1, 1, 1}, "oil to water ratio is -1"},
    {"RatioInfinite", {1, kInfinity, 1, 1, 1}, "oil to water ratio is inf"},
    {"CoefficientNegative", {1, 1, -1, 1, 1}, "partition coefficient is -1"},
    {"CoefficientNan", {1, 1, kNan, 1, 1}, "partition coefficient is nan"},
    {"ShareAbove", {1, 1, 1, 1.01, 1}, "share undissociated is 1.01"},
    {"ShareNegative", {1, 1, 1, -0.01, 1}, "share undissociated is -0.01"},
    {"BindingBelowOne", {1, 1, 1, 1, 0.99}, "binding factor is 0.99"},
    {"BindingNan", {1, 1, 1, 1, kNan}, "binding factor is nan"},
};
// clang-format on
class FreeInWaterRefuses : public testing::TestWithParam<PartitionRefusal> {};
TEST_P(FreeInWaterRefuses, AndSaysWhy) {
  const auto free = FreeInWater(GetParam().partition);
  ASSERT_FALSE(free.has_value());
  EXPECT_THAT(free.error().what, HasSubstr(GetParam().says));
}
INSTANTIATE_TEST_SUITE_P(Inputs, FreeInWaterRefuses, testing::ValuesIn(kPartitionRefusals),
                         [](const auto& any) { return std::string(any.param.row); });

constexpr Rating kU = Rating::kUnknown;
constexpr Rating kN = Rating::kNone;
constexpr Rating kW = Rating::kWeak;
constexpr Rating kM = Rating::kModerate;
constexpr Rating kG = Rating::kGood;

TEST(SpectrumUnion, TakesTheBestOfEachKingdom) {
  // An organic acid beside an aromatic alcohol: the one holds yeast and mould, the other bacteria.
  const std::vector<Spectrum> blend = {{kW, kW, kG, kM}, {kG, kM, kN, kW}};
  EXPECT_EQ(SpectrumUnion(blend), (Spectrum{kG, kM, kG, kM}));
}

struct UnionRow {
  Rating one, other, together;
};
TEST(SpectrumUnion, NeverClaimsMoreThanOneOfThemDoes) {
  // clang-format off
  const UnionRow rows[] = {
      {kW, kW, kW},  // two weak ones stay weak
      {kN, kN, kN},
      {kN, kU, kU},
      {kU, kN, kU},
      {kU, kU, kU},
      {kU, kW, kW},
      {kG, kU, kG},
      {kN, kG, kG},
      {kM, kG, kG},
  };
  // clang-format on
  for (const UnionRow& row : rows) {
    const std::vector<Spectrum> blend = {{row.one, kU, kU, kU}, {row.other, kU, kU, kU}};
    EXPECT_EQ(SpectrumUnion(blend).gram_positive, row.together)
        << static_cast<int>(row.one) << " with " << static_cast<int>(row.other);
  }
}

TEST(SpectrumUnion, KnowsNothingOfAnEmptyBlend) {
  EXPECT_EQ(SpectrumUnion({}), Spectrum{});
}

TEST(Gaps, CountTheUnknownAsOpen) {
  const Spectrum spectrum{kG, kM, kU, kW};
  EXPECT_THAT(Gaps(spectrum, kG), ElementsAre(Kingdom::kGramNegative, Kingdom::kYeast, Kingdom::kMould));
  EXPECT_THAT(Gaps(spectrum, kM), ElementsAre(Kingdom::kYeast, Kingdom::kMould));
  EXPECT_THAT(Gaps(spectrum, kW), ElementsAre(Kingdom::kYeast));
  EXPECT_THAT(Gaps(spectrum, kU), IsEmpty());
}

struct SaltRow {
  const char* row;
  double salt_mass, acid_mass;
  int acids;
  double acid_per_salt;
  friend void PrintTo(const SaltRow& salt, std::ostream* out) { *out << salt.row; }
};
// Grams of acid in a gram of salt, divided by hand from the molar masses.
// clang-format off
constexpr SaltRow kSalts[] = {
    {"SodiumBenzoate", 144.10, 122.12, 1, 0.847},
    {"PotassiumSorbate", 150.22, 112.13, 1, 0.746},
    {"CalciumSorbate", 262.32, 112.13, 2, 0.855},
    {"SodiumDehydroacetate", 190.13, 168.15, 1, 0.884},
};
// clang-format on
class FreeAcid : public testing::TestWithParam<SaltRow> {};
TEST_P(FreeAcid, IsTheSaltByMolarMass) {
  const SaltRow& row = GetParam();
  const auto level = FreeAcidLevel(0.5, row.salt_mass, row.acid_mass, row.acids);
  ASSERT_TRUE(level.has_value()) << level.error().what;
  EXPECT_NEAR(*level, 0.5 * row.acid_per_salt, 0.5 * 0.0005);  // three figures
}
INSTANTIATE_TEST_SUITE_P(Salts, FreeAcid, testing::ValuesIn(kSalts),
                         [](const auto& any) { return std::string(any.param.row); });

TEST(FreeAcidLevel, RefusesWhatMakesNoSense) {
  EXPECT_FALSE(FreeAcidLevel(kNan, 144.1, 122.1).has_value());
  EXPECT_FALSE(FreeAcidLevel(-0.1, 144.1, 122.1).has_value());
  EXPECT_FALSE(FreeAcidLevel(100.01, 144.1, 122.1).has_value());
  EXPECT_FALSE(FreeAcidLevel(1, 0, 122.1).has_value());
  EXPECT_FALSE(FreeAcidLevel(1, 144.1, kNan).has_value());
  EXPECT_FALSE(FreeAcidLevel(1, kInfinity, 122.1).has_value());
  EXPECT_FALSE(FreeAcidLevel(1, 144.1, 122.1, 0).has_value());
  EXPECT_FALSE(FreeAcidLevel(1, 144.1, 122.1, 21).has_value());
  const auto swapped = FreeAcidLevel(1, 112.13, 150.22);
  ASSERT_FALSE(swapped.has_value());
  EXPECT_THAT(swapped.error().what, HasSubstr("swapped"));
}

TEST(AgainstLimit, AddsUpAndSaysWhenItIsTooMuch) {
  const auto met = AgainstLimit(std::vector{0.3, 0.2}, 0.5);
  ASSERT_TRUE(met.has_value());
  EXPECT_NEAR(met->total, 0.5, 1e-12);
  EXPECT_NEAR(met->share, 1, 1e-12);
  EXPECT_FALSE(met->over);
  EXPECT_FALSE(AgainstLimit(std::vector{0.1, 0.2}, 0.3)->over);  // whose sum in doubles is above 0.3
  EXPECT_TRUE(AgainstLimit(std::vector{0.3, 0.2001}, 0.5)->over);
  EXPECT_EQ(AgainstLimit({}, 0.5)->total, 0);
}

TEST(AgainstLimit, RefusesWhatMakesNoSense) {
  EXPECT_FALSE(AgainstLimit(std::vector{0.3}, 0).has_value());
  EXPECT_FALSE(AgainstLimit(std::vector{0.3}, -1).has_value());
  EXPECT_FALSE(AgainstLimit(std::vector{0.3}, kNan).has_value());
  EXPECT_FALSE(AgainstLimit(std::vector{0.3}, 101).has_value());
  EXPECT_FALSE(AgainstLimit(std::vector{0.3, -0.1}, 1).has_value());
  EXPECT_FALSE(AgainstLimit(std::vector{kNan}, 1).has_value());
}

}  // namespace
}  // namespace kb::chemistry
