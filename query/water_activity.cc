#include "query/water_activity.h"

#include <algorithm>

#include "kb/chemistry/humectancy.h"

namespace query {
namespace {

constexpr double kWaterMolarMass = 18.015;  // g/mol
constexpr double kMostMoleFraction = 0.25;  // beyond it Norrish's law gives too low an activity

}  // namespace

std::optional<double> WaterActivityAtMost(const kb::Catalogue& catalogue,
                                          const std::vector<Substance>& substances, double water_pct) {
  if (water_pct <= 0) return std::nullopt;
  const double water = water_pct / kWaterMolarMass;
  std::vector<kb::chemistry::Humectant> humectants;
  for (const Substance& item : substances) {
    if (!item.record || item.pct <= 0) continue;
    const auto k = catalogue.Number(*item.record, "norrish_k");
    const std::string_view chemical_class = catalogue.Choice(*item.record, "class");
    const bool small = chemical_class == "polyol" || chemical_class == "glycol" || chemical_class == "sugar";
    const auto molar_mass = catalogue.Number(*item.record, "molar_mass");
    // Polymers (polyethylene glycol, polyglycerin) hold the class of their unit; they lower it by next to nothing.
    if ((!k && !small) || !molar_mass || molar_mass->mid() < 10 || molar_mass->mid() > 600) continue;
    if (catalogue.Choice(*item.record, "in_water") != "dissolves") continue;
    // Held at the greatest share that the law covers: more would lower it further.
    const double most = kMostMoleFraction / (1 - kMostMoleFraction) * water * molar_mass->mid() * (1 - 1e-9);
    humectants.push_back(
        {item.inci, std::min(item.pct, most), molar_mass->mid(), k ? std::clamp(k->mid(), 0.0, 10.0) : 0.0});
  }
  if (humectants.empty()) return std::nullopt;
  const auto activity = kb::chemistry::WaterActivityOf(water_pct, humectants);
  return activity ? std::optional(activity->value) : std::nullopt;
}

}  // namespace query
