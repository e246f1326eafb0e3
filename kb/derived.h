// What follows from an ingredient's facts alone, and is needed both to index it and to answer.
#pragma once

#include <optional>
#include <string_view>

#include "kb/catalogue.h"

namespace kb {

// Where it dissolves, from `in_water` and `in_oil`. Dispersing counts only where nothing better is on the
// other side. "water", "oil", "both", "neither"; "" where neither fact is known.
std::string_view SolubleIn(const Catalogue& catalogue, IngredientIx ix);

// Whether a formula is known to keep a claim with this ingredient in it: the record's own claim first, then
// the rule in the catalogue. A blend keeps what the rule grants it and each of its parts keeps.
bool IsClaimKept(const Catalogue& catalogue, IngredientIx ix, const ClaimRule& rule);

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
