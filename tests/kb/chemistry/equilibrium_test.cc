#include "kb/chemistry/equilibrium.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

// The laws that an equilibrium has to keep, over thousands of random mixtures with a fixed seed. The laws are written
// out here on their own, from the equations in the headers, so that they do not lean on the code they test.

namespace kb::chemistry {
namespace {

constexpr int kMixtures = 4000;

class Mixtures {
 public:
  std::vector<Solute> Next() {
    std::vector<Solute> mixture(1 + random_() % 6);
    for (Solute& solute : mixture) {
      solute.name = "s";
      solute.molality = std::pow(10, Between(-6, 0.5));
      solute.charge_protonated = static_cast<int>(random_() % 4) - 1;
      double pka = Between(-2, 8);
      for (auto left = random_() % 5; left > 0; --left) {
        solute.pka.push_back(pka);
        pka += Between(0, 4);
      }
      for (auto left = random_() % 3; left > 0; --left) {
        const int charge = static_cast<int>(1 + random_() % 3) * (random_() % 2 == 0 ? 1 : -1);
        solute.strong_ions.push_back({charge, Between(0, 3)});
      }
    }
    return mixture;
  }
  double Between(double low, double high) {
    return low + (high - low) * static_cast<double>(random_()) / 4294967295.0;
  }

 private:
  std::mt19937 random_{1962};
};

double LogGamma(int charge, double ionic_strength) {
  const double held = std::min(ionic_strength, 0.5);
  const int z = std::min(std::abs(charge), 4);
  return -0.509 * z * z * (std::sqrt(held) / (1 + std::sqrt(held)) - 0.3 * held);
}

TEST(EquilibriumLaws, ChargesCancel) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures; ++run) {
    const auto mixture = mixtures.Next();
    const Equilibrium equilibrium(mixture);
    const auto at = equilibrium.Solve();
    const double log_gamma = LogGamma(1, at.ionic_strength);
    const double proton = std::pow(10, -at.ph - log_gamma);
    const double hydroxide = std::pow(10, at.ph - 13.995 - log_gamma);
    double plus = proton;
    double minus = hydroxide;
    for (std::size_t i = 0; i < mixture.size(); ++i) {
      const auto shares = equilibrium.Shares(at, i);
      for (std::size_t lost = 0; lost < shares.size(); ++lost) {
        const double charge =
            mixture[i].molality * shares[lost] * (mixture[i].charge_protonated - static_cast<double>(lost));
        (charge > 0 ? plus : minus) += std::abs(charge);
      }
      for (const StrongIon& ion : mixture[i].strong_ions) {
        (ion.charge > 0 ? plus : minus) += mixture[i].molality * ion.per_formula * std::abs(ion.charge);
      }
    }
    ASSERT_NEAR(plus, minus, 1e-10 * (plus + minus)) << "run " << run << ", pH " << at.ph;
  }
}

TEST(EquilibriumLaws, EveryStepObeysMassAction) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures; ++run) {
    const auto mixture = mixtures.Next();
    const Equilibrium equilibrium(mixture);
    const auto at = equilibrium.Solve();
    for (std::size_t i = 0; i < mixture.size(); ++i) {
      const auto shares = equilibrium.Shares(at, i);
      ASSERT_EQ(shares.size(), mixture[i].pka.size() + 1);
      for (std::size_t step = 0; step < mixture[i].pka.size(); ++step) {
        if (shares[step] < 1e-200 || shares[step + 1] < 1e-200) continue;  // too small to divide by
        const int charge = mixture[i].charge_protonated - static_cast<int>(step);
        const double log_quotient = -at.ph + std::log10(shares[step + 1] / shares[step]) +
                                    LogGamma(charge - 1, at.ionic_strength) -
                                    LogGamma(charge, at.ionic_strength);
        ASSERT_NEAR(log_quotient, -mixture[i].pka[step], 1e-9) << "run " << run;
      }
    }
  }
}

TEST(EquilibriumLaws, IonicStrengthIsItsDefinition) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures; ++run) {
    const auto mixture = mixtures.Next();
    const Equilibrium equilibrium(mixture);
    const auto at = equilibrium.Solve();
    const double log_gamma = LogGamma(1, at.ionic_strength);
    double sum = std::pow(10, -at.ph - log_gamma) + std::pow(10, at.ph - 13.995 - log_gamma);
    for (std::size_t i = 0; i < mixture.size(); ++i) {
      const auto shares = equilibrium.Shares(at, i);
      for (std::size_t lost = 0; lost < shares.size(); ++lost) {
        const double charge = mixture[i].charge_protonated - static_cast<double>(lost);
        sum += mixture[i].molality * shares[lost] * charge * charge;
      }
      for (const StrongIon& ion : mixture[i].strong_ions) {
        sum += mixture[i].molality * ion.per_formula * ion.charge * ion.charge;
      }
    }
    ASSERT_NEAR(at.ionic_strength, sum / 2, 1e-12 + 1e-8 * sum) << "run " << run;
  }
}

TEST(EquilibriumLaws, OrderDoesNotMatter) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures / 4; ++run) {
    auto mixture = mixtures.Next();
    const double forward = Equilibrium(mixture).Solve().ph;
    std::reverse(mixture.begin(), mixture.end());
    ASSERT_NEAR(Equilibrium(mixture).Solve().ph, forward, 1e-8) << "run " << run;
  }
}

TEST(EquilibriumLaws, TwoHalvesAreAWhole) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures / 4; ++run) {
    auto mixture = mixtures.Next();
    const double whole = Equilibrium(mixture).Solve().ph;
    mixture.front().molality /= 2;
    mixture.push_back(mixture.front());
    ASSERT_NEAR(Equilibrium(mixture).Solve().ph, whole, 1e-8) << "run " << run;
  }
}

// At one ionic strength the charge balance is monotone: base raises, acid lowers. (With the ionic strength free a salt
// effect may outweigh a trace of base, as it does in the beaker.)
TEST(EquilibriumLaws, BaseRaisesAndAcidLowers) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures / 4; ++run) {
    const Equilibrium equilibrium(mixtures.Next());
    const double strength = mixtures.Between(0, 1);
    double before = equilibrium.PhAt(strength, {.charge = -0.1});
    for (const double charge : {-0.01, -0.001, 0.0, 0.001, 0.01, 0.1}) {
      const double after = equilibrium.PhAt(strength, {.charge = charge});
      ASSERT_GT(after, before) << "run " << run << ", charge " << charge;
      before = after;
    }
  }
}

TEST(EquilibriumLaws, WhereTheSearchBeginsDoesNotMatter) {
  Mixtures mixtures;
  for (int run = 0; run < kMixtures / 4; ++run) {
    const Equilibrium equilibrium(mixtures.Next());
    const double ph = equilibrium.PhAt(0.1);
    for (const double guess : {-1e9, -1.0, 3.0, 7.5, 15.0, 1e9, std::nan("")}) {
      ASSERT_NEAR(equilibrium.PhAt(0.1, {}, guess), ph, 1e-9) << "run " << run << ", guess " << guess;
    }
  }
}

// The far corners of what acid_base.h lets in.
TEST(EquilibriumLaws, CornersStayFinite) {
  for (const double molality : {0.0, 1e-308, 1e-12, 100.0}) {
    for (const double pka : {-15.0, 7.0, 30.0}) {
      for (const int charge : {-20, 0, 20}) {
        for (const int ion : {-4, 4}) {
          const Solute solute{"x", molality, charge, std::vector<double>(20, pka), {{ion, 20}}, 0.1};
          const auto solution = SolvePh(std::vector<Solute>(3, solute));
          ASSERT_TRUE(solution.has_value());
          EXPECT_TRUE(std::isfinite(solution->ph)) << molality << ' ' << pka << ' ' << charge << ' ' << ion;
          EXPECT_TRUE(std::isfinite(solution->ph_low) && std::isfinite(solution->ph_high));
          EXPECT_TRUE(std::isfinite(solution->ionic_strength));
        }
      }
    }
  }
}

TEST(Equilibrium, TakesAnAcidAndItsSaltsForOneAcid) {
  const Solute acid{"a", 0.1, 0, {4.757}, {}, 0.1};
  const Solute salt{"b", 0.1, 0, {4.757}, {{1, 1}}, 0.2};
  const Solute other{"c", 0.1, 1, {4.757}, {}, 0.1};
  const Equilibrium equilibrium(std::vector{acid, salt, other});
  ASSERT_EQ(equilibrium.acids().size(), 2U);
  EXPECT_EQ(equilibrium.acids()[0].uncertainty, 0.2);
}

}  // namespace
}  // namespace kb::chemistry
