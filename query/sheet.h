// Whole formulas: stand-ins for every line, to print and publish beside the formula; and several things missing at once.
#pragma once

#include <string>
#include <vector>

#include "query/swap.h"

namespace query {

struct SheetLine {
  std::size_t line = 0;
  std::string verdict, because;
  std::string role;                // name of the function that it was swapped as
  std::vector<StandIn> stand_ins;  // the best three
};

struct Sheet {
  kb::Formula formula;
  std::vector<SheetLine> lines;  // in the formula's order
};

Sheet MakeSheet(const Catalogue& catalogue, const kb::Formula& formula, const std::vector<std::string>& keep);

// The one change that a reader of the sheet must hear: the worst of the changes, else what a maker notices, else the handling.
std::string ChangeThatMatters(const StandIn& stand_in);

// One stand-in for each of several missing lines, each chosen in the formula that the others leave, none of the missing ones taken
// for another; and what all of it changes together.
struct SeveralAnswer {
  std::vector<SwapAnswer> each;  // in the order asked; the first stand-in of each is the one taken
  std::vector<Change> changes;   // of the whole
  kb::Formula after;
  bool complete = true;                  // false: one of them has no stand-in
  std::optional<Rebalanced> rebalanced;  // where the question asks for it: once, around all that came in
};
SeveralAnswer SwapSeveral(const Catalogue& catalogue, const SwapQuestion& question,
                          const std::vector<IngredientIx>& missing);

}  // namespace query
