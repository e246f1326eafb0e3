// The order of making: how each ingredient goes in, and what is done phase by phase.
#pragma once

#include <string>
#include <vector>

#include "query/weigh.h"

namespace query {

// From `how_in` and `lumps`: "sprinkle onto the moving liquid", "melt in" ...; "" where nothing is known.
std::string HowItGoesIn(const kb::Catalogue& catalogue, kb::IngredientIx ix);

// Water first, then what dissolves, then what thickens, what goes in last at the end; else as the formula has it.
void PutInOrder(const kb::Catalogue& catalogue, const kb::Formula& formula, WeighPhase& phase);

std::vector<std::string> StepsOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                 const Assessment& assessment, const WeighSheet& sheet);

}  // namespace query
