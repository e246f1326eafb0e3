// The last step of a swap, on request: the other lines of the formula moved around each stand-in.
#pragma once

#include <string>
#include <vector>

#include "query/sheet.h"
#include "query/swap.h"

namespace query {

// Rebalances the formula of every stand-in of an answer about `formula`; what changes is then said of the rebalanced one.
void RebalanceAll(const Catalogue& catalogue, const kb::Formula& formula, SwapAnswer& answer);

// The same once, for the formula in which several were swapped.
void RebalanceSeveral(const Catalogue& catalogue, const kb::Formula& formula, SeveralAnswer& answer);

// For people: what moves, what is kept, and, marked by "! ", what cannot be kept.
std::vector<std::string> RebalanceWords(const Catalogue& catalogue, const Rebalanced& rebalanced);

}  // namespace query
