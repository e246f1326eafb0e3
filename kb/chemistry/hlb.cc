#include "kb/chemistry/hlb.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kb::chemistry {
namespace {

constexpr double kOxyethyleneMass = 44.053;  // C2H4O, g/mol

tl::unexpected<OutOfRange> Refuse(std::string what) {
  return tl::unexpected(OutOfRange{std::move(what)});
}

// NaN fails every comparison, so the tests below ask for what is wanted and negate it.
bool Within(double value, double low, double high) {
  return value >= low && value <= high;
}

bool OnScale(double hlb) {
  return Within(hlb, kLeastHlb, kGreatestHlb);
}

bool IsMass(double mass) {
  return mass >= 0 && std::isfinite(mass);
}

}  // namespace

tl::expected<double, OutOfRange> EsterHlb(double saponification, double acid) {
  if (!Within(acid, 100, 400)) return Refuse(fmt::format("acid value {} mg KOH/g, want 100 to 400", acid));
  if (!(saponification > 0 && saponification <= acid)) {
    return Refuse(fmt::format("saponification value {} mg KOH/g, want above 0 and at most the acid value {}",
                              saponification, acid));
  }
  return 20 * (1 - saponification / acid);
}

tl::expected<double, OutOfRange> EthoxylateHlb(double oxyethylene) {
  return EthoxylateHlb(oxyethylene, 0);
}

tl::expected<double, OutOfRange> EthoxylateHlb(double oxyethylene, double polyol) {
  if (!Within(oxyethylene, 0, 100))
    return Refuse(fmt::format("oxyethylene {} %, want 0 to 100", oxyethylene));
  if (!Within(polyol, 0, 100)) return Refuse(fmt::format("polyol {} %, want 0 to 100", polyol));
  if (oxyethylene + polyol > 100) {
    return Refuse(
        fmt::format("oxyethylene and polyol together {} %, want at most 100", oxyethylene + polyol));
  }
  return (oxyethylene + polyol) / 5;
}

tl::expected<double, OutOfRange> OxyethyleneShare(double units, double start) {
  if (!(units > 0 && units <= 500))
    return Refuse(fmt::format("{} oxyethylene units, want above 0 to 500", units));
  if (!Within(start, 30, 5000))
    return Refuse(fmt::format("starting molecule {} g/mol, want 30 to 5000", start));
  const double oxyethylene = units * kOxyethyleneMass;
  return 100 * oxyethylene / (start + oxyethylene);
}

std::optional<std::string_view> WhyHlbFails(EmulsifierKind kind) {
  switch (kind) {
    case EmulsifierKind::kNonionic:
      return std::nullopt;
    case EmulsifierKind::kAnionic:
      return "anionic: its charge holds the droplets apart, which Griffin's scale for non-ionics does not "
             "see";
    case EmulsifierKind::kCationic:
      return "cationic: its charge holds the droplets apart, which Griffin's scale for non-ionics does not "
             "see";
    case EmulsifierKind::kAmphoteric:
      return "amphoteric: its charge changes with pH, which Griffin's scale for non-ionics does not see";
    case EmulsifierKind::kPolymeric:
      return "polymeric: it stabilises by a thick layer around the droplet or by thickening the water";
    case EmulsifierKind::kLamellar:
      return "lamellar: it stabilises by liquid-crystal layers or a gel network with the fatty alcohols";
    case EmulsifierKind::kSilicone:
      return "silicone: its oil-loving part is no hydrocarbon, so the scale has no meaning";
  }
  return "of an unknown kind";
}

tl::expected<ProvidedHlb, OutOfRange> BlendHlb(std::span<const Emulsifier> emulsifiers) {
  if (emulsifiers.empty()) return Refuse("no emulsifiers");
  ProvidedHlb result;
  double total = 0, counted = 0, weighted = 0;
  for (const Emulsifier& one : emulsifiers) {
    if (!IsMass(one.mass)) return Refuse(fmt::format("mass {} of {}, want 0 or more", one.mass, one.name));
    total += one.mass;
    const auto why = WhyHlbFails(one.kind);
    if (!why && one.hlb && !OnScale(*one.hlb)) {
      return Refuse(fmt::format("HLB {} of {}, want 0 to 20", *one.hlb, one.name));
    }
    if (one.mass == 0) continue;
    if (why || !one.hlb) {
      result.not_counted.push_back(
          {std::string(one.name), std::string(why.value_or("its HLB is not known"))});
      continue;
    }
    counted += one.mass;
    weighted += one.mass * *one.hlb;
  }
  if (!(total > 0 && std::isfinite(weighted)))
    return Refuse(fmt::format("masses sum to {}, want above 0", total));
  if (counted > 0) result.hlb = weighted / counted;
  result.share_counted = counted / total;
  result.applies = counted > 0 && result.not_counted.empty();
  return result;
}

tl::expected<OilPhaseHlb, OutOfRange> RequiredHlb(std::span<const Lipid> oil_phase) {
  if (oil_phase.empty()) return Refuse("no lipids");
  OilPhaseHlb result{};
  double total = 0, covered = 0, weighted = 0;
  for (const Lipid& one : oil_phase) {
    if (!IsMass(one.mass)) return Refuse(fmt::format("mass {} of {}, want 0 or more", one.mass, one.name));
    if (one.required && !OnScale(*one.required)) {
      return Refuse(fmt::format("required HLB {} of {}, want 0 to 20", *one.required, one.name));
    }
    total += one.mass;
    if (one.required) {
      covered += one.mass;
      weighted += one.mass * *one.required;
    } else if (one.mass > 0) {
      result.not_covered.emplace_back(one.name);
    }
  }
  if (!(total > 0 && std::isfinite(weighted)))
    return Refuse(fmt::format("masses sum to {}, want above 0", total));
  if (!(covered > 0)) return Refuse("no lipid of known required HLB");
  result.required = weighted / covered;
  result.share_covered = covered / total;
  return result;
}

tl::expected<EmulsifierSplit, OutOfRange> SplitForHlb(double required, double first_hlb, double second_hlb) {
  constexpr double kSame = 0.01;
  for (const double hlb : {required, first_hlb, second_hlb}) {
    if (!OnScale(hlb)) return Refuse(fmt::format("HLB {}, want 0 to 20", hlb));
  }
  const auto [low, high] = std::minmax({first_hlb, second_hlb});
  if (high - low < kSame) {
    return Refuse(fmt::format("both emulsifiers have HLB {}: no split changes it", low));
  }
  if (!Within(required, low, high)) {
    return Refuse(
        fmt::format("required HLB {} lies outside the pair, which reaches {} to {}", required, low, high));
  }
  const double first = (required - second_hlb) / (first_hlb - second_hlb);
  return EmulsifierSplit{first, 1 - first};
}

}  // namespace kb::chemistry
