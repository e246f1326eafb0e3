#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <vector>

#include "kb/chemistry/acid_base.h"

// From any bytes to a mixture, and whether the answer keeps the promises that hold for every input. Shared by the
// fuzzer and by the unit test that runs it over a fixed set of bytes.

namespace fuzz {

class Bytes {
 public:
  explicit Bytes(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}
  [[nodiscard]] bool Empty() const { return at_ >= bytes_.size(); }
  std::uint8_t Byte() { return Empty() ? 0 : bytes_[at_++]; }
  // Half of the time the raw bits of a double, NaN and infinities with them; else something that chemistry would see.
  double Number(double low, double high) {
    const std::uint8_t kind = Byte();
    if (kind >= 250) {
      double raw = 0;
      std::uint8_t bits[sizeof raw];
      for (std::uint8_t& bit : bits) bit = Byte();
      std::memcpy(&raw, bits, sizeof raw);
      return raw;
    }
    const double part = (Byte() * 256.0 + Byte()) / 65535;
    return low + (high - low) * (kind % 2 == 0 ? part : part * part * part * part);
  }

 private:
  std::span<const std::uint8_t> bytes_;
  std::size_t at_ = 0;
};

inline kb::chemistry::Solute SoluteFrom(Bytes& bytes) {
  kb::chemistry::Solute solute;
  solute.name = "x";
  solute.molality = bytes.Number(0, 100);
  solute.charge_protonated = bytes.Byte() % 8 - 3;
  double pka = bytes.Number(-15, 10);
  for (int left = bytes.Byte() % 8; left > 0; --left) {
    solute.pka.push_back(pka);
    pka += bytes.Number(0, 5);
  }
  for (int left = bytes.Byte() % 3; left > 0; --left) {
    const int charge = bytes.Byte() % 9 - 4;
    solute.strong_ions.push_back({charge, bytes.Number(0, 6)});
  }
  solute.pka_uncertainty = bytes.Number(0, 1);
  return solute;
}

// What is wrong with an answer; empty if nothing is.
inline std::string Fault(const kb::chemistry::Solution& solution) {
  for (const double number :
       {solution.ph, solution.ph_low, solution.ph_high, solution.ionic_strength, solution.buffer_capacity}) {
    if (!std::isfinite(number)) return "a number is not finite";
  }
  if (!(solution.ph_low <= solution.ph && solution.ph <= solution.ph_high))
    return "the pH lies outside its band";
  if (solution.ionic_strength < 0) return "negative ionic strength";
  if (!(solution.buffer_capacity > 0)) return "no buffer capacity, yet water has some";
  for (const std::vector<double>& shares : solution.shares) {
    double sum = 0;
    for (const double share : shares) {
      if (!(share >= 0 && share <= 1)) return "a share outside 0..1";
      sum += share;
    }
    if (std::abs(sum - 1) > 1e-9) return "shares do not add up to 1";
  }
  for (const kb::chemistry::Driver& driver : solution.drivers) {
    if (!std::isfinite(driver.ph_without)) return "a driver's pH is not finite";
    if (!(driver.buffer_share >= 0 && driver.buffer_share <= 1 + 1e-9))
      return "a driver's share outside 0..1";
  }
  return {};
}

// Runs the bytes through the solver and the doser.
inline std::string FaultFor(std::span<const std::uint8_t> data) {
  Bytes bytes(data);
  const double target = bytes.Number(0, 14);
  const kb::chemistry::Solute doser = SoluteFrom(bytes);
  std::vector<kb::chemistry::Solute> mixture;
  while (!bytes.Empty() && mixture.size() < 12) mixture.push_back(SoluteFrom(bytes));

  if (const auto solution = kb::chemistry::SolvePh(mixture)) {
    if (std::string fault = Fault(*solution); !fault.empty()) return fault;
  } else if (solution.error().what.empty()) {
    return "refused without a word";
  }
  if (const auto dose = kb::chemistry::DoseForPh(mixture, doser, target)) {
    if (std::string fault = Fault(dose->after); !fault.empty()) return "after the dose: " + fault;
    // A bracket that a jump in ionic strength leaves may hold no root finer than this.
    if (std::abs(dose->after.ph - target) > 1e-3) return "the dose misses the target";
  } else if (dose.error().what.empty()) {
    return "dose refused without a word";
  }
  return {};
}

}  // namespace fuzz
