#include "kb/chemistry/humectancy.h"

#include <fmt/format.h>

#include <cmath>

namespace kb::chemistry {
namespace {

constexpr double kWaterMass = 18.015;                // g/mol
constexpr double kMostSolute = 0.25;                 // mole fraction, see NorrishWaterActivity
constexpr double kStepFactor = 10, kStepGrams = 10;  // see WaterUptake

tl::unexpected<OutOfRange> Refuse(std::string what) {
  return tl::unexpected(OutOfRange{std::move(what)});
}

bool Within(double value, double low, double high) {
  return value >= low && value <= high;
}

std::optional<std::string> WhyBadPairs(std::span<const UptakePair> pairs) {
  if (pairs.size() < 2) return fmt::format("{} uptake pairs, want two or more", pairs.size());
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (!Within(pairs[i].humidity, 0, 100)) {
      return fmt::format("pair {}: humidity {} %, want 0 to 100", i + 1, pairs[i].humidity);
    }
    if (!(pairs[i].uptake >= 0 && std::isfinite(pairs[i].uptake))) {
      return fmt::format("pair {}: uptake {} g, want 0 or more", i + 1, pairs[i].uptake);
    }
    if (i > 0 && !(pairs[i].humidity > pairs[i - 1].humidity && pairs[i].uptake >= pairs[i - 1].uptake)) {
      return fmt::format("pair {}: want humidity rising and uptake not falling", i + 1);
    }
  }
  return std::nullopt;
}

}  // namespace

tl::expected<double, OutOfRange> WaterUptake(std::span<const UptakePair> pairs, double humidity) {
  if (auto why = WhyBadPairs(pairs)) return Refuse(*std::move(why));
  if (!Within(humidity, pairs.front().humidity, pairs.back().humidity)) {
    return Refuse(fmt::format("humidity {} %, known from {} to {}", humidity, pairs.front().humidity,
                              pairs.back().humidity));
  }
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    const UptakePair &low = pairs[i - 1], &high = pairs[i];
    if (humidity == low.humidity) return low.uptake;
    if (humidity >= high.humidity) continue;
    if (high.uptake > kStepFactor * low.uptake && high.uptake - low.uptake > kStepGrams) {
      return Refuse(fmt::format("it dissolves itself between {} and {} % humidity: no value at {} %",
                                low.humidity, high.humidity, humidity));
    }
    return std::lerp(low.uptake, high.uptake, (humidity - low.humidity) / (high.humidity - low.humidity));
  }
  return pairs.back().uptake;
}

tl::expected<double, OutOfRange> NorrishWaterActivity(double solute, double k) {
  if (!Within(solute, 0, kMostSolute)) {
    return Refuse(fmt::format("solute mole fraction {}, want 0 to {}", solute, kMostSolute));
  }
  if (!Within(k, 0, 10)) return Refuse(fmt::format("Norrish K {}, want 0 to 10", k));
  return (1 - solute) * std::exp(-k * solute * solute);
}

tl::expected<WaterActivity, OutOfRange> WaterActivityOf(double water, std::span<const Humectant> humectants) {
  if (!(water > 0 && std::isfinite(water))) return Refuse(fmt::format("water {} g, want above 0", water));
  WaterActivity result{1, {}};
  const double water_moles = water / kWaterMass;
  for (const Humectant& one : humectants) {
    if (!(one.grams >= 0 && std::isfinite(one.grams))) {
      return Refuse(fmt::format("{} g of {}, want 0 or more", one.grams, one.name));
    }
    if (one.grams == 0) continue;
    if (!one.k) {
      result.not_counted.emplace_back(one.name);
      continue;
    }
    if (!Within(one.molar_mass, 10, 5000)) {
      return Refuse(fmt::format("molar mass {} of {}, want 10 to 5000 g/mol", one.molar_mass, one.name));
    }
    const double moles = one.grams / one.molar_mass;
    const auto alone = NorrishWaterActivity(moles / (moles + water_moles), *one.k);
    if (!alone) return Refuse(fmt::format("{}: {}", one.name, alone.error().what));
    result.value *= *alone;
  }
  return result;
}

}  // namespace kb::chemistry
