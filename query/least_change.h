// The least change to a set of levels that meets linear demands: a linear programme, solved by GLPK.
//
//   minimise    sum_i weight_i * |x_i - start_i|
//   such that   low_i <= x_i <= high_i                          every level
//               low_r <= sum_i of_ri * x_i <= high_r            every demand
//
// Where not every demand can be met the programme is elastic: each demand with `gives` above 0 may fall short, at that price a
// unit, and the cheapest shortfall is taken first, before any change is counted. So the answer says what falls short and by how
// much, and is still the least change among those that fall short as little. A demand with `gives` 0 never falls short.
//
// Pure     no state is kept: GLPK's own, which is one a thread, is freed before the call returns; safe from any thread
// Trust    demands and bounds are met within 1e-6
// Source   an absolute value as two columns: any textbook of linear programming (common practice); the elastic programme: Chinneck,
//          Feasibility and Infeasibility in Optimization, Springer 2008 (memory)
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <vector>

namespace query {

struct LevelBound {
  double start = 0;          // low <= start <= high, or the error says so
  double low = 0, high = 0;  // any finite numbers
  double weight = 0;         // >= 0; 0 moves for nothing
};

struct LinearDemand {
  std::vector<double> of;    // one a level
  double low = 0, high = 0;  // may be -infinity and +infinity
  double gives = 0;          // price of a unit of shortfall; 0: never falls short
};

struct LeastChangeAnswer {
  std::vector<double> levels;
  std::vector<double> short_by;  // of each demand, >= 0; 0 where it is met
  double cost = 0;               // the weighted sum of changes
};

// error  a sentence: numbers that are none, a start outside its bounds, or demands that never give and cannot be met
tl::expected<LeastChangeAnswer, std::string> LeastChange(const std::vector<LevelBound>& levels,
                                                         const std::vector<LinearDemand>& demands);

}  // namespace query
