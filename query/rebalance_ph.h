// Keeping the pH through a rebalancing: not linear, so by the solver and a search for the dose.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "kb/formula.h"
#include "query/assess.h"

namespace query {

struct PhQuestion {
  const kb::Catalogue& catalogue;
  const PhEstimate& before;      // what is to be kept
  std::optional<double> target;  // of the formula: what lies between the two is as good as either
  double tolerance = 0;          // pH
};

// Is the estimate further off than the tolerance, and than its own band? false where no pH is known, before or now.
bool PhMoved(const PhQuestion& question, const kb::Formula& formula);

struct DoseLine {
  std::size_t line = 0;
  double most = 100;  // %, that the law leaves room for
};

struct LineDose {
  std::size_t line = 0;
  double pct = 0;
};

// The first of these lines whose dose brings the old pH back, and the dose: a fifth to five times of what it is, and
// not above what is allowed; what it adds comes off the balance line. nullopt where none does.
std::optional<LineDose> DoseInFormula(const PhQuestion& question, const kb::Formula& formula,
                                      std::optional<std::size_t> balance, const std::vector<DoseLine>& lines);

// What would bring the old pH back though it is not in the formula, as a half sentence.
std::string DoseOutside(const PhQuestion& question, const kb::Formula& formula, const Assessment& now);

}  // namespace query
