// A formula as a batch: grams a line to what the scale shows, the phases in order with their temperatures, and what to mind.
// Where and how each line goes in is what `place` says of it (query/place_making.h).
// Pure: a catalogue, a formula, its assessment and two masses in, plain values out.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "query/assess.h"
#include "query/place.h"

namespace query {

inline constexpr double kLeastBatch = 1;        // g
inline constexpr double kGreatestBatch = 1e6;   // g, a tonne
inline constexpr double kFinestScale = 1e-5;    // g
inline constexpr double kCoarsestScale = 1000;  // g

// Grams from "500g", "0.5 kg", "500", "10 mg", "1,5kg"; grams where no unit is given. nullopt for anything else, zero and
// negative numbers among it.
std::optional<double> ReadMass(std::string_view text);

// Whole numbers of `steps` that add up to it exactly, in proportion to the shares: each share's part rounded down, and what is
// left over given to the largest remainders, earlier ones first.
//
// shares   not negative, not all zero
// Source   the method of largest remainders (Hamilton's), known from the apportionment of seats
std::vector<long long> LargestRemainders(const std::vector<double>& shares, long long steps);

struct WeighLine {
  std::size_t line = 0;  // of the formula
  double exact_g = 0;    // by the percentage
  double grams = 0;      // to the scale's resolution
  double error = 0;      // of grams against exact_g, relative
  Placement place;       // where and how it goes in, for this batch
  std::string dilution;  // what to do where the scale is too coarse for it; else ""
};

struct WeighPhase {
  std::string phase, name;
  double grams = 0;
  std::optional<double> heat_to_c;    // at least
  std::optional<double> heat_most_c;  // and no hotter than that
  std::optional<double> add_below_c;  // a cool-down phase
  std::optional<double> not_above_c;
  std::vector<WeighLine> lines;  // in the order in which they go in
};

struct WeighCaution {
  std::string what;  // the hazard, as the data names it: dust, corrosive ...
  std::string gear;  // what to wear or do
  std::vector<kb::IngredientIx> ingredients;
  std::vector<std::string> notes;
};

struct WeighSheet {
  std::string name;
  kb::Kind kind;
  double batch_g = 0;  // what is made: the batch asked for, to the scale's resolution
  double asked_g = 0;
  double scale_g = 0;
  std::vector<WeighPhase> phases;
  double largest_error = 0;  // relative, either sign
  std::optional<std::size_t> largest_error_line;
  std::vector<std::string> steps;  // what to do, in order
  std::vector<WeighCaution> cautions;
  std::vector<Finding> findings;      // of the assessment: stop and warn
  std::vector<std::string> warnings;  // of the weighing
};

// error  the batch or the scale out of range, or a scale too coarse for the batch: a sentence for people
tl::expected<WeighSheet, std::string> Weigh(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                            const Assessment& assessment, double batch_g, double scale_g);

}  // namespace query
