#include "kb/derived.h"

#include <algorithm>

#include "kb/text.h"

namespace kb {
namespace {

constexpr std::size_t kDeepest =
    16;  // blends in blends; circles are refused by the indexer, this bounds the walk

bool Holds(const std::vector<std::string>& list, std::string_view item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

bool IsBroken(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule) {
  const Ingredient& item = catalogue.at(ix);
  if (Holds(rule.broken_by_class, catalogue.Choice(ix, "class"))) return true;
  if (Holds(rule.broken_by_origin, catalogue.Choice(ix, "origin"))) return true;
  const std::string inci = Fold(item.inci);
  return std::any_of(
             item.functions.begin(), item.functions.end(),
             [&](FunctionIx f) { return Holds(rule.broken_by_function, catalogue.function(f).id); }) ||
         std::any_of(rule.broken_by_inci.begin(), rule.broken_by_inci.end(),
                     [&](const std::string& part) { return inci.find(Fold(part)) != std::string::npos; });
}

bool Kept(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule, std::size_t depth) {
  if (const Fact* said = catalogue.Best(ix, "claim", rule.id)) return said->text == "yes";
  if (IsBroken(catalogue, ix, rule)) return false;
  if (!rule.assume_kept && !Holds(rule.kept_by_origin, catalogue.Choice(ix, "origin"))) return false;
  const std::vector<Component>& parts = catalogue.at(ix).composition;
  if (depth == kDeepest) return false;
  return std::all_of(parts.begin(), parts.end(), [&](const Component& part) {
    return !part.ingredient || Kept(catalogue, *part.ingredient, rule, depth + 1);
  });
}

}  // namespace

std::string_view SolubleIn(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view water = catalogue.Choice(ix, "in_water");
  const std::string_view oil = catalogue.Choice(ix, "in_oil");
  if (water.empty() && oil.empty()) return "";
  const bool in_water =
      water == "dissolves" || water == "swells" || (water == "disperses" && oil != "dissolves");
  const bool in_oil =
      oil == "dissolves" || oil == "polar-oils-only" || oil == "swells" || (oil == "disperses" && !in_water);
  if (in_water) return in_oil ? "both" : "water";
  return in_oil ? "oil" : "neither";
}

bool IsClaimKept(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule) {
  return Kept(catalogue, ix, rule, 0);
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
