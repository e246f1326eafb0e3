#include "kb/chemistry/acid_base.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "kb/chemistry/activity.h"

// What acid_base.h promises, on small mixtures. Measured buffers are in tests/checks/chemistry, laws over random
// mixtures in equilibrium_test.cc.

namespace kb::chemistry {
namespace {

using testing::HasSubstr;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

Solute Citric(double molality, std::vector<StrongIon> ions = {}) {
  return {"citric acid", molality, 0, {3.128, 4.761, 6.396}, std::move(ions), 0.1};
}
Solute Acetic(double molality, std::vector<StrongIon> ions = {}) {
  return {"acetic acid", molality, 0, {4.757}, std::move(ions), 0.1};
}
Solute Hydroxide(double molality) {
  return {"sodium hydroxide", molality, 0, {}, {{1, 1}}, 0.1};
}
Solute Hydrochloric(double molality) {
  return {"hydrochloric acid", molality, 0, {}, {{-1, 1}}, 0.1};
}
Solute Salt(double molality) {
  return {"sodium chloride", molality, 0, {}, {{1, 1}, {-1, 1}}, 0.1};
}
Solute Triethanolamine(double molality) {
  return {"triethanolamine", molality, 1, {7.76}, {}, 0.1};
}

TEST(SolvePh, PureWaterIsHalfOfPkwAndTellsNothing) {
  const auto water = SolvePh({});
  ASSERT_TRUE(water.has_value());
  EXPECT_NEAR(water->ph, 13.995 / 2, 1e-3);  // gamma at 1e-7 mol/kg is 0.9996
  // A trace of acid or base as small as the air brings moves it by two units, and the band has to say so.
  EXPECT_LT(water->ph_low, 5.5);
  EXPECT_GT(water->ph_high, 8.5);
  EXPECT_TRUE(water->drivers.empty());
}

// Dilute enough that activities change nothing (I below 0.0001: 0.005 in log10 gamma), so that the school formulas hold.
TEST(SolvePh, AgreesWithSchoolFormulasWhenDilute) {
  constexpr double kActivity = 0.01;
  // x^2 / (0.001 - x) = 10^-4.757: x = 1.237e-4.
  EXPECT_NEAR(SolvePh(std::vector{Acetic(0.001)})->ph, -std::log10(1.237e-4), kActivity);
  // Equal parts, 1e-4 each: x (1e-4 + x) / (1e-4 - x) = 10^-4.757, x = 1.337e-5.
  EXPECT_NEAR(SolvePh(std::vector{Acetic(1e-4), Acetic(1e-4, {{1, 1}})})->ph, -std::log10(1.337e-5),
              kActivity);
  EXPECT_NEAR(SolvePh(std::vector{Hydrochloric(1e-4)})->ph, 4, kActivity);
  EXPECT_NEAR(SolvePh(std::vector{Hydroxide(1e-4)})->ph, 13.995 - 4, kActivity);
  // Amine: x^2 / (0.001 - x) = 10^-(13.995 - 7.76), x = 2.384e-5.
  EXPECT_NEAR(SolvePh(std::vector{Triethanolamine(0.001)})->ph, 13.995 + std::log10(2.384e-5), kActivity);
}

TEST(SolvePh, TakesAcidWithHydroxideForItsSalt) {
  const auto poured = SolvePh(std::vector{Citric(0.05), Hydroxide(0.15)});
  const auto bought = SolvePh(std::vector{Citric(0.05, {{1, 3}})});
  ASSERT_TRUE(poured && bought);
  EXPECT_NEAR(poured->ph, bought->ph, 1e-9);
  EXPECT_NEAR(poured->ionic_strength, bought->ionic_strength, 1e-9);
}

TEST(SolvePh, CountsTheChargeOfStrongIonsSquared) {
  // Calcium chloride 0.1 mol/kg: (4 x 0.1 + 1 x 0.2) / 2.
  const Solute calcium_chloride{"calcium chloride", 0.1, 0, {}, {{2, 1}, {-1, 2}}, 0};
  EXPECT_NEAR(SolvePh(std::vector{calcium_chloride})->ionic_strength, 0.3, 1e-6);
}

TEST(SolvePh, SaysWhenDaviesIsOutOfItsRange) {
  const auto within = SolvePh(std::vector{Acetic(0.01), Salt(0.49)});
  const auto beyond = SolvePh(std::vector{Acetic(0.01), Salt(0.51)});
  ASSERT_TRUE(within && beyond);
  EXPECT_EQ(within->activity, ActivityModel::kDavies);
  EXPECT_EQ(beyond->activity, ActivityModel::kDaviesHeld);
  // The coefficient is held, so nothing jumps at the limit; the band does, by the trust that is lost.
  EXPECT_NEAR(within->ph, beyond->ph, 0.001);
  EXPECT_GT(beyond->ph_high - beyond->ph_low, within->ph_high - within->ph_low);
  EXPECT_NEAR(SolvePh(std::vector{Acetic(0.01), Salt(5)})->ph, beyond->ph, 0.001);
}

TEST(SolvePh, GivesTheSharesInTheOrderOfTheSolutes) {
  const auto solution = SolvePh(std::vector{Salt(0.1), Acetic(0.01, {{1, 1}}), Citric(0.001)});
  ASSERT_TRUE(solution.has_value());
  ASSERT_EQ(solution->shares.size(), 3U);
  EXPECT_EQ(solution->shares[0], std::vector<double>{1});
  EXPECT_EQ(solution->shares[1].size(), 2U);
  EXPECT_EQ(solution->shares[2].size(), 4U);
}

TEST(SolvePh, BufferCapacityIsTheSlopeOfTheTitration) {
  const auto at = [](double base) { return SolvePh(std::vector{Citric(0.05), Salt(0.3), Hydroxide(base)}); };
  const auto before = at(0.0749);
  const auto after = at(0.0751);
  // One part in a thousand of I comes with the base and moves the pKa values a little: 3 %.
  EXPECT_NEAR(0.0002 / (after->ph - before->ph), at(0.075)->buffer_capacity,
              0.03 * at(0.075)->buffer_capacity);
}

TEST(SolvePh, NamesWhatDrivesThePh) {
  const auto solution = SolvePh(std::vector{Salt(0.001), Citric(0.02), Hydroxide(0.03)});
  ASSERT_TRUE(solution.has_value());
  ASSERT_EQ(solution->drivers.size(), 2U);  // not the salt
  // Without the acid the pH goes up to the hydroxide's 12.4, without the base down to the acid's 2.5.
  EXPECT_EQ(solution->drivers[0].name, "citric acid");
  EXPECT_EQ(solution->drivers[0].index, 1U);
  EXPECT_NEAR(solution->drivers[0].ph_without, SolvePh(std::vector{Salt(0.001), Hydroxide(0.03)})->ph, 1e-9);
  EXPECT_GT(solution->drivers[0].buffer_share, 0.99);
  EXPECT_EQ(solution->drivers[1].name, "sodium hydroxide");
  EXPECT_EQ(solution->drivers[1].index, 2U);
  EXPECT_NEAR(solution->drivers[1].ph_without, SolvePh(std::vector{Salt(0.001), Citric(0.02)})->ph, 1e-9);
  EXPECT_EQ(solution->drivers[1].buffer_share, 0);
}

TEST(SolvePh, BandGrowsWithTheDoubtInThePka) {
  // A half-neutralised acid sits at its pKa: a doubt of 0.3 in the one is 0.3 in the other.
  Solute acid = Acetic(0.05);
  Solute salt = Acetic(0.05, {{1, 1}});
  for (const double doubt : {0.0, 0.1, 0.3}) {
    acid.pka_uncertainty = salt.pka_uncertainty = doubt;
    const auto solution = SolvePh(std::vector{acid, salt});
    ASSERT_TRUE(solution.has_value());
    // 0.02 for the scale and 0.0055 for Davies at 0.05 mol/kg come in quadrature.
    const double expected = std::sqrt(doubt * doubt + 0.02 * 0.02 + 0.0055 * 0.0055);
    EXPECT_NEAR(solution->ph_high - solution->ph, expected, 0.003) << doubt;
    EXPECT_NEAR(solution->ph - solution->ph_low, expected, 0.003) << doubt;
  }
}

struct Refusal {
  const char* row;
  Solute solute;
  const char* says;
  friend void PrintTo(const Refusal& refusal, std::ostream* out) { *out << refusal.row; }
};
// clang-format off
const Refusal kRefusals[] = {
    {"MolalityNan", {"a", kNan, 0, {4}, {}, 0.1}, "a: molality nan"},
    {"MolalityInfinite", {"a", kInfinity, 0, {4}, {}, 0.1}, "molality inf"},
    {"MolalityNegative", {"a", -1e-9, 0, {4}, {}, 0.1}, "molality -1e-09"},
    {"MolalityAbove", {"a", 100.1, 0, {4}, {}, 0.1}, "expected 0 to 100"},
    {"ChargeAbove", {"a", 1, 21, {4}, {}, 0.1}, "charge of the fully protonated species is 21"},
    {"ChargeBelow", {"a", 1, -21, {4}, {}, 0.1}, "charge of the fully protonated species is -21"},
    {"PkaNan", {"a", 1, 0, {3, kNan}, {}, 0.1}, "pKa 2 is nan"},
    {"PkaInfinite", {"a", 1, 0, {kInfinity}, {}, 0.1}, "pKa 1 is inf"},
    {"PkaAbove", {"a", 1, 0, {30.1}, {}, 0.1}, "expected -15 to 30"},
    {"PkaBelow", {"a", 1, 0, {-15.1}, {}, 0.1}, "expected -15 to 30"},
    {"PkaFalling", {"a", 1, 0, {4.8, 3.1}, {}, 0.1}, "most acidic first"},
    {"PkaTooMany", {"a", 1, 0, std::vector<double>(21, 5.0), {}, 0.1}, "21 pKa values"},
    {"IonWithoutCharge", {"a", 1, 0, {}, {{0, 1}}, 0.1}, "strong ion of charge 0"},
    {"IonOfFive", {"a", 1, 0, {}, {{5, 1}}, 0.1}, "strong ion of charge 5"},
    {"IonNan", {"a", 1, 0, {}, {{1, kNan}}, 0.1}, "nan strong ions"},
    {"IonNegative", {"a", 1, 0, {}, {{1, -1}}, 0.1}, "-1 strong ions"},
    {"DoubtNan", {"a", 1, 0, {4}, {}, kNan}, "uncertainty of the pKa is nan"},
    {"DoubtNegative", {"a", 1, 0, {4}, {}, -0.1}, "uncertainty of the pKa is -0.1"},
    {"NoName", {"", -1, 0, {4}, {}, 0.1}, "unnamed solute"},
};
// clang-format on
class SolvePhRefuses : public testing::TestWithParam<Refusal> {};
TEST_P(SolvePhRefuses, AndSaysWhy) {
  const auto solution = SolvePh(std::vector{Citric(0.01), GetParam().solute});
  ASSERT_FALSE(solution.has_value());
  EXPECT_THAT(solution.error().what, HasSubstr(GetParam().says));
}
INSTANTIATE_TEST_SUITE_P(Inputs, SolvePhRefuses, testing::ValuesIn(kRefusals),
                         [](const auto& any) { return std::string(any.param.row); });

TEST(SolvePh, RefusesMoreThanAThousandSolutes) {
  EXPECT_FALSE(SolvePh(std::vector<Solute>(1001)).has_value());
  EXPECT_TRUE(SolvePh(std::vector<Solute>(1000)).has_value());  // empty ones: water
}

struct DoseRow {
  const char* row;
  std::vector<Solute> mixture;
  Solute doser;
  double target;
  friend void PrintTo(const DoseRow& dose, std::ostream* out) { *out << dose.row; }
};
const DoseRow kDoses[] = {
    {"HydroxideIntoCitric", {Citric(0.05)}, Hydroxide(0), 5.5},
    {"HydroxideIntoCitricToTheTop", {Citric(0.05)}, Hydroxide(0), 13.5},
    {"CitricIntoHydroxide", {Hydroxide(0.1)}, Citric(0), 4.0},
    {"AcidIntoWater", {}, Hydrochloric(0), 2.0},
    {"TraceIntoWater", {}, Hydrochloric(0), 6.9},
    {"AmineIntoAcid", {Citric(0.01)}, Triethanolamine(0), 7.0},
    {"HalfNeutralisedDown", {Citric(0.02, {{1, 3}})}, Citric(0, {{1, 1}}), 5.0},
    {"HalfNeutralisedUp", {Citric(0.02)}, Citric(0, {{1, 2}}), 4.0},
    {"SaltIntoAcid", {Acetic(0.1)}, Acetic(0, {{1, 1}}), 4.757},
    {"BeyondDavies", {Citric(1), Salt(1)}, Hydroxide(0), 6.0},
};
class DoseFor : public testing::TestWithParam<DoseRow> {};
TEST_P(DoseFor, ReachesTheTarget) {
  const DoseRow& row = GetParam();
  const auto dose = DoseForPh(row.mixture, row.doser, row.target);
  ASSERT_TRUE(dose.has_value()) << dose.error().what;
  EXPECT_GT(dose->molality, 0);
  std::vector<Solute> dosed = row.mixture;
  dosed.push_back(row.doser);
  dosed.back().molality = dose->molality;
  const auto after = SolvePh(dosed);
  ASSERT_TRUE(after.has_value());
  EXPECT_NEAR(after->ph, row.target, 1e-6);
  EXPECT_EQ(after->ph, dose->after.ph);
  EXPECT_EQ(dose->after.shares.size(), dosed.size());
  // And not more than it takes.
  dosed.back().molality = 0.99 * dose->molality;
  EXPECT_GT(std::abs(SolvePh(dosed)->ph - row.target), 1e-5);
}
INSTANTIATE_TEST_SUITE_P(Ways, DoseFor, testing::ValuesIn(kDoses),
                         [](const auto& any) { return std::string(any.param.row); });

// By hand, dilute: to bring 0.001 mol/kg acetic acid to its pKa takes half of it less what it gives off itself:
// 0.0005 - 10^-4.757 / gamma(0.0005 mol/kg: 0.975) = 0.000482, a little less as the pKa shifts by 0.011.
TEST(DoseForPh, TakesWhatTheHandSays) {
  const auto dose = DoseForPh(std::vector{Acetic(0.001)}, Hydroxide(0), 4.757 - 0.011);
  ASSERT_TRUE(dose.has_value()) << dose.error().what;
  EXPECT_NEAR(dose->molality, 0.000482, 0.000003);
}

TEST(DoseForPh, AddsNothingWhereThePhIsRightAlready) {
  const double ph = SolvePh(std::vector{Citric(0.01)})->ph;
  const auto dose = DoseForPh(std::vector{Citric(0.01)}, Hydroxide(0), ph);
  ASSERT_TRUE(dose.has_value());
  EXPECT_EQ(dose->molality, 0);
}

struct DoseRefusal {
  const char* row;
  std::vector<Solute> mixture;
  Solute doser;
  double target, most;
  const char* says;
  friend void PrintTo(const DoseRefusal& refusal, std::ostream* out) { *out << refusal.row; }
};
// clang-format off
const DoseRefusal kDoseRefusals[] = {
    {"AcidCannotRaise", {Citric(0.01)}, Hydrochloric(0), 5, 10, "hydrochloric acid cannot raise the pH"},
    {"BaseCannotLower", {Citric(0.01)}, Hydroxide(0), 2, 10, "sodium hydroxide cannot lower the pH"},
    {"BelowThePureAcid", {Citric(0.01)}, Acetic(0), 0.5, 10, "cannot bring the pH from"},
    {"AboveThePureAmine", {Citric(0.01)}, Triethanolamine(0), 12, 10, "cannot bring the pH from"},
    {"BufferStopsAtItsOwnPh", {Hydroxide(0.01)}, Acetic(0, {{1, 1}}), 4, 10, "cannot bring the pH from"},
    {"SaltDoesNothing", {Citric(0.01)}, Salt(0), 5, 10, "sodium chloride cannot"},
    {"NotEnough", {Citric(0.1)}, Hydroxide(0), 7, 0.01, "even 0.01 mol/kg"},
    {"TargetNan", {}, Hydroxide(0), kNan, 10, "target pH nan"},
    {"TargetBelow", {}, Hydroxide(0), -0.1, 10, "target pH -0.1"},
    {"TargetAbove", {}, Hydroxide(0), 14.1, 10, "expected 0 to 14"},
    {"MostNan", {}, Hydroxide(0), 9, kNan, "greatest dose nan"},
    {"MostZero", {}, Hydroxide(0), 9, 0, "greatest dose 0"},
    {"MostAbove", {}, Hydroxide(0), 9, 101, "at most 100"},
    {"BadDoser", {}, {"d", 0, 0, {5, 4}, {}, 0.1}, 9, 10, "d: pKa 2"},
    {"BadMixture", {{"m", -1, 0, {4}, {}, 0.1}}, Hydroxide(0), 9, 10, "m: molality"},
};
// clang-format on
class DoseForPhRefuses : public testing::TestWithParam<DoseRefusal> {};
TEST_P(DoseForPhRefuses, AndSaysWhy) {
  const DoseRefusal& row = GetParam();
  const auto dose = DoseForPh(row.mixture, row.doser, row.target, row.most);
  ASSERT_FALSE(dose.has_value()) << dose->molality;
  EXPECT_THAT(dose.error().what, HasSubstr(row.says));
}
INSTANTIATE_TEST_SUITE_P(Inputs, DoseForPhRefuses, testing::ValuesIn(kDoseRefusals),
                         [](const auto& any) { return std::string(any.param.row); });

TEST(DoseForPh, DoesNotReadTheDosersMolality) {
  EXPECT_TRUE(DoseForPh(std::vector{Citric(0.01)}, Hydroxide(kNan), 5).has_value());
}

TEST(UndissociatedShare, IsHalfAtThePkaAndTenthsAUnitOff) {
  EXPECT_NEAR(*UndissociatedShare(4.2, 4.2), 0.5, 1e-12);
  EXPECT_NEAR(*UndissociatedShare(4.2, 5.2), 1.0 / 11, 1e-12);
  EXPECT_NEAR(*UndissociatedShare(4.2, 3.2), 10.0 / 11, 1e-12);
  EXPECT_NEAR(*UndissociatedShare(30, -2), 1, 1e-12);
  EXPECT_NEAR(*UndissociatedShare(-15, 16), 1e-31, 1e-36);
}

TEST(UndissociatedShare, RefusesWhatIsNoPh) {
  EXPECT_FALSE(UndissociatedShare(kNan, 5).has_value());
  EXPECT_FALSE(UndissociatedShare(31, 5).has_value());
  EXPECT_FALSE(UndissociatedShare(4, kNan).has_value());
  EXPECT_FALSE(UndissociatedShare(4, kInfinity).has_value());
  EXPECT_FALSE(UndissociatedShare(4, -2.1).has_value());
  EXPECT_FALSE(UndissociatedShare(4, 16.1).has_value());
}

TEST(ProtonationShares, FollowTheStepsOfAPolyproticAcid) {
  const std::vector<double> citric = {3.128, 4.761, 6.396};
  // Between two pKa values half a unit or more apart the two neighbours are equal at each pKa.
  const auto shares = ProtonationShares(citric, 4.761);
  ASSERT_TRUE(shares.has_value());
  ASSERT_EQ(shares->size(), 4U);
  EXPECT_NEAR((*shares)[1], (*shares)[2], 1e-12);
  EXPECT_NEAR((*shares)[0] / (*shares)[1], std::pow(10, 3.128 - 4.761), 1e-12);
  EXPECT_NEAR((*shares)[3] / (*shares)[2], std::pow(10, 4.761 - 6.396), 1e-12);
  EXPECT_FALSE(ProtonationShares({}, 5).has_value());
  EXPECT_FALSE(ProtonationShares(std::vector<double>{5, 4}, 5).has_value());
}

// Davies' sum worked by hand.
TEST(Davies, GivesItsPublishedFormula) {
  // I = 0.1: 0.31623 / 1.31623 - 0.03 = 0.21025; times 0.509: 0.10702.
  EXPECT_NEAR(DaviesLogGamma(1, 0.1), -0.10702, 1e-5);
  EXPECT_NEAR(DaviesLogGamma(-2, 0.1), -0.42807, 1e-5);
  EXPECT_EQ(DaviesLogGamma(0, 0.1), 0);
  EXPECT_EQ(DaviesLogGamma(1, 0), 0);
  EXPECT_EQ(DaviesLogGamma(1, 0.5), DaviesLogGamma(1, 50));
  EXPECT_EQ(DaviesLogGamma(-4, 0.1), DaviesLogGamma(-12, 0.1));
  EXPECT_EQ(DaviesLogGamma(1, kNan), 0);
}

}  // namespace
}  // namespace kb::chemistry
