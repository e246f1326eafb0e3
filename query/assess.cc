#include "query/assess.h"

#include <algorithm>

#include "query/assess_parts.h"

namespace query {

std::string_view SeverityName(Severity severity) {
  switch (severity) {
    case Severity::kStop:
      return "stop";
    case Severity::kWarn:
      return "warn";
    case Severity::kNote:
      return "note";
  }
  return "note";
}

Assessment Assess(const kb::Catalogue& catalogue, const kb::Formula& formula, Depth depth) {
  Assessment out;
  const parts::Setting setting{catalogue, formula, depth};
  parts::AddComposition(setting, out);
  parts::AddEmulsion(setting, out);
  parts::AddPh(setting, out);
  parts::AddPreservation(setting, out);
  parts::AddHeat(setting, out);
  parts::AddSolubility(setting, out);
  parts::AddLevels(setting, out);
  parts::AddConflicts(setting, out);
  parts::AddLimits(setting, out);
  parts::AddLabel(setting, out);
  parts::AddClaims(setting, out);
  std::stable_sort(out.findings.begin(), out.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.severity < b.severity; });
  return out;
}

}  // namespace query
