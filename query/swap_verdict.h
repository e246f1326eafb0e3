// The verdict of a swap: whether the stand-ins found are a swap, a swap with rework, or none at all.
#pragma once

#include "query/swap.h"

namespace query {

// Fills `verdict` and `because` of an answer whose stand-ins are ranked, best first; `role` is the one that was taken.
void GiveVerdict(const Catalogue& catalogue, const kb::Function& role, SwapAnswer& answer);

// What the law has against the missing one itself in the formula as it was; "" where nothing.
std::string OwnLimit(const Catalogue& catalogue, const SwapAnswer& answer);

}  // namespace query
