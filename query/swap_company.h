// Who has to come along: the partner of an emulsifier that is no complete system, the second half of a preservative pair.
#pragma once

#include <vector>

#include "query/swap_rules.h"

namespace query {

// Partners that a stand-in needs beside it in this formula, with their levels; empty where it needs none or one is there
// already (then the partner has level 0 and says so).
std::vector<Partner> PartnersFor(const RuleSetting& setting, IngredientIx stand_in, double& level_pct);

// The kingdoms that the formula's preservatives cover with, and without, certain lines and additions.
std::vector<std::string> Uncovered(const Catalogue& catalogue, const kb::Formula& formula,
                                   std::optional<std::size_t> without_line,
                                   const std::vector<IngredientIx>& with, std::optional<double> ph);

}  // namespace query
