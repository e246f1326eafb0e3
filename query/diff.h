// What changes between two assessments, as sentences: phase totals first, then worst first.
#pragma once

#include <string>
#include <vector>

#include "query/assess.h"

namespace query {

struct Change {
  std::string
      topic;  // phase-total, water, oil, hlb, ph, preservation, heat, limit, conflict, solubility, claim, label, feel ...
  std::string text;
  std::string before, after, unit;  // may be empty
  Severity severity = Severity::kNote;
};

// `names` gives the phases their letters; both assessments must be of formulas with the same phases in the same order, or with
// phases added at the end.
std::vector<Change> Diff(const Assessment& before, const Assessment& after);

// Findings of `after` that `before` did not have, or had less severely.
std::vector<Finding> NewFindings(const Assessment& before, const Assessment& after);

}  // namespace query
