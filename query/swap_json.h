// Parts of the contract's JSON for swaps, shared by the answers that hold stand-ins. Includes the JSON library: for .cc files only.
#pragma once

#include <nlohmann/json.hpp>

#include "query/swap.h"

namespace query {

nlohmann::json StandInJson(const Catalogue& catalogue, const StandIn& item, std::size_t rank);
nlohmann::json RebalancedJson(const Catalogue& catalogue, const Rebalanced& rebalanced);
nlohmann::json ChangesJson(const std::vector<Change>& changes);
nlohmann::json RuledOutJson(const Catalogue& catalogue, const std::vector<RuledOut>& ruled_out);

// "propanediol 4 % + xanthan gum 0.3 %"
std::string BlendWords(const Catalogue& catalogue, const StandIn& item);

}  // namespace query
