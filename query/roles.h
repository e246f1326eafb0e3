// What an ingredient does in this formula: its functions weighed by the record, the level, the product and the company.
#pragma once

#include <string>
#include <vector>

#include "kb/formula.h"
#include "query/facts.h"

namespace query {

struct Role {
  kb::FunctionIx function = 0;
  double weight = 0;  // the weights of an answer add up to 1
  std::string because;
};

// Roles of line `line`, heaviest first; empty where the record has no functions.
//
//   weight = rank * level * form * supply
//   rank     1 for the record's main function, then 0.69, 0.53, 0.43 ...: 1 / (1 + 0.45 r) with r from 0
//   level    1 inside the usual range for that function, falling with the distance outside it on a logarithmic scale
//   form     2 where the function belongs to this kind of product, 1 where it is at home in any, 0.2 where it is unusual
//   supply   0.6 to 1: how much of the formula's supply of that function this line is
//
// The numbers are ours: they order, they do not measure.
std::vector<Role> RolesOf(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line);

}  // namespace query
