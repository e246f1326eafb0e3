#include <gtest/gtest.h>

#include <cmath>

#include "solutions.h"

// pH of single solutions, of laboratory recipes, and of another program's published calculation.

namespace checks {
namespace {

struct SolutionRow {
  const char* row;
  std::vector<Solute> mixture;
  double ph;
  double tolerance;
  friend void PrintTo(const SolutionRow& row, std::ostream* out) { *out << row.row; }
};

constexpr double kTenth = 0.05;       // print to 0.1, half of it
constexpr double kHundredth = 0.005;  // print to 0.01, half of it

// A hydrochemistry page: pH of acids at 1, 10 and 100 mmol/L, calculated with activity corrections, 25
// C, printed to 0.01. Not a measurement: it checks that two solvers agree. Its pKa values may differ by
// 0.02 from ours.
const SolutionRow kCalculated[] = {
    {"Citric1", {Of(kCitric, 0.001)}, 3.24, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Citric10", {Of(kCitric, 0.010)}, 2.62, kHundredth + StatedTrust(0.02, 1, 0.01)},
    {"Citric100", {Of(kCitric, 0.100)}, 2.08, kHundredth + StatedTrust(0.02, 1, 0.01)},
    {"Phosphoric1", {Of(kPhosphoric, 0.001)}, 3.06, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Phosphoric10", {Of(kPhosphoric, 0.010)}, 2.26, kHundredth + StatedTrust(0.02, 1, 0.01)},
    {"Phosphoric100", {Of(kPhosphoric, 0.100)}, 1.63, kHundredth + StatedTrust(0.02, 1, 0.03)},
    {"Lactic1", {Of(kLactic, 0.001)}, 3.51, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Lactic10", {Of(kLactic, 0.010)}, 2.96, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Lactic100", {Of(kLactic, 0.100)}, 2.44, kHundredth + StatedTrust(0.02, 1, 0.004)},
    {"Acetic1", {Of(kAcetic, 0.001)}, 3.91, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Acetic10", {Of(kAcetic, 0.010)}, 3.39, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Acetic100", {Of(kAcetic, 0.100)}, 2.88, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Formic1", {Of(kFormic, 0.001)}, 3.47, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Formic10", {Of(kFormic, 0.010)}, 2.91, kHundredth + StatedTrust(0.02, 1, 0.001)},
    {"Formic100", {Of(kFormic, 0.100)}, 2.38, kHundredth + StatedTrust(0.02, 1, 0.004)},
    {"Carbonic1", {Of(kCarbonic, 0.001)}, 4.68, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Carbonic10", {Of(kCarbonic, 0.010)}, 4.18, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Carbonic100", {Of(kCarbonic, 0.100)}, 3.68, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Boric1", {Of(kBoric, 0.001)}, 6.12, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Boric10", {Of(kBoric, 0.010)}, 5.62, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Boric100", {Of(kBoric, 0.100)}, 5.12, kHundredth + StatedTrust(0.02, 1, 0)},
    {"Hydrochloric1", {Strong("HCl", 0.001, {{-1, 1}})}, 3.01, kHundredth + StatedTrust(0, 1, 0.001)},
    {"Hydrochloric10", {Strong("HCl", 0.010, {{-1, 1}})}, 2.04, kHundredth + StatedTrust(0, 1, 0.01)},
    {"Hydrochloric100", {Strong("HCl", 0.100, {{-1, 1}})}, 1.08, kHundredth + StatedTrust(0, 1, 0.1)},
};

// A laboratory's page of HPLC buffers, nominal pH to 0.1, room temperature (18 to 25 C moves these by
// 0.02 at most).
constexpr double kRoom = 0.02;
const SolutionRow kRecipes[] = {
    {"PhosphoricHalf50",
     {Of(kPhosphoric, 0.050, {{1, 1}}), Of(kPhosphoric, 0.050)},
     2.1,
     kTenth + kRoom + StatedTrust(0.02, 1, 0.06)},
    {"PhosphoricHalf5",
     {Of(kPhosphoric, 0.005, {{1, 1}}), Of(kPhosphoric, 0.005)},
     2.6,
     kTenth + kRoom + StatedTrust(0.02, 1, 0.01)},
    {"PhosphoricFifth",
     {Of(kPhosphoric, 0.040, {{1, 1}}), Of(kPhosphoric, 0.010)},
     2.8,
     kTenth + kRoom + StatedTrust(0.02, 1, 0.05)},
    {"Phosphate50",
     {Of(kPhosphoric, 0.050, {{1, 1}}), Of(kPhosphoric, 0.050, {{1, 2}})},
     6.8,
     kTenth + kRoom + StatedTrust(0.02, 3, 0.2)},
    {"Phosphate5",
     {Of(kPhosphoric, 0.005, {{1, 1}}), Of(kPhosphoric, 0.005, {{1, 2}})},
     6.9,
     kTenth + kRoom + StatedTrust(0.02, 3, 0.02)},
    {"CitrateLow",
     {Of(kCitric, 0.0167), Of(kCitric, 0.0033, {{1, 3}})},
     3.1,
     kTenth + kRoom + StatedTrust(0.02, 1, 0.01)},
    {"CitrateEqual",
     {Of(kCitric, 0.010), Of(kCitric, 0.010, {{1, 3}})},
     4.6,
     kTenth + kRoom + StatedTrust(0.02, 3, 0.04)},
    {"Tartrate",
     {Of(kTartaric, 0.0075), Of(kTartaric, 0.0025, {{1, 2}})},
     2.9,
     kTenth + kRoom + StatedTrust(0.05, 1, 0.01)},
};

// Handbook of Pharmaceutical Excipients, 6th ed. 2009 (acetic, adipic), measured, to 0.1. A saturated
// solution at the solubility that AqSolDB gives, 22.1 g/L with a spread of 0.12 log units, half of
// which reaches the pH.
const SolutionRow kHandbook[] = {
    {"Acetic1M", {Of(kAcetic, 1)}, 2.4, kTenth + StatedTrust(0.01, 1, 0.004)},
    {"Acetic100mM", {Of(kAcetic, 0.1)}, 2.9, kTenth + StatedTrust(0.01, 1, 0.001)},
    {"Acetic10mM", {Of(kAcetic, 0.01)}, 3.4, kTenth + StatedTrust(0.01, 1, 0.001)},
    {"AdipicSaturated", {Of(kAdipic, 22.1 / 146.14)}, 2.7, kTenth + 0.06 + StatedTrust(0.01, 1, 0.002)},
};

// Study guide and question pages. The strong ones are printed on the concentration scale: the activity
// scale lies off by -log10 gamma, 0.11 at 0.1 mol/L (measured mean coefficients: HCl 0.796, memory).
constexpr double kConcentrationScale = 0.11;
const SolutionRow kTextbook[] = {
    {"Hydrochloric100mM", {Strong("HCl", 0.1, {{-1, 1}})}, 1, kConcentrationScale + StatedTrust(0, 1, 0.1)},
    {"SodiumHydroxide100mM",
     {Strong("NaOH", 0.1, {{1, 1}})},
     13,
     kConcentrationScale + StatedTrust(0, 1, 0.1)},
    // "about 10" for 1 %: a whole number.
    {"TriethanolamineOnePercent", {Of(kTea, 0.067)}, 10, 0.5},
};

// A handbook's list of approximate pH values of solutions at about 25 C, from memory, to 0.1. The list
// calls itself approximate and reprints old colorimetric values: 0.2 on top of the print. Saturated
// solutions at 2.93 g/L (benzoic, AqSolDB) and 2 g/L (salicylic, 20 C).
constexpr double kApproximate = kTenth + 0.2;
const SolutionRow kFromMemory[] = {
    {"Citric", {Of(kCitric, 0.1 / 3)}, 2.2, kApproximate},
    {"Tartaric", {Of(kTartaric, 0.05)}, 2.2, kApproximate},
    {"Malic", {Of(kMalic, 0.05)}, 2.2, kApproximate},
    {"Lactic", {Of(kLactic, 0.1)}, 2.4, kApproximate},
    {"Succinic", {Of(kSuccinic, 0.05)}, 2.7, kApproximate},
    {"SalicylicSaturated", {Of(kSalicylic, 2.0 / 138.12)}, 2.4, kApproximate},
    {"BenzoicSaturated", {Of(kBenzoic, 2.93 / 122.12)}, 2.8, kApproximate},
    {"Boric", {Of(kBoric, 0.1 / 3)}, 5.2, kApproximate},
    {"Ammonia1M", {Of(kAmmonium, 1)}, 11.6, kApproximate},
    {"Ammonia100mM", {Of(kAmmonium, 0.1)}, 11.1, kApproximate},
    {"Ammonia10mM", {Of(kAmmonium, 0.01)}, 10.6, kApproximate},
    {"TrisodiumPhosphate", {Of(kPhosphoric, 0.1 / 3, {{1, 3}})}, 12.0, kApproximate},
    {"Borax", {Of(kBoric, 0.2, {{1, 0.5}})}, 9.2, kApproximate},
    {"Triethanolamine", {Of(kTea, 0.1)}, 10.5, kApproximate},
    {"Tromethamine", {Of(kTris, 0.1)}, 10.4, kApproximate},
    {"SodiumHydroxide10mM", {Strong("NaOH", 0.01, {{1, 1}})}, 12.0, kApproximate},
    {"PotassiumHydroxide100mM", {Strong("KOH", 0.1, {{1, 1}})}, 13, kApproximate},
};

class CalculatedElsewhere : public testing::TestWithParam<SolutionRow> {};
TEST_P(CalculatedElsewhere, Agrees) {
  const SolutionRow& row = GetParam();
  ExpectPh("Hydrochemistry page, calculated", row.row, row.mixture, row.ph, row.tolerance, kHundredth);
}
INSTANTIATE_TEST_SUITE_P(Print, CalculatedElsewhere, testing::ValuesIn(kCalculated), kRowName);

class Recipe : public testing::TestWithParam<SolutionRow> {};
TEST_P(Recipe, HasItsNominalPh) {
  const SolutionRow& row = GetParam();
  ExpectPh("HPLC buffer recipes", row.row, row.mixture, row.ph, row.tolerance, kTenth);
}
INSTANTIATE_TEST_SUITE_P(Print, Recipe, testing::ValuesIn(kRecipes), kRowName);

class Handbook : public testing::TestWithParam<SolutionRow> {};
TEST_P(Handbook, AgreesWithThePrint) {
  const SolutionRow& row = GetParam();
  ExpectPh("Excipients handbook 2009", row.row, row.mixture, row.ph, row.tolerance, kTenth);
}
INSTANTIATE_TEST_SUITE_P(Print, Handbook, testing::ValuesIn(kHandbook), kRowName);

class Textbook : public testing::TestWithParam<SolutionRow> {};
TEST_P(Textbook, AgreesWithThePrint) {
  const SolutionRow& row = GetParam();
  ExpectPh("Study guide and question pages", row.row, row.mixture, row.ph, row.tolerance, kTenth);
}
INSTANTIATE_TEST_SUITE_P(Print, Textbook, testing::ValuesIn(kTextbook), kRowName);

class ApproximateList : public testing::TestWithParam<SolutionRow> {};
TEST_P(ApproximateList, AgreesWithWhatIsRemembered) {
  const SolutionRow& row = GetParam();
  ExpectPh("Handbook list of approximate pH (memory)", row.row, row.mixture, row.ph, row.tolerance, kTenth);
}
INSTANTIATE_TEST_SUITE_P(Memory, ApproximateList, testing::ValuesIn(kFromMemory), kRowName);

// Rows that print something else, each with the reason, and with what the same constants give by hand:
// the answer has to agree with the hand, and the row turns red once it agrees with the print, so that
// it goes back where it belongs.
struct DisagreementRow {
  const char* row;
  std::vector<Solute> mixture;
  double printed, by_hand;
  friend void PrintTo(const DisagreementRow& row, std::ostream* out) { *out << row.row; }
};
const DisagreementRow kDisagreements[] = {
    // Excipients handbook 2009, adipic acid 0.1 % w/v (6.84 mmol/L): 3.2. Its own pKa 4.418 gives x^2 /
    // (0.00684 - x) = 10^-4.418, x = 4.93e-4, pH 3.31 (ideal; activity 0.01 less).
    {"AdipicOneInThousand", {Of(kAdipic, 0.00684)}, 3.2, 3.31},
    // A study guide, sodium carbonate 0.05 mol/L: 11.6, near the ideal 11.50. With activities at 0.145
    // mol/kg (log10 gamma -0.118 z^2): x^2 / (0.05 - x) = 10^(-3.666 - 0.236), x = 2.44e-3, a(OH-) =
    // 1.86e-3, pH 11.26.
    {"SodiumCarbonate50mM", {Of(kCarbonic, 0.05, {{1, 2}})}, 11.6, 11.26},
    // Approximate list (memory), sodium bicarbonate 0.1 mol/L: 8.4. An ampholyte's pH is the mean of
    // its two pKa values, at 0.1 mol/kg (6.245 + 10.008) / 2 = 8.13. The solution loses carbon dioxide
    // to the air, and 1 % of it is enough for 8.3: buffer capacity 2.3 x 0.1 x 2 x 10^-1.88 = 0.006
    // mol/kg.
    {"SodiumBicarbonate", {Of(kCarbonic, 0.1, {{1, 1}})}, 8.4, 8.13},
};
class KnownDisagreement : public testing::TestWithParam<DisagreementRow> {};
TEST_P(KnownDisagreement, FollowsTheHandAndNotThePrint) {
  const DisagreementRow& row = GetParam();
  const auto solution = SolvePh(row.mixture);
  ASSERT_TRUE(solution.has_value()) << solution.error().what;
  constexpr double kByHand = 0.02;  // two decimals, and ideal where the comment says so
  EXPECT_NEAR(solution->ph, row.by_hand, kByHand);
  EXPECT_GT(std::abs(solution->ph - row.printed), kTenth) << "agrees with the print now: move the row";
}
INSTANTIATE_TEST_SUITE_P(Print, KnownDisagreement, testing::ValuesIn(kDisagreements), kRowName);

// A specification is met anywhere within its range, widened by what the model may be off. Ascorbic acid
// 5 % w/v: European Pharmacopoeia 2.1 to 2.6, as the excipients handbook 2009 prints it. Benzoic acid
// saturated at 20 C: a chemical directory's property sheet, 2.5 to 3.5.
TEST(SpecificationRange, HoldsAscorbicAcid) {
  const auto solution = SolvePh(std::vector{Of(kAscorbic, 0.284)});
  ASSERT_TRUE(solution.has_value()) << solution.error().what;
  constexpr double kTrust = StatedTrust(0.07, 1, 0.005);
  EXPECT_GE(solution->ph, 2.1 - kTrust);
  EXPECT_LE(solution->ph, 2.6 + kTrust);
}
TEST(SpecificationRange, HoldsBenzoicAcid) {
  const auto solution = SolvePh(std::vector{Of(kBenzoic, 2.93 / 122.12)});
  ASSERT_TRUE(solution.has_value()) << solution.error().what;
  EXPECT_GE(solution->ph, 2.5);
  EXPECT_LE(solution->ph, 3.5);
}

}  // namespace
}  // namespace checks
