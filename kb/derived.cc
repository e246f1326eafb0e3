#include "kb/derived.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

constexpr std::size_t kDeepest =
    16;  // blends in blends; circles are refused by the indexer, this bounds the walk

bool Holds(const std::vector<std::string>& list, std::string_view item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

ClaimAnswer ByRule(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule) {
  const std::string_view chemical_class = catalogue.Choice(ix, "class");
  const std::string_view origin = catalogue.Choice(ix, "origin");
  if (Holds(rule.broken_by_class, chemical_class)) {
    return {ClaimState::kBroken, fmt::format("it is of the class {}", chemical_class)};
  }
  for (const FunctionIx function : catalogue.at(ix).functions) {
    if (Holds(rule.broken_by_function, catalogue.function(function).id)) {
      return {ClaimState::kBroken, fmt::format("it is a {}", catalogue.function(function).name)};
    }
  }
  const std::string inci = rule.broken_by_inci.empty() ? std::string() : Fold(catalogue.at(ix).inci);
  for (const std::string& fragment : rule.broken_by_inci) {
    if (inci.find(Fold(fragment)) != std::string::npos) {
      return {ClaimState::kBroken, fmt::format("its label name holds '{}'", fragment)};
    }
  }
  if (Holds(rule.broken_by_origin, origin)) {
    return {ClaimState::kBroken, fmt::format("its origin is {}", origin)};
  }
  if (Holds(rule.kept_by_origin, origin)) {
    return {ClaimState::kKept, fmt::format("its origin is {}", origin)};
  }
  if (rule.assume_kept) return {ClaimState::kKept, "nothing in it breaks the claim"};
  return {ClaimState::kUnknown, "the record does not say"};
}

ClaimAnswer Keeps(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule, std::size_t depth) {
  if (const Fact* fact = catalogue.Best(ix, "claim", rule.id)) {
    const ClaimState state = fact->text == "yes"  ? ClaimState::kKept
                             : fact->text == "no" ? ClaimState::kBroken
                                                  : ClaimState::kDepends;
    return {state, fact->note.empty() ? "its record says so" : fact->note};
  }
  ClaimAnswer answer = ByRule(catalogue, ix, rule);
  if (answer.state == ClaimState::kBroken || depth == kDeepest) return answer;
  for (const Component& part : catalogue.at(ix).composition) {
    if (!part.ingredient) continue;
    ClaimAnswer inner = Keeps(catalogue, *part.ingredient, rule, depth + 1);
    if (inner.state == ClaimState::kBroken) {
      return {ClaimState::kBroken,
              fmt::format("{} in it: {}", catalogue.at(*part.ingredient).name, inner.because)};
    }
    if (inner.state != ClaimState::kKept && answer.state == ClaimState::kKept) answer = std::move(inner);
  }
  return answer;
}

}  // namespace

Side SideOf(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view water = catalogue.Choice(ix, "in_water");
  const std::string_view oil = catalogue.Choice(ix, "in_oil");
  if (water.empty() && oil.empty()) return Side::kUnknown;
  // Dispersing counts as belonging only where nothing better is on the other side.
  const bool in_water =
      water == "dissolves" || water == "swells" || (water == "disperses" && oil != "dissolves");
  const bool in_oil =
      oil == "dissolves" || oil == "polar-oils-only" || oil == "swells" || (oil == "disperses" && !in_water);
  if (in_water && in_oil) return Side::kBoth;
  if (in_water) return Side::kWater;
  if (in_oil) return Side::kOil;
  return Side::kNeither;
}

std::string_view SideName(Side side) {
  switch (side) {
    case Side::kWater:
      return "water";
    case Side::kOil:
      return "oil";
    case Side::kBoth:
      return "both";
    case Side::kNeither:
      return "neither";
    case Side::kUnknown:
      break;
  }
  return "";
}

std::string_view ClaimStateName(ClaimState state) {
  switch (state) {
    case ClaimState::kKept:
      return "kept";
    case ClaimState::kBroken:
      return "broken";
    case ClaimState::kDepends:
      return "depends";
    case ClaimState::kUnknown:
      break;
  }
  return "not known";
}

ClaimAnswer KeepsClaim(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule) {
  return Keeps(catalogue, ix, rule, 0);
}

ClaimStates::ClaimStates(const Catalogue& catalogue)
    : claims_(catalogue.claims().size()), known_(catalogue.ingredients().size() * claims_) {}

ClaimState ClaimStates::Of(const Catalogue& catalogue, IngredientIx ix, std::size_t claim) const {
  std::atomic<std::uint8_t>& known = known_[ix * claims_ + claim];
  if (const std::uint8_t state = known.load(std::memory_order_relaxed); state != 0)
    return static_cast<ClaimState>(state - 1);
  const ClaimState state = KeepsClaim(catalogue, ix, catalogue.claims()[claim]).state;
  known.store(static_cast<std::uint8_t>(static_cast<unsigned>(state) + 1), std::memory_order_relaxed);
  return state;
}

std::string_view HeatTolerance(const Catalogue& catalogue, IngredientIx ix) {
  const auto most = catalogue.Number(ix, "max_c");
  if (!most) return "";
  if (most->low >= kHoldC) return "stable";
  return most->low <= kCoolDownC ? "sensitive" : "moderate";
}

std::optional<bool> NeedsHeat(const Catalogue& catalogue, IngredientIx ix) {
  const auto needed = catalogue.Number(ix, "needs_c");
  if (!needed) return std::nullopt;
  return needed->low > kCoolDownC;
}

std::optional<Range> ProductPh(const Catalogue& catalogue, IngredientIx ix) {
  for (const char* property : {"ph_use", "ph_active", "ph_stable"}) {
    if (const auto window = catalogue.Number(ix, property)) return window;
  }
  return std::nullopt;
}

std::optional<Range> AllLevels(const Catalogue& catalogue, IngredientIx ix) {
  std::optional<Range> all;
  for (const Fact& fact : catalogue.Facts(ix, "use_pct")) {
    if (!fact.number) continue;
    if (!all) all = fact.number;
    all = Range{std::min(all->low, fact.number->low), std::max(all->high, fact.number->high)};
  }
  return all;
}

}  // namespace kb
