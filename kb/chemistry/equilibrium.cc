#include "kb/chemistry/equilibrium.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "kb/chemistry/activity.h"

namespace kb::chemistry {
namespace {

const double kLn10 = std::log(10.0);
constexpr double kPhTolerance = 1e-12;
constexpr int kMostIterations = 200;  // bisection alone needs about 50

double Power10(double x) {
  return std::exp(x * kLn10);
}

using StateShares = std::array<double, kMostSteps + 1>;

// Shares of the protonation states at this pH, from a ladder (see Equilibrium::Ladders); an array because
// this is the innermost loop.
StateShares SharesOf(const std::vector<double>& ladder, double ph) {
  StateShares shares{};
  double top = ladder[0];
  for (std::size_t lost = 0; lost < ladder.size(); ++lost) {
    shares[lost] = ladder[lost] + static_cast<double>(lost) * ph;
    top = std::max(top, shares[lost]);
  }
  // Taking the greatest out first keeps every power within range, whatever the pKa values.
  double sum = 0;
  for (std::size_t lost = 0; lost < ladder.size(); ++lost)
    sum += (shares[lost] = Power10(shares[lost] - top));
  for (std::size_t lost = 0; lost < ladder.size(); ++lost) shares[lost] /= sum;
  return shares;
}

double LogGamma(int charge, double ionic_strength, const Nudge& nudge) {
  // The doubt grows with the whole z^2, also where the coefficient itself is held at four charges.
  return DaviesLogGamma(charge, ionic_strength) + charge * charge * nudge.log_gamma;
}

}  // namespace

Equilibrium::Equilibrium(std::span<const Solute> solutes) {
  parts_.reserve(solutes.size());
  for (const Solute& solute : solutes) {
    const auto same = std::find_if(acids_.begin(), acids_.end(), [&](const Acid& acid) {
      return acid.charge_protonated == solute.charge_protonated && acid.pka == solute.pka;
    });
    const auto acid = static_cast<std::size_t>(same - acids_.begin());
    if (same == acids_.end()) acids_.push_back({solute.charge_protonated, solute.pka, 0});
    acids_[acid].uncertainty = std::max(acids_[acid].uncertainty, solute.pka_uncertainty);

    Part part{solute.molality, acid, 0, 0};
    for (const StrongIon& ion : solute.strong_ions) {
      part.strong_charge += ion.charge * ion.per_formula;
      part.strong_squares += ion.charge * ion.charge * ion.per_formula;
    }
    const int last = solute.charge_protonated - static_cast<int>(solute.pka.size());
    most_charge_ += part.molality * (std::max(std::abs(solute.charge_protonated), std::abs(last)) +
                                     std::abs(part.strong_charge));
    parts_.push_back(part);
  }
}

Equilibrium::Ladders Equilibrium::LaddersAt(double ionic_strength, const Nudge& nudge) const {
  Ladders ladders;
  ladders.reserve(acids_.size());
  for (std::size_t i = 0; i < acids_.size(); ++i) {
    const Acid& acid = acids_[i];
    const double whole = LogGamma(acid.charge_protonated, ionic_strength, nudge);
    std::vector<double>& ladder = ladders.emplace_back(1, 0.0);
    double sum = 0;
    for (std::size_t step = 0; step < acid.pka.size(); ++step) {
      sum += acid.pka[step];
      if (nudge.acid == i && nudge.step == step) sum += nudge.pka;
      const int charge = acid.charge_protonated - static_cast<int>(step) - 1;
      ladder.push_back(whole - LogGamma(charge, ionic_strength, nudge) - sum);
    }
  }
  return ladders;
}

Equilibrium::Moments Equilibrium::MomentsOf(std::size_t acid, const Ladders& ladders, double ph) const {
  const int whole = acids_[acid].charge_protonated;
  if (ladders[acid].size() == 1) return {double(whole), double(whole) * whole, 0};
  const StateShares shares = SharesOf(ladders[acid], ph);
  Moments moments{0, 0, 0};
  for (std::size_t lost = 0; lost < ladders[acid].size(); ++lost) {
    const double charge = whole - static_cast<double>(lost);
    moments.charge += shares[lost] * charge;
    moments.squares += shares[lost] * charge * charge;
  }
  for (std::size_t lost = 0; lost < ladders[acid].size(); ++lost) {
    const double off = whole - static_cast<double>(lost) - moments.charge;
    moments.variance += shares[lost] * off * off;
  }
  return moments;
}

double Equilibrium::PhAt(double ionic_strength, const Nudge& nudge, double guess) const {
  const Ladders ladders = LaddersAt(ionic_strength, nudge);
  const double log_gamma = LogGamma(1, ionic_strength, nudge);
  std::vector<double> molalities(acids_.size(), 0.0);
  double strong = nudge.charge;
  for (const Part& part : parts_) {
    molalities[part.acid] += part.molality;
    strong += part.molality * part.strong_charge;
  }

  // At the ends H+ or OH- alone outweighs tenfold all that the solutes can carry.
  const double outweigh = std::log10(10 * (most_charge_ + std::abs(nudge.charge) + 1));
  double low = -outweigh - log_gamma;
  double high = kPkw + outweigh + log_gamma;
  double ph = guess > low && guess < high ? guess : 0.5 * (low + high);
  double step = high - low;
  for (int i = 0; i < kMostIterations && high - low > kPhTolerance; ++i) {
    const double proton = Power10(-ph - log_gamma);
    const double hydroxide = Power10(ph - kPkw - log_gamma);
    double charge = strong + proton - hydroxide;
    double slope = proton + hydroxide;
    for (std::size_t acid = 0; acid < acids_.size(); ++acid) {
      const Moments moments = MomentsOf(acid, ladders, ph);
      charge += molalities[acid] * moments.charge;
      slope += molalities[acid] * moments.variance;
    }
    if (charge == 0) break;
    (charge > 0 ? low : high) = ph;
    // Newton where it stays inside the bracket and at least halves its step; else the middle.
    const double newton = charge / (kLn10 * slope);
    const bool take = std::abs(newton) <= 0.5 * std::abs(step) && ph + newton > low && ph + newton < high;
    step = take ? newton : 0.5 * (low + high) - ph;
    ph += step;
    if (take && std::abs(step) < kPhTolerance) break;
  }
  return ph;
}

double Equilibrium::IonicStrengthAt(double ph, double ionic_strength) const {
  const Ladders ladders = LaddersAt(ionic_strength, {});
  const double log_gamma = LogGamma(1, ionic_strength, {});
  double sum = Power10(-ph - log_gamma) + Power10(ph - kPkw - log_gamma);
  std::vector<double> squares(acids_.size());
  for (std::size_t acid = 0; acid < acids_.size(); ++acid) {
    squares[acid] = MomentsOf(acid, ladders, ph).squares;
  }
  for (const Part& part : parts_) sum += part.molality * (squares[part.acid] + part.strong_squares);
  return 0.5 * sum;
}

Equilibrium::Point Equilibrium::Solve() const {
  // Above the limit the coefficients no longer change, so one look there tells on which side the answer lies.
  const double ph_at_limit = PhAt(kDaviesLimit);
  const double at_limit = IonicStrengthAt(ph_at_limit, kDaviesLimit);
  if (at_limit >= kDaviesLimit) return {ph_at_limit, at_limit};

  // Below: I(I) - I is not negative at 0 and negative at the limit. Secant steps, the first one substitution, where they stay
  // inside that bracket and at least halve the step; else the middle, so a slow or swinging search ends too.
  double low = 0;
  double high = kDaviesLimit;
  double guess = at_limit;
  double ph = ph_at_limit;
  double step = high;
  double last_guess = kDaviesLimit;
  double last_off = at_limit - kDaviesLimit;
  for (int i = 0; i < kMostIterations && high - low > 1e-13; ++i) {
    ph = PhAt(guess, {}, ph);
    const double off = IonicStrengthAt(ph, guess) - guess;
    if (std::abs(off) <= 1e-13 + 1e-11 * guess) break;
    (off > 0 ? low : high) = guess;
    const double secant = off == last_off ? off : -off * (guess - last_guess) / (off - last_off);
    last_guess = guess;
    last_off = off;
    const bool take =
        std::abs(secant) <= 0.5 * std::abs(step) && guess + secant > low && guess + secant < high;
    step = take ? secant : 0.5 * (low + high) - guess;
    guess += step;
  }
  return {ph, guess};
}

double Equilibrium::BufferCapacity(const Point& at) const {
  const double log_gamma = LogGamma(1, at.ionic_strength, {});
  double capacity = kLn10 * (Power10(-at.ph - log_gamma) + Power10(at.ph - kPkw - log_gamma));
  for (std::size_t i = 0; i < parts_.size(); ++i) capacity += BufferCapacity(at, i);
  return capacity;
}

double Equilibrium::BufferCapacity(const Point& at, std::size_t solute) const {
  const Part& part = parts_[solute];
  return kLn10 * part.molality * MomentsOf(part.acid, LaddersAt(at.ionic_strength, {}), at.ph).variance;
}

std::vector<double> Equilibrium::Shares(const Point& at, std::size_t solute) const {
  const std::vector<double> ladder = LaddersAt(at.ionic_strength, {})[parts_[solute].acid];
  const StateShares shares = SharesOf(ladder, at.ph);
  return {shares.begin(), shares.begin() + static_cast<std::ptrdiff_t>(ladder.size())};
}

}  // namespace kb::chemistry
