#pragma once

#include <span>
#include <tl/expected.hpp>
#include <vector>

#include "kb/chemistry/out_of_range.h"

// How much of a preservative is left to work, what it covers, and how its level stands against a limit.
// The share that is undissociated at a pH: UndissociatedShare in acid_base.h.
//
// None of this replaces a challenge test (ISO 11930): what a formula really keeps out is found by testing it.
// Pure    no I/O, no globals; safe from any thread.

namespace kb::chemistry {

// A preservative in an emulsion.
// overall            concentration in the whole, any unit of mass per volume (% w/v), 0..100
// oil_to_water       phi, volume of oil per volume of water, 0..10000; 0 without oil
// oil_water          K, concentration in oil over that in water for the undissociated form in *this* oil,
//                    0..1e9
// undissociated      share of what is dissolved in the water that is undissociated at the pH, 0..1;
//                    1 for what does not dissociate
// binding            R, dissolved in the watery phase over free in it: 1 where nothing binds; above 1 with
//                    nonionic surfactants and PEG chains, R = 1 + (constant) * (surfactant), 1..1e6
struct Partition {
  double overall = 0;
  double oil_to_water = 0;
  double oil_water = 1;
  double undissociated = 1;
  double binding = 1;
};

// in_water       free in the water, both forms, unit of `overall`
// undissociated  the part of it that works, for a weak acid
// in_oil         concentration in the oil
// share_free     of all the preservative, the fraction that is free in the water, 0..1
struct FreePreservative {
  double in_water = 0;
  double undissociated = 0;
  double in_oil = 0;
  double share_free = 0;
};

// What the water of an emulsion holds once the preservative has gone to oil, water and micelles.
//
//   C_w = C (phi + 1) / (a K phi + R)      a: share undissociated; only that form goes into oil
//
// error    names the first input out of range, NaN included
//
// Holds for  dilute solutions below saturation in either phase: where C_w comes out above the solubility in
//            water the excess stays in the oil or crystallises. w/o emulsions too.
// Trust      an order of size. K changes a hundredfold with the oil (methylparaben 0.02 in liquid paraffin,
//            tens in vegetable oil), so never take one oil's K for another; R is linear at low levels only.
// Source     a = 1, R = 1: The activity of antibacterials in two-phase systems, J. Soc. Cosmet. Chem. 16
//            (1965) p. 18, with a table of worked values (seen; by Bean, memory). With R: Preservatives for
//            pharmaceuticals, J. Soc. Cosmet. Chem. 23 (1972) 714-716 (seen), after Bean, Konning and
//            Malcolm, A model for the influence of emulsion formulation on the activity of phenolic
//            preservatives, J. Pharm. Pharmacol. 21 Suppl. (1969) 179S-181S. For weak acids: Garrett, A
//            basic model for the evaluation and prediction of preservative action, J. Pharm. Pharmacol. 18
//            (1966) 581-601. Of the last two only the citations were seen; `a` in front of K is the mass
//            balance written out by us.
tl::expected<FreePreservative, OutOfRange> FreeInWater(const Partition& partition);

// How well one preservative holds one kingdom of germs.
enum class Rating { kUnknown, kNone, kWeak, kModerate, kGood };
enum class Kingdom { kGramPositive, kGramNegative, kYeast, kMould };

struct Spectrum {
  Rating gram_positive = Rating::kUnknown;
  Rating gram_negative = Rating::kUnknown;
  Rating yeast = Rating::kUnknown;
  Rating mould = Rating::kUnknown;
  bool operator==(const Spectrum&) const = default;
};

// The spectrum of several preservatives together: for each kingdom the best rating among them. Two weak ones
// do not make a moderate one (no credit for synergy), and `none` beside `unknown` stays unknown. All unknown
// for an empty list. Source  our own rule, on the cautious side
Spectrum SpectrumUnion(std::span<const Spectrum> blend);

// The kingdoms rated below `least`, in the order of Kingdom. Unknown counts as below, unless `least` is
// kUnknown, which nothing falls below.
std::vector<Kingdom> Gaps(const Spectrum& spectrum, Rating least);

// A level of salt as the level of free acid that limits are written in.
//
//   acid = salt * n * M_acid / M_salt
//
// salt_level        % of the formula, 0..100
// salt_molar_mass   g/mol of the salt as weighed (with its water), 1..100000
// acid_molar_mass   g/mol of the acid, 1..100000
// acids_per_salt    n, acid molecules in one formula unit of the salt, 1..20 (calcium sorbate: 2)
// returns           % of the formula
// error             names the first input out of range; also when the acid in the salt would weigh more than
//                   1.2 times the salt, which means that the two masses are swapped
tl::expected<double, OutOfRange> FreeAcidLevel(double salt_level, double salt_molar_mass,
                                               double acid_molar_mass, int acids_per_salt = 1);

// total          % of the formula, all that counts against the limit
// share          total / limit; 1 at the limit
// over           above the limit by more than one part in a thousand million (so that 0.3 + 0.2 meets 0.5)
struct LimitUse {
  double total = 0;
  double share = 0;
  bool over = false;
};

// Several levels, all expressed as the limit is, against it.
// levels  % of the formula, each 0..100
// limit   %, above 0, at most 100
tl::expected<LimitUse, OutOfRange> AgainstLimit(std::span<const double> levels, double limit);

}  // namespace kb::chemistry
