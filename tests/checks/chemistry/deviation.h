#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

// How far each published table lies from what is computed, printed once at the end of the program, so that
// tests/checks/README.md can be kept true. Run the program itself to see all of it: under ctest each row is a
// process of its own.

namespace checks {

struct Tally {
  int rows = 0;
  double worst = 0;  // computed minus printed, sign kept
  std::string worst_row;
  double tolerance = 0;  // the widest that a row of this table was given
  std::string unit;
  int in_band = -1;  // rows whose print lies in the band that the answer gave; -1 where no band is given
};

inline std::map<std::string, Tally>& Tallies() {
  static std::map<std::string, Tally> tallies;
  return tallies;
}

// Compares one row and remembers it. The tolerance belongs to the caller, with its reason beside it.
inline void ExpectPrinted(const std::string& table, const std::string& row, double computed, double printed,
                          double tolerance, const std::string& unit) {
  Tally& tally = Tallies()[table];
  const double off = computed - printed;
  ++tally.rows;
  if (tally.rows == 1 || std::abs(off) > std::abs(tally.worst)) {
    tally.worst = off;
    tally.worst_row = row;
  }
  tally.tolerance = std::max(tally.tolerance, tolerance);
  tally.unit = unit;
  EXPECT_NEAR(computed, printed, tolerance) << table << ", row " << row;
}

// Counts whether the print lies inside the band that the answer claims (a standard uncertainty: two of three should).
inline void CountBand(const std::string& table, double printed, double low, double high) {
  int& in_band = Tallies()[table].in_band;
  in_band = std::max(in_band, 0) + (printed >= low && printed <= high ? 1 : 0);
}

class DeviationReport : public testing::Environment {
 public:
  void TearDown() override {
    for (const auto& [table, tally] : Tallies()) {
      fmt::print("[ deviation ] {}: {} rows, worst {:+.3g} {} at {}, tolerance {:.3g}", table, tally.rows,
                 tally.worst, tally.unit, tally.worst_row, tally.tolerance);
      if (tally.in_band >= 0) fmt::print(", {} within the band", tally.in_band);
      fmt::print("\n");
    }
  }
};

// Registered once, whichever files include this.
inline testing::Environment* const kDeviationReport =
    testing::AddGlobalTestEnvironment(new DeviationReport);  // gtest takes it over

}  // namespace checks
