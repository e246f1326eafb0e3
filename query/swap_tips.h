// Which of an ingredient's tips a maker should hear when it stands in for another, in this formula.
#pragma once

#include <string>
#include <vector>

#include "kb/formula.h"
#include "query/facts.h"

namespace query {

// The stand-in's tips, most to the point first: one that speaks of the missing ingredient, then one that speaks of this kind of
// product or of something else in the formula, then the rest in the record's order. A tip about another kind of product is left
// out. `after` is the formula with the stand-in in it.
std::vector<std::string> TipsFor(const Catalogue& catalogue, const kb::Formula& after, IngredientIx missing,
                                 IngredientIx stand_in);

}  // namespace query
