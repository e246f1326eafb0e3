// The order of making: what is done phase by phase. Where and how each line goes in is told by its placement.
#pragma once

#include <string>
#include <vector>

#include "query/weigh.h"

namespace query {

// As the placements ask for: water first, then what mixes in, then what is prepared apart, what goes in by drops and last of all
// at the end; else as the formula has it.
void PutInOrder(WeighPhase& phase);

std::vector<std::string> StepsOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                 const Assessment& assessment, const WeighSheet& sheet);

}  // namespace query
