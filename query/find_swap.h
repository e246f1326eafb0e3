// "Alternative to X" asked of the search: the stand-ins of a typical formula, each with the first line of its reason.
#pragma once

#include <string>
#include <vector>

#include "query/find_reading.h"

namespace query {

struct SwapLine {
  kb::IngredientIx ingredient = 0;
  std::string why;
};

struct SwapLines {
  std::string answer;  // the verdict in a line
  std::vector<SwapLine> stand_ins;
  bool never = false;  // must not be swapped: nothing is offered
};

// The kind of product is the one that the wishes name, else the first that the ingredient suits.
SwapLines StandInsFor(const kb::Catalogue& catalogue, kb::IngredientIx missing, const Reading& reading);

}  // namespace query
