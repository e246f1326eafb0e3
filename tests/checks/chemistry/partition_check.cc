#include <gtest/gtest.h>

#include <cmath>

#include "deviation.h"
#include "kb/chemistry/preservation.h"
#include "solutions.h"

// What oil leaves of a preservative in the water, against two printed tables (both calculated there by Bean's
// relation from measured coefficients).

namespace checks {
namespace {

using kb::chemistry::FreeInWater;

struct PartitionRow {
  const char* row;
  double overall, oil_water, oil_water_digit, ratio, in_water, in_water_digit;  // digit: one unit of the last
  friend void PrintTo(const PartitionRow& row, std::ostream* out) { *out << row.row; }
};

// The activity of antibacterials in two-phase systems, J. Soc. Cosmet. Chem. 16 (1965) p. 18, table II, % w/v at 25 C,
// seen: phenol in liquid paraffin, a preservative of coefficient 1, chlorocresol in arachis oil.
// clang-format off
constexpr PartitionRow kTwoPhase[] = {
    {"Phenol0_2", 0.4, 0.067, 0.001, 0.2, 0.474, 0.001},
    {"Phenol1", 0.4, 0.067, 0.001, 1, 0.750, 0.001},
    {"Phenol2_5", 0.4, 0.067, 0.001, 2.5, 1.199, 0.001},
    {"Phenol5", 0.4, 0.067, 0.001, 5, 1.799, 0.001},
    {"Phenol10", 0.4, 0.067, 0.001, 10, 2.636, 0.001},
    {"Even0_2", 1, 1, 0, 0.2, 1.000, 0.001},
    {"Even1", 1, 1, 0, 1, 1.000, 0.001},
    {"Even2_5", 1, 1, 0, 2.5, 1.000, 0.001},
    {"Even5", 1, 1, 0, 5, 1.000, 0.001},
    {"Even10", 1, 1, 0, 10, 1.000, 0.001},
    {"Chlorocresol0_2", 4, 116.7, 0.1, 0.2, 0.197, 0.001},
    {"Chlorocresol1", 4, 116.7, 0.1, 1, 0.068, 0.001},
    {"Chlorocresol2_5", 4, 116.7, 0.1, 2.5, 0.048, 0.001},
    {"Chlorocresol5", 4, 116.7, 0.1, 5, 0.0411, 0.0001},
    {"Chlorocresol10", 4, 116.7, 0.1, 10, 0.038, 0.001},
};
// Preservatives for pharmaceuticals, J. Soc. Cosmet. Chem. 23 (1972) p. 716, table VIII, % w/v, seen: methylparaben at
// 0.1 % in liquid paraffin and at 0.2 % in soya oil. Left out: the 0.2 % row in liquid paraffin, held at the
// solubility of 0.24 from the second value on, and the first value in soya oil, a slip (0.027 where its own
// coefficient of 80 gives 0.023).
constexpr PartitionRow kParaben[] = {
    {"Paraffin0_11", 0.1, 0.02, 0.01, 0.11, 0.11, 0.01},
    {"Paraffin0_25", 0.1, 0.02, 0.01, 0.25, 0.12, 0.01},
    {"Paraffin0_43", 0.1, 0.02, 0.01, 0.43, 0.14, 0.01},
    {"Paraffin0_66", 0.1, 0.02, 0.01, 0.66, 0.16, 0.01},
    {"Paraffin1", 0.1, 0.02, 0.01, 1, 0.20, 0.01},
    {"Soya0_25", 0.2, 80, 0.1, 0.25, 0.012, 0.001},
    {"Soya0_43", 0.2, 80, 0.1, 0.43, 0.008, 0.001},
    {"Soya0_66", 0.2, 80, 0.1, 0.66, 0.006, 0.001},
    {"Soya1", 0.2, 80, 0.1, 1, 0.005, 0.001},
};
// clang-format on

// Half of the last digit of the answer, and what half of the last digit of the coefficient makes of it:
// dC / C = phi dK / (K phi + 1), at most phi dK / (K phi + 1) of the printed value.
double Tolerance(const PartitionRow& row) {
  const double by_coefficient = row.ratio * row.oil_water_digit / 2 / (row.oil_water * row.ratio + 1);
  return row.in_water_digit / 2 + row.in_water * by_coefficient;
}

void Compare(const char* table, const PartitionRow& row) {
  const auto free =
      FreeInWater({.overall = row.overall, .oil_to_water = row.ratio, .oil_water = row.oil_water});
  ASSERT_TRUE(free.has_value()) << free.error().what;
  ExpectPrinted(table, row.row, free->in_water, row.in_water, Tolerance(row), "% w/v");
}

class TwoPhaseTable : public testing::TestWithParam<PartitionRow> {};
TEST_P(TwoPhaseTable, AgreesWithThePrint) {
  Compare("Two-phase systems 1965, table II", GetParam());
}
INSTANTIATE_TEST_SUITE_P(Print, TwoPhaseTable, testing::ValuesIn(kTwoPhase), kRowName);

class ParabenTable : public testing::TestWithParam<PartitionRow> {};
TEST_P(ParabenTable, AgreesWithThePrint) {
  Compare("Preservatives 1972, table VIII", GetParam());
}
INSTANTIATE_TEST_SUITE_P(Print, ParabenTable, testing::ValuesIn(kParaben), kRowName);

}  // namespace
}  // namespace checks
