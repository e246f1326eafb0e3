#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "kb/chemistry/out_of_range.h"

// Does a solid dissolve in the liquid that is there, and does it stay dissolved.
//
// Unit    g of solute per litre of SOLVENT throughout, as pharmacopoeias count. Tables in mol per litre of
// solution
//         give less: above 100 g/L convert with the density first.
// Water   in a formula grams of water may stand for millilitres: 0.3 % off at 25 C, 3 % at 80 C.
// Trust   other ingredients (salts, glycols, surfactants, pH for acids and bases) change solubility, often by
//         more than all bands below. Where it matters: dissolve it, cool it, seed it, wait a week.
// Pure    no I/O, no globals; safe from any thread.

namespace kb::chemistry {

// The terms of the pharmacopoeias, most soluble first.
enum class SolubilityClass {
  kVerySoluble,
  kFreelySoluble,
  kSoluble,
  kSparinglySoluble,
  kSlightlySoluble,
  kVerySlightlySoluble,
  kPracticallyInsoluble,
};

// "freely soluble" and so on, as printed in the pharmacopoeias.
std::string_view Name(SolubilityClass soluble);

// The class of that name; "insoluble" is taken for practically insoluble, as USP uses it. Case does not
// matter. nullopt for any other text, "miscible" and "partly soluble" among them: they bound no number.
std::optional<SolubilityClass> ParseSolubilityClass(std::string_view name);

// What is known of a solubility, g per litre of solvent: 0 <= low <= high; high may be infinite.
struct SolubilityRange {
  double low = 0;
  double high = 0;
};

// Bounds of a class at 15 to 25 C, g per litre of solvent.
//
//   parts of solvent, mL per g of solute:  <1 | 1-10 | 10-30 | 30-100 | 100-1000 | 1000-10000 | >10000
//   g per litre of solvent = 1000 / parts
//
// very soluble has no upper bound: high is infinity
// Source  Ph. Eur. General Notices 1.4 and USP, "description and relative solubility"; g/L are the
// reciprocals
SolubilityRange ClassBounds(SolubilityClass soluble);

// The class of a solubility; a value on a bound falls into the more soluble class.
//
// solubility      g per litre of solvent at 15 to 25 C, >= 0
// error           NaN, negative, infinite
tl::expected<SolubilityClass, OutOfRange> ClassOf(double solubility);

// A figure from a table or a bench test.
struct SolubilityPoint {
  double solubility = 0;          // g per litre of solvent, > 0
  std::optional<double> celsius;  // -20..150; nullopt: not said, taken as room temperature, 20 to 25 C
};

enum class SolubilityBasis { kAtThatTemperature, kNearby, kInterpolated };

struct SolubilityAtTemperature {
  SolubilityRange range;  // g per litre of solvent, with the band below
  SolubilityBasis basis;
};

// Solubility at a temperature from published points.
//
//   ln S linear in 1/T (K) between the two neighbouring temperatures (van 't Hoff)
//
// celsius         -20..150
// returns         a band, not a number: +-15 % for a figure of that temperature (within 1 C) or interpolated,
//                 +-30 % for one nearby (within 5 C) or of unsaid temperature asked for at 15 to 30 C. Two
//                 figures for one temperature widen the band to hold both. The bands are ours: collections of
//                 careful repeats scatter by about 0.05 log units (12 %), solubility of solids in water
//                 commonly changes by 1 to 4 % per C.
// error           no points; a figure or temperature out of range, NaN included; a temperature outside those
// of the
//                 points by more than 5 C: nothing is extrapolated. Points without temperature are not used
//                 for interpolation.
// Holds for       one solid form. A hydrate that changes on the way (borax, sodium sulfate) breaks the line
// Source          van 't Hoff equation with constant enthalpy of solution; scatter of repeats: sorkun-2019,
// Sci.
//                 Data 6, 143
tl::expected<SolubilityAtTemperature, OutOfRange> SolubilityAt(std::span<const SolubilityPoint> points,
                                                               double celsius);

enum class DissolutionVerdict { kDissolves, kBorderline, kDoesNotDissolve, kUnknown };

struct Dissolution {
  DissolutionVerdict verdict;
  double load;  // what is asked to dissolve, g per litre of solvent
  SolubilityRange
      undissolved_grams;  // what stays solid, g: from the best to the worst case; 0..solute if unknown
};

// Does so much solute dissolve in so much solvent.
//
// dissolves       the load is at most the low end of what is known
// does not        the load is above the high end
// borderline      between the two
// unknown         nothing is known (solubility is nullopt)
//
// solute          g, >= 0
// solvent         mL, > 0: free water (or oil), without what other ingredients bring dissolved in it
// solubility      as SolubilityAt or ClassBounds give it
// error           names the first input out of range, NaN included; a range with low > high
tl::expected<Dissolution, OutOfRange> Dissolve(double solute, double solvent,
                                               const std::optional<SolubilityRange>& solubility);

struct Cooling {
  Dissolution hot;
  Dissolution cold;
  SolubilityRange crystals_grams;  // what had dissolved hot and comes out cold, g: best to worst case
  bool crystals_certain;           // even in the best case some comes out
  bool crystals_possible;          // in the worst case some comes out
};

// What crystallises when a hot solution cools.
//
// arguments       as Dissolve; hot and cold: what is known of the solubility at the two temperatures
// error           as Dissolve
// Trust           crystals may wait for days or a seed: a clear batch on the first evening proves nothing
tl::expected<Cooling, OutOfRange> OnCooling(double solute, double solvent,
                                            const std::optional<SolubilityRange>& hot,
                                            const std::optional<SolubilityRange>& cold);

// An ESTIMATE of how much of a solid dissolves in a liquid that is like its own melt.
//
//   ln x = -(dSm / R T) (Tm - T)       dSm = 56.5 J/mol K (Walden), R = 8.314 J/mol K
//   At 25 C this is log10 x = -0.0099 (mp - 25), the printed rule of thumb being -0.01 (mp - 25).
//
// melting         melting point, C, -50..400; a solid that decomposes on melting has none in this sense
// celsius         temperature, -20..150
// returns         mole fraction of solute in the saturated solution, 0..1; exactly 1 at or above the melting
// point error           names the first input out of range, NaN included Holds for       rigid, non-ionic
// solids in a solvent of similar Hansen parameters (many actives in esters) Trust           within a factor
// of 3 for such; for flexible long-chain molecules too high by far more (their entropy
//                 of melting is larger). In water nearly always many orders of magnitude too high: never use
//                 it there
// Source          yalkowsky-1979, Ind. Eng. Chem. Fundam. 18, 108-111; Walden 1908 for the entropy of fusion
//                 (both from memory; the rule of thumb is textbook knowledge)
tl::expected<double, OutOfRange> IdealSolubility(double melting, double celsius);

// Grams of solute per 100 g of solvent at a mole fraction x: 100 x M_solute / ((1 - x) M_solvent).
//
// mole_fraction   0..below 1;  molar masses in g/mol, 10..5000
// error           names the first input out of range, NaN included
tl::expected<double, OutOfRange> GramsPer100Grams(double mole_fraction, double solute_molar_mass,
                                                  double solvent_molar_mass);

}  // namespace kb::chemistry
