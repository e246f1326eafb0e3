#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "kb/chemistry/out_of_range.h"

// pH of any mixture of acids, bases, their salts and ampholytes in the water that is there, at 25 C.
//
//   0 = [H+] - [OH-] + sum over solutes of m (mean charge at this pH + charge of its strong ions)
//   pH = -log10 a(H+),  a(H+) = gamma [H+],  a(H+) a(OH-) = Kw,  each step a(H+) a(base) / a(acid) = Ka
//
// with activity coefficients after Davies (activity.h) at the ionic strength that the answer itself gives.
//
// Holds for   dilute solutions: ionic strength up to 0.5 mol/kg; above that an answer comes, with the
//             coefficient held and `activity` saying so. Concentrations are per kg of water: what an
//             emulsion's oil takes up must be left out by the caller.
// Left out    solubility (nothing crystallises), carbon dioxide going in or out, ion pairs and complexes
//             (citrate with sodium, EDTA with calcium, borate with polyols, polyborates above 0.02 mol/kg),
//             other solvents (above about 10 % glycol or alcohol every pKa moves), micelles, and any
//             temperature but 25 C.
// Polyacids   (carbomer, hyaluronate) go in per repeat unit with an apparent pKa: order of size only.
// Trust       against measured buffers: see tests/checks/README.md. The band [ph_low, ph_high] adds up in
//             quadrature what each pKa's uncertainty does, what Davies' own error does, 0.02 for the pH
//             scale, 0.2 more (ours) above 0.5 mol/kg of ionic strength, and 0.00001 mol/kg of stray acid or
//             base, which matters in water that nothing buffers.
// Sources     charge balance: Butler, Ionic Equilibrium, Wiley 1998 (memory). Davies and Kw: activity.h.
//             pH scale: Buck et al., Measurement of pH, Pure Appl. Chem. 74 (2002) 2169-2200 (memory): the
//             convention behind the primary standards is itself good to about 0.02.
// Pure        no I/O, no globals; safe from any thread. Always ends: every search is bracketed and counted.

namespace kb::chemistry {

constexpr double kGreatestMolality = 100;  // mol/kg: beyond that there is no water to speak of
constexpr double kLeastPka = -15;
constexpr double kGreatestPka = 30;
constexpr int kGreatestCharge = 20;     // of a species, either sign
constexpr std::size_t kMostSteps = 20;  // pKa values of one solute
constexpr std::size_t kMostSolutes = 1000;

// An ion that neither takes up nor gives off protons: Na+, Ca2+, Cl-.
// charge        -4..-1 or 1..4
// per_formula   how many of it one formula unit brings, 0..20
struct StrongIon {
  int charge = 0;
  double per_formula = 1;
};

// One dissolved substance.
// molality           mol of formula units per kg of water, 0..100
// charge_protonated  charge of the species that holds all its protons: 0 citric acid, +1 triethanolamine,
//                    +1 glycine, +2 arginine; a quaternary ammonium ion is +1 with no pKa
// pka                never falling, each -15..30, at zero ionic strength and 25 C, at most 20; for a base
//                    those of its conjugate acid. Empty for what has no protons to give
// strong_ions        what comes along. Trisodium citrate: citric acid's charge and pKa values, and {{+1, 3}};
//                    sodium hydroxide is {{+1, 1}} alone (water supplies the OH-), hydrochloric acid
//                    {{-1, 1}}, sodium chloride {{+1, 1}, {-1, 1}}, calcium hydroxide {{+2, 1}}
// pka_uncertainty    standard uncertainty of each pKa, 0..5
struct Solute {
  std::string name;
  double molality = 0;
  int charge_protonated = 0;
  std::vector<double> pka;
  std::vector<StrongIon> strong_ions;
  double pka_uncertainty = 0.1;
};

enum class ActivityModel {
  kDavies,      // ionic strength within 0.5 mol/kg
  kDaviesHeld,  // above: coefficients as at 0.5 mol/kg, the pH is an order of size
};

// How much one solute has to do with the pH.
// index         place in the list given
// buffer_share  its part of the buffer capacity, 0..1; the parts and water's own add up to 1
// ph_without    pH of the same mixture without it
struct Driver {
  std::size_t index = 0;
  std::string name;
  double buffer_share = 0;
  double ph_without = 0;
};

// ionic_strength    mol/kg
// buffer_capacity   mol of strong base per kg water that raises the pH by 1, taken at this pH
// shares            for each solute in the order given: fraction that has lost 0, 1, 2 ... protons, sums to 1
//                   ({1} for one without pKa)
// drivers           those that move the pH by 0.05 or hold 5 % of the buffer capacity, greatest shift first
struct Solution {
  double ph = 0;
  double ph_low = 0;
  double ph_high = 0;
  double ionic_strength = 0;
  ActivityModel activity = ActivityModel::kDavies;
  double buffer_capacity = 0;
  std::vector<std::vector<double>> shares;
  std::vector<Driver> drivers;
};

// How much of a Solution is worked out. Drivers cost one more equilibrium a solute, the band two more searches a pKa; without a band
// ph_low and ph_high are the pH itself.
enum class Detail { kAll, kNoDrivers, kNoBand };

// The pH of a mixture; pure water for an empty list.
// error  names the first solute that cannot be read: not finite, negative, above a limit, falling pKa
tl::expected<Solution, OutOfRange> SolvePh(std::span<const Solute> solutes, Detail detail = Detail::kAll);

// molality  of the doser's formula units, mol per kg water, to add
// after     the solution with the dose in it; the doser is the last solute
struct Dose {
  double molality = 0;
  Solution after;
};

// How much of one acid, base, salt or half-neutralised acid brings a mixture to a pH.
//
// doser             its molality is not read
// target            pH, 0..14
// greatest_molality the most to consider, above 0 and at most 100 mol/kg. Solubility is the caller's to know
// error             input out of range; or the doser cannot reach the target: it moves the pH the other
//                   way, or stops short even at greatest_molality (the message says how far it gets)
// Method            doubling from 1e-8 mol/kg until the target lies between two doses, then bisection: the
//                   least such dose. 0 when the mixture is at the target already (within 1e-6)
// Trust             as for the pH; the dose's own uncertainty is about band times buffer capacity: add
//                   the last fifth by the meter, not by the sum
tl::expected<Dose, OutOfRange> DoseForPh(std::span<const Solute> solutes, const Solute& doser, double target,
                                         double greatest_molality = kGreatestMolality);

// Share of a one-step acid that holds its proton (Henderson-Hasselbalch); for a base's pKa the charged share.
//
//   share = 1 / (1 + 10^(pH - pKa))
//
// pka     -15..30, at the ionic strength at hand (published tables take the one at zero)
// ph      -2..16
// returns 0..1
tl::expected<double, OutOfRange> UndissociatedShare(double pka, double ph);

// Shares of a polyprotic acid that have lost 0, 1, 2 ... protons; the first is the fully protonated species.
// pka     1 to 20 values, never falling, -15..30
// returns one more value than pka, each 0..1, sum 1
tl::expected<std::vector<double>, OutOfRange> ProtonationShares(std::span<const double> pka, double ph);

}  // namespace kb::chemistry
