// The small language of `when` in data/placing.toml: what must be known of an ingredient, and of the batch that it goes into.
//
// A condition is one term, or several joined by commas; all must hold. Only what is known counts: a term about a fact that nobody
// gave does not hold, nor does its `not`. So a new fact can only bring new evidence in.
//
//   form powder|crystals    a fact of this property (a choice of data/properties.toml) is one of these
//   not form liquid         the fact is known and is none of these
//   function preservative   one of its functions; `not function` where its functions are known
//   known water_class       the fact is known
//   max_c < 60              a number of data/properties.toml against a number: < <= > >= =
//
//   What follows from the facts and the batch (query/place works it out):
//     dissolving cold|borderline|crystals|no   at this level in the water that is there: at 25 C surely; at 25 C perhaps; hot, but
//                         it comes out on cooling; not even hot
//     melts liquid|yes|no    liquid at 25 C; melts at or below the temperature of the hot phase; melts above it
//     stands heat|warm|cool  70 C or more for the hold; between; 45 C or less (from max_c)
//     needs heat|none        above 45 C to melt, hydrate or activate (from needs_c)
//     solution yes           a ready solution or dispersion in water
//     polymer yes         a gum, cellulosic, acrylate or another polymer, by its class or as described
//     family X               family of its class, as in data/classes.toml
//     kind gel|water ...     form of the product
//     heated yes|no          does the batch have a phase that is heated
//   numbers of the batch, % of the whole: level (of the ingredient), water, oil, glycol, surfactant, salt;
//   process (C, temperature of the hot phase)
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/definitions.h"

namespace kb {

// Ids of the positions, in the order in which PlacingRule holds weights.
inline constexpr std::array<std::string_view, 7> kPositionIds = {
    "heated-water",    "heated-oil",         "cool-down", "cool-down-water",
    "disperse-in-oil", "disperse-in-glycol", "slurry"};

// Reads a condition; "" holds always. The error is a sentence for people. Names are not checked here.
tl::expected<std::vector<PlacingTerm>, std::string> ParsePlacing(std::string_view text);

struct PlacingSignal {
  std::string_view name;
  std::vector<std::string_view> values;  // empty: a number, or any word
  bool number = false;
};
const std::vector<PlacingSignal>& PlacingSignals();

}  // namespace kb
