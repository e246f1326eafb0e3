#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "kb/chemistry/acid_base.h"

// The charge balance behind acid_base.h, without the questions asked of it there. Checks no input.

namespace kb::chemistry {

// Changes to try out, so that uncertainties need no copy of the mixture.
struct Nudge {
  std::size_t acid = kNone;  // which of Equilibrium::acids()
  std::size_t step = 0;      // which pKa of that acid
  double pka = 0;            // added to it
  double log_gamma = 0;      // added to the log10 gamma of a single charge, and z^2 times that for z
  double charge = 0;         // stray strong charge, mol/kg

  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);
};

class Equilibrium {
 public:
  explicit Equilibrium(std::span<const Solute> solutes);

  struct Point {
    double ph;
    double ionic_strength;
  };
  // The self-consistent answer. Bracketed in both searches, so it always ends.
  [[nodiscard]] Point Solve() const;
  // The pH at a given ionic strength: the one zero of a falling function.
  // guess  where to look first; any value will do
  [[nodiscard]] double PhAt(double ionic_strength, const Nudge& nudge = {}, double guess = 7) const;

  [[nodiscard]] double BufferCapacity(const Point& at) const;
  // Of one solute alone, same units as BufferCapacity.
  [[nodiscard]] double BufferCapacity(const Point& at, std::size_t solute) const;
  [[nodiscard]] std::vector<double> Shares(const Point& at, std::size_t solute) const;

  // A free acid and its salts are one acid: their pKa values are the same number, so they err together.
  struct Acid {
    int charge_protonated;
    std::vector<double> pka;
    double uncertainty;  // the greatest given for it
  };
  [[nodiscard]] const std::vector<Acid>& acids() const { return acids_; }

 private:
  struct Part {
    double molality;
    std::size_t acid;
    double strong_charge;   // per formula unit
    double strong_squares;  // sum of z^2 per formula unit
  };
  struct Moments {
    double charge;    // mean, of the protonating part
    double squares;   // mean z^2
    double variance;  // of the charge
  };
  // For each acid, log10 of (share that lost j protons / share that lost none) at pH 0.
  using Ladders = std::vector<std::vector<double>>;

  [[nodiscard]] Ladders LaddersAt(double ionic_strength, const Nudge& nudge) const;
  [[nodiscard]] Moments MomentsOf(std::size_t acid, const Ladders& ladders, double ph) const;
  [[nodiscard]] double IonicStrengthAt(double ph, double ionic_strength) const;

  std::vector<Part> parts_;
  std::vector<Acid> acids_;
  double most_charge_ = 0;  // mol/kg, an upper bound of what the solutes can carry
};

}  // namespace kb::chemistry
