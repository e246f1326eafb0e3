#pragma once

#include <span>
#include <tl/expected.hpp>

#include "kb/chemistry/out_of_range.h"

// Hansen solubility parameters: like dissolves like, in three numbers.
// Pure: no I/O, no globals; safe from any thread.
//
// Trust   guides a choice of solvents and emollients; it sees no temperature, no molar volume, no acid-base
//         reaction. Printed parameters of one substance differ by 0.5 to 1; a distance below 2 is no
//         difference.
// Source  hansen-2007, Hansen Solubility Parameters: A User's Handbook, 2nd ed., CRC Press, chapter 1

namespace kb::chemistry {

// MPa^0.5, each 0..60 (ours: water, the highest of the common ones, has 42.3 for hydrogen bonding)
struct HansenPoint {
  double dispersion = 0;
  double polar = 0;
  double hydrogen_bonding = 0;
};

// Distance of two points, MPa^0.5.
//
//   Ra^2 = 4 (dD1 - dD2)^2 + (dP1 - dP2)^2 + (dH1 - dH2)^2
//
// The factor 4 is an observation (it makes the solubility region a sphere), not a derivation.
// error           names the first parameter that is NaN or outside 0..60
tl::expected<double, OutOfRange> HansenDistance(const HansenPoint& a, const HansenPoint& b);

// Relative energy difference RED = Ra / R0. Below 1 the solvent is expected to dissolve the solute, near 1 it
// is at the border, above 1 it is not.
//
// distance        Ra, MPa^0.5, >= 0
// radius          R0 of the solute's sphere, MPa^0.5, above 0 to 60
// error           names the first input out of range, NaN included
tl::expected<double, OutOfRange> RelativeEnergyDifference(double distance, double radius);

struct HansenPart {
  HansenPoint point;
  double volume = 0;  // any unit, the same in all parts; >= 0. From mass: mass / density
};

// Parameters of a mixture of liquids: mean by volume fraction.
//
//   dX = sum(phi_i * dX_i)     phi_i = V_i / sum(V)
//
// error           an empty list; a volume NaN, infinite or negative; volumes that sum to 0; a parameter out
// of
//                 range
// Trust           takes no account of volume change on mixing, nor of parts that do not mix
tl::expected<HansenPoint, OutOfRange> HansenBlend(std::span<const HansenPart> parts);

}  // namespace kb::chemistry
