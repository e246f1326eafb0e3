#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/chemistry/out_of_range.h"

// How much water a humectant holds, and how far it lowers the water activity.
// Pure: no I/O, no globals; safe from any thread.

namespace kb::chemistry {

struct UptakePair {
  double humidity = 0;  // relative humidity at equilibrium, %, 0..100
  double uptake = 0;    // g water per 100 g dry substance, >= 0
};

// Water bound at a relative humidity, from published pairs: straight line between the two neighbours.
//
// pairs           at least two, humidity strictly rising, uptake not falling; one substance, one form
// (crystal or
//                 amorphous), one direction (taking up or giving off)
// humidity        %
// returns         g water per 100 g dry substance
// error           names the first pair out of order or out of range, NaN included; a humidity outside the
// pairs:
//                 nothing is extrapolated; a humidity inside a step where uptake grows more than tenfold and
//                 by more than 10 g (ours): there the substance dissolves itself at one humidity
//                 (deliquescence), and a line between the two means nothing
// Trust           equilibrium of the pure substance after days. In a formula water activity decides (below)
tl::expected<double, OutOfRange> WaterUptake(std::span<const UptakePair> pairs, double humidity);

// Water activity of a solution of one non-electrolyte.
//
//   aw = x1 * exp(-K * x2^2)      x1, x2 mole fractions of water and solute; K = 0 is Raoult's law
//
// solute          x2, 0..0.25 (ours): above, K fitted to moderate solutions gives too low an aw
// k               K, 0..10: glycerol 1.16, sorbitol 1.65, xylitol 1.66, erythritol 1.34, mannitol 0.906
// returns         0..1; times 100 is the relative humidity in balance with it
// error           names the first input out of range, NaN included
// Holds for       25 C; polyols and sugars. Not for salts, nor polymers (hyaluronate lowers aw by nothing)
// Trust           0.02; 0.01 below x2 = 0.1
// Source          norrish-1966, J. Food Technol. 1, 25-39, as baeza-2010, Food Bioprocess Technol. 3, 87
//                 quotes it; K: table 3 of PMC2836749 (Int. J. Dent. 2010, 981072)
tl::expected<double, OutOfRange> NorrishWaterActivity(double solute, double k);

struct Humectant {
  std::string_view name;
  double grams = 0;         // >= 0
  double molar_mass = 0;    // g/mol, 10..5000
  std::optional<double> k;  // K of Norrish; nullopt when not known
};

struct WaterActivity {
  double value;                          // 0..1
  std::vector<std::string> not_counted;  // humectants of grams > 0 whose K is not known: the true aw is lower
};

// Water activity of a solution of several humectants.
//
//   aw = product of aw_i, each as if alone in all the water (Ross)
//
// water           g, > 0: all the water of the formula, also that which the ingredients bring
// error           a value out of range, NaN included; a humectant that alone exceeds x2 = 0.25 in this water
// Trust           0.02 above aw 0.8; salts and acids are not seen and lower it further. Water activity is one
// hurdle:
//                 it replaces a preservative only below about 0.6
// Source          ross-1975, Food Technol. 29 (3), 26-34 (the paper was not at hand)
tl::expected<WaterActivity, OutOfRange> WaterActivityOf(double water, std::span<const Humectant> humectants);

}  // namespace kb::chemistry
