#include "kb/chemistry/hansen.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <string>

namespace kb::chemistry {
namespace {

constexpr double kGreatest = 60;  // MPa^0.5

tl::unexpected<OutOfRange> Refuse(std::string what) {
  return tl::unexpected(OutOfRange{std::move(what)});
}

std::optional<std::string> WhyOutOfRange(const HansenPoint& point) {
  const std::pair<const char*, double> named[] = {
      {"dispersion", point.dispersion}, {"polar", point.polar}, {"hydrogen bonding", point.hydrogen_bonding}};
  for (const auto& [name, value] : named) {
    if (!(value >= 0 && value <= kGreatest)) {
      return fmt::format("{} parameter {} MPa^0.5, want 0 to {}", name, value, kGreatest);
    }
  }
  return std::nullopt;
}

}  // namespace

tl::expected<double, OutOfRange> HansenDistance(const HansenPoint& a, const HansenPoint& b) {
  for (const HansenPoint& point : {a, b}) {
    if (auto why = WhyOutOfRange(point)) return Refuse(*std::move(why));
  }
  return std::hypot(2 * (a.dispersion - b.dispersion), a.polar - b.polar,
                    a.hydrogen_bonding - b.hydrogen_bonding);
}

tl::expected<double, OutOfRange> RelativeEnergyDifference(double distance, double radius) {
  if (!(distance >= 0 && std::isfinite(distance))) {
    return Refuse(fmt::format("distance {} MPa^0.5, want 0 or more", distance));
  }
  if (!(radius > 0 && radius <= kGreatest)) {
    return Refuse(fmt::format("radius {} MPa^0.5, want above 0 to {}", radius, kGreatest));
  }
  return distance / radius;
}

tl::expected<HansenPoint, OutOfRange> HansenBlend(std::span<const HansenPart> parts) {
  if (parts.empty()) return Refuse("no parts to blend");
  HansenPoint sum;
  double volume = 0;
  for (const HansenPart& part : parts) {
    if (!(part.volume >= 0 && std::isfinite(part.volume))) {
      return Refuse(fmt::format("volume {}, want 0 or more", part.volume));
    }
    if (auto why = WhyOutOfRange(part.point)) return Refuse(*std::move(why));
    volume += part.volume;
    sum.dispersion += part.volume * part.point.dispersion;
    sum.polar += part.volume * part.point.polar;
    sum.hydrogen_bonding += part.volume * part.point.hydrogen_bonding;
  }
  if (!(volume > 0 && std::isfinite(volume * kGreatest))) {
    return Refuse(fmt::format("volumes sum to {}, want above 0", volume));
  }
  return HansenPoint{sum.dispersion / volume, sum.polar / volume, sum.hydrogen_bonding / volume};
}

}  // namespace kb::chemistry
