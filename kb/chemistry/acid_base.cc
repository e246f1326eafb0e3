#include "kb/chemistry/acid_base.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iterator>
#include <optional>

#include "kb/chemistry/activity.h"
#include "kb/chemistry/equilibrium.h"

namespace kb::chemistry {
namespace {

constexpr double kScaleTrust = 0.02;   // pH, see the header's Sources
constexpr double kHeldTrust = 0.2;     // pH, ours: what is added above 0.5 mol/kg
constexpr double kStrayCharge = 1e-5;  // mol/kg: about what the air's carbon dioxide brings into water
constexpr double kDriverShift = 0.05;  // pH
constexpr double kDriverShare = 0.05;  // of the buffer capacity
constexpr double kAtTarget = 1e-6;     // pH
constexpr double kFirstDose = 1e-8;    // mol/kg
constexpr double kLeastPh = -2;
constexpr double kGreatestPh = 16;

bool Within(double x, double low, double high) {
  return x >= low && x <= high;
}  // false for NaN

std::optional<OutOfRange> CheckPkas(std::span<const double> pka, const std::string& whose) {
  if (pka.size() > kMostSteps) {
    return OutOfRange{fmt::format("{}: {} pKa values, at most {}", whose, pka.size(), kMostSteps)};
  }
  for (std::size_t i = 0; i < pka.size(); ++i) {
    if (!Within(pka[i], kLeastPka, kGreatestPka)) {
      return OutOfRange{
          fmt::format("{}: pKa {} is {}, expected {} to {}", whose, i + 1, pka[i], kLeastPka, kGreatestPka)};
    }
    if (i > 0 && pka[i] < pka[i - 1]) {
      return OutOfRange{
          fmt::format("{}: pKa {} ({}) is below the one before it ({}); expected the most acidic first",
                      whose, i + 1, pka[i], pka[i - 1])};
    }
  }
  return std::nullopt;
}

std::optional<OutOfRange> CheckIons(std::span<const StrongIon> ions, const std::string& whose) {
  if (ions.size() > kMostSteps) {
    return OutOfRange{fmt::format("{}: {} strong ions, at most {}", whose, ions.size(), kMostSteps)};
  }
  for (const StrongIon& ion : ions) {
    if (ion.charge == 0 || ion.charge < -4 || ion.charge > 4) {
      return OutOfRange{
          fmt::format("{}: a strong ion of charge {}, expected -4 to -1 or 1 to 4", whose, ion.charge)};
    }
    if (!Within(ion.per_formula, 0, kGreatestCharge)) {
      return OutOfRange{fmt::format("{}: {} strong ions per formula unit, expected 0 to {}", whose,
                                    ion.per_formula, kGreatestCharge)};
    }
  }
  return std::nullopt;
}

std::optional<OutOfRange> CheckSolute(const Solute& solute, bool with_molality) {
  const std::string whose = solute.name.empty() ? "unnamed solute" : solute.name;
  if (with_molality && !Within(solute.molality, 0, kGreatestMolality)) {
    return OutOfRange{
        fmt::format("{}: molality {} mol/kg, expected 0 to {}", whose, solute.molality, kGreatestMolality)};
  }
  if (solute.charge_protonated < -kGreatestCharge || solute.charge_protonated > kGreatestCharge) {
    return OutOfRange{fmt::format("{}: charge of the fully protonated species is {}, expected -{} to {}",
                                  whose, solute.charge_protonated, kGreatestCharge, kGreatestCharge)};
  }
  if (!Within(solute.pka_uncertainty, 0, 5)) {
    return OutOfRange{
        fmt::format("{}: uncertainty of the pKa is {}, expected 0 to 5", whose, solute.pka_uncertainty)};
  }
  if (auto error = CheckPkas(solute.pka, whose)) return error;
  return CheckIons(solute.strong_ions, whose);
}

std::optional<OutOfRange> CheckMixture(std::span<const Solute> solutes) {
  if (solutes.size() > kMostSolutes) {
    return OutOfRange{fmt::format("{} solutes, at most {}", solutes.size(), kMostSolutes)};
  }
  for (const Solute& solute : solutes) {
    if (auto error = CheckSolute(solute, true)) return error;
  }
  return std::nullopt;
}

// Adds up in quadrature how far each doubt moves the pH, at the ionic strength found: that it moves too is of
// second order.
void SetBand(const Equilibrium& mixture, Solution& solution) {
  const auto with = [&](const Nudge& nudge) {
    return mixture.PhAt(solution.ionic_strength, nudge, solution.ph);
  };
  double both = kScaleTrust * kScaleTrust;
  if (solution.activity == ActivityModel::kDaviesHeld) both += kHeldTrust * kHeldTrust;
  const auto& acids = mixture.acids();
  for (std::size_t acid = 0; acid < acids.size(); ++acid) {
    const double doubt = acids[acid].uncertainty;
    for (std::size_t step = 0; doubt > 0 && step < acids[acid].pka.size(); ++step) {
      const double half = 0.5 * (with({.acid = acid, .step = step, .pka = doubt}) -
                                 with({.acid = acid, .step = step, .pka = -doubt}));
      both += half * half;
    }
  }
  const double trust = DaviesTrust(solution.ionic_strength);
  const double model = 0.5 * (with({.log_gamma = trust}) - with({.log_gamma = -trust}));
  both += model * model;

  // Stray acid and base move unbuffered water by units of pH, and unequally: each side has its own.
  const double acid = solution.ph - with({.charge = -kStrayCharge});
  const double base = with({.charge = kStrayCharge}) - solution.ph;
  solution.ph_low = solution.ph - std::sqrt(both + acid * acid);
  solution.ph_high = solution.ph + std::sqrt(both + base * base);
}

void SetDrivers(std::span<const Solute> solutes, const Equilibrium& mixture, Solution& solution) {
  const Equilibrium::Point at{solution.ph, solution.ionic_strength};
  std::vector<Solute> others;
  for (std::size_t i = 0; i < solutes.size(); ++i) {
    if (solutes[i].molality == 0) continue;
    others.assign(solutes.begin(), solutes.end());
    others.erase(std::next(others.begin(), static_cast<std::ptrdiff_t>(i)));
    const double without = Equilibrium(others).Solve().ph;
    const double share = mixture.BufferCapacity(at, i) / solution.buffer_capacity;
    if (std::abs(without - solution.ph) < kDriverShift && share < kDriverShare) continue;
    solution.drivers.push_back({i, solutes[i].name, share, without});
  }
  std::stable_sort(solution.drivers.begin(), solution.drivers.end(), [&](const Driver& a, const Driver& b) {
    return std::abs(a.ph_without - solution.ph) > std::abs(b.ph_without - solution.ph);
  });
}

Solution Describe(std::span<const Solute> solutes, Detail detail = Detail::kAll) {
  const Equilibrium mixture(solutes);
  const Equilibrium::Point at = mixture.Solve();
  Solution solution;
  solution.ph = at.ph;
  solution.ionic_strength = at.ionic_strength;
  solution.activity = at.ionic_strength > kDaviesLimit ? ActivityModel::kDaviesHeld : ActivityModel::kDavies;
  solution.buffer_capacity = mixture.BufferCapacity(at);
  for (std::size_t i = 0; i < solutes.size(); ++i) solution.shares.push_back(mixture.Shares(at, i));
  solution.ph_low = solution.ph_high = solution.ph;
  if (detail != Detail::kNoBand) SetBand(mixture, solution);
  if (detail == Detail::kAll) SetDrivers(solutes, mixture, solution);
  return solution;
}

double PhWith(std::vector<Solute>& mixture, double dose) {
  mixture.back().molality = dose;
  return Equilibrium(mixture).Solve().ph;
}

OutOfRange CannotReach(const std::string& doser, double start, double target, double most, double reached) {
  const bool wrong_way = (target - start) * (reached - start) <= 0;
  if (wrong_way) {
    return {fmt::format("{} cannot {} the pH: {:.2f} without it, {:.2f} asked, {:.2f} with {} mol/kg", doser,
                        target > start ? "raise" : "lower", start, target, reached, most)};
  }
  return {fmt::format("{} cannot bring the pH from {:.2f} to {:.2f}: even {} mol/kg reach {:.2f} only", doser,
                      start, target, most, reached)};
}

}  // namespace

tl::expected<Solution, OutOfRange> SolvePh(std::span<const Solute> solutes, Detail detail) {
  if (auto error = CheckMixture(solutes)) return tl::unexpected(*error);
  return Describe(solutes, detail);
}

tl::expected<Dose, OutOfRange> DoseForPh(std::span<const Solute> solutes, const Solute& doser, double target,
                                         double greatest_molality) {
  if (auto error = CheckMixture(solutes)) return tl::unexpected(*error);
  if (auto error = CheckSolute(doser, false)) return tl::unexpected(*error);
  if (!Within(target, 0, 14)) {
    return tl::unexpected(OutOfRange{fmt::format("target pH {}, expected 0 to 14", target)});
  }
  if (!(greatest_molality > 0 && greatest_molality <= kGreatestMolality)) {
    return tl::unexpected(OutOfRange{fmt::format("greatest dose {} mol/kg, expected above 0 and at most {}",
                                                 greatest_molality, kGreatestMolality)});
  }
  std::vector<Solute> mixture(solutes.begin(), solutes.end());
  mixture.push_back(doser);
  const double start = PhWith(mixture, 0);
  if (std::abs(start - target) <= kAtTarget) return Dose{0, Describe(mixture)};

  const auto still_short = [&](double ph) { return start < target ? ph < target : ph > target; };
  double low = 0;
  double high = std::min(kFirstDose, greatest_molality);
  while (still_short(PhWith(mixture, high))) {
    if (high >= greatest_molality) {
      const std::string name = doser.name.empty() ? "the doser" : doser.name;
      return tl::unexpected(CannotReach(name, start, target, high, PhWith(mixture, high)));
    }
    low = high;
    high = std::min(2 * high, greatest_molality);
  }
  // Sixty halvings use up the digits of a double.
  for (int i = 0; i < 60 && high - low > 1e-13 * high; ++i) {
    const double middle = 0.5 * (low + high);
    (still_short(PhWith(mixture, middle)) ? low : high) = middle;
  }
  mixture.back().molality = high;
  return Dose{high, Describe(mixture)};
}

tl::expected<double, OutOfRange> UndissociatedShare(double pka, double ph) {
  const auto shares = ProtonationShares(std::span(&pka, 1), ph);
  if (!shares) return tl::unexpected(shares.error());
  return shares->front();
}

tl::expected<std::vector<double>, OutOfRange> ProtonationShares(std::span<const double> pka, double ph) {
  if (pka.empty()) return tl::unexpected(OutOfRange{"no pKa given, expected 1 to 20 values"});
  if (auto error = CheckPkas(pka, "acid")) return tl::unexpected(*error);
  if (!Within(ph, kLeastPh, kGreatestPh)) {
    return tl::unexpected(OutOfRange{fmt::format("pH {}, expected {} to {}", ph, kLeastPh, kGreatestPh)});
  }
  const Solute acid{.name = "",
                    .molality = 0,
                    .charge_protonated = 0,
                    .pka = {pka.begin(), pka.end()},
                    .strong_ions = {},
                    .pka_uncertainty = 0};
  return Equilibrium(std::span(&acid, 1)).Shares({ph, 0}, 0);
}

}  // namespace kb::chemistry
