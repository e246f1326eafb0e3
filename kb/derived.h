// What follows from an ingredient's facts alone, and is needed both to index it and to answer.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"

namespace kb {

// Which side of an emulsion it belongs to, from `in_water` and `in_oil`. Dispersing counts only where nothing better
// is on the other side.
enum class Side { kUnknown, kWater, kOil, kBoth, kNeither };
Side SideOf(const Catalogue& catalogue, IngredientIx ix);
std::string_view SideName(Side side);  // "", "water", "oil", "both", "neither"

// Does a formula keep this claim with it? The record's own claim first, then the rule; for a blend its parts decide:
// one that breaks it breaks it, and one that is not known leaves it not known.
enum class ClaimState { kKept, kBroken, kDepends, kUnknown };
struct ClaimAnswer {
  ClaimState state = ClaimState::kUnknown;
  std::string because;
};
ClaimAnswer KeepsClaim(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule);
std::string_view ClaimStateName(ClaimState state);  // "kept", "broken", "depends", "not known"

// The states alone, remembered: `catalogue.Once<ClaimStates>()`. Any number of threads may ask.
class ClaimStates {
 public:
  explicit ClaimStates(const Catalogue& catalogue);
  // As KeepsClaim by the rule at place `claim` of catalogue.claims().
  ClaimState Of(const Catalogue& catalogue, IngredientIx ix, std::size_t claim) const;

 private:
  std::size_t claims_;
  mutable std::vector<std::atomic<std::uint8_t>>
      known_;  // ingredient by ingredient; 0 not asked yet, else the state + 1
};

// How it stands ordinary hot making, by `max_c`; "" where that is not known.
//   stable     kHoldC or more: it can sit through the heating of both phases
//   moderate   less
//   sensitive  up to kCoolDownC: only when the batch has cooled
std::string_view HeatTolerance(const Catalogue& catalogue, IngredientIx ix);
inline constexpr double kHoldC = 75;  // usual hold of a hot process, 70 to 75 C; common practice
inline constexpr double kCoolDownC =
    45;  // usual start of the cool-down additions, 40 to 45 C; common practice

// Does it have to be heated to melt, hydrate or activate (`needs_c` above cool-down)? nullopt where not
// known.
std::optional<bool> NeedsHeat(const Catalogue& catalogue, IngredientIx ix);

// pH of the product in which it works: `ph_use`, else `ph_active`, else `ph_stable`.
std::optional<Range> ProductPh(const Catalogue& catalogue, IngredientIx ix);

// Least and greatest of all usual levels, %.
std::optional<Range> AllLevels(const Catalogue& catalogue, IngredientIx ix);

}  // namespace kb
