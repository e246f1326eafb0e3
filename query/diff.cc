#include "query/diff.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace query {
namespace {

constexpr double kLessKnown = 0.02;  // of the oil phase, a share that can move the mean by a tenth
constexpr double kAllKnown = 0.995;
constexpr double kSeen = 0.05;  // %, what a kitchen scale and a reader notice in a phase

std::string Pct(double value) {
  return fmt::format("{:.2f}", value);
}

void DiffPhases(const Assessment& before, const Assessment& after, std::vector<Change>& out) {
  const std::size_t count = std::max(before.phases.size(), after.phases.size());
  for (std::size_t i = 0; i < count; ++i) {
    const PhaseTotal& phase = i < after.phases.size() ? after.phases[i] : before.phases[i];
    const double old_pct = i < before.phases.size() ? before.phases[i].pct : 0;
    const double new_pct = i < after.phases.size() ? after.phases[i].pct : 0;
    Change change{"phase-total", "", Pct(old_pct), Pct(new_pct), "%", Severity::kNote};
    const double difference = new_pct - old_pct;
    change.text = std::abs(difference) < 0.005
                      ? fmt::format("phase {} ({}) stays at {:.2f} %", phase.phase, phase.name, new_pct)
                      : fmt::format("phase {} ({}) goes from {:.2f} to {:.2f} % ({:+.2f})", phase.phase,
                                    phase.name, old_pct, new_pct, difference);
    out.push_back(std::move(change));
  }
}

void DiffSum(std::string topic, std::string_view what, double before, double after,
             std::vector<Change>& out) {
  if (std::abs(after - before) < kSeen) return;
  out.push_back(
      {std::move(topic),
       fmt::format("{} {} from {:.2f} to {:.2f} %", what, after > before ? "rises" : "falls", before, after),
       Pct(before), Pct(after), "%", Severity::kNote});
}

std::string Hlb(const std::optional<double>& value) {
  return value ? fmt::format("{:.1f}", *value) : "not known";
}

void DiffEmulsion(const Emulsion& before, const Emulsion& after, std::vector<Change>& out) {
  const auto differs = [](const std::optional<double>& a, const std::optional<double>& b) {
    return a.has_value() != b.has_value() || (a && std::abs(*a - *b) >= 0.05);
  };
  if (differs(before.required_hlb, after.required_hlb)) {
    Change change{"hlb", "", Hlb(before.required_hlb), Hlb(after.required_hlb), "", Severity::kNote};
    change.text = fmt::format("the oil phase asks for HLB {} instead of {}", change.after, change.before);
    // Fewer values known, another mean: that is no change of the oils, and must not read like one.
    if (after.covered_share < before.covered_share - kLessKnown) {
      change.text = fmt::format(
          "what the oil phase asks for is less well known: HLB {} from {:.0f} % of it, before {} from {:.0f} "
          "%",
          change.after, 100 * after.covered_share, change.before, 100 * before.covered_share);
      if (!after.not_covered.empty())
        change.text += fmt::format("; no value for {}", fmt::join(after.not_covered, ", "));
    } else if (after.covered_share < kAllKnown) {
      change.text += fmt::format(" (known for {:.0f} % of it)", 100 * after.covered_share);
    }
    out.push_back(std::move(change));
  }
  if (differs(before.provided_hlb, after.provided_hlb)) {
    Change change{"hlb", "", Hlb(before.provided_hlb), Hlb(after.provided_hlb), "", Severity::kNote};
    if (after.provided_hlb && before.provided_hlb) {
      change.text = fmt::format("the emulsifiers give HLB {} instead of {}", change.after, change.before);
    } else if (after.provided_hlb) {
      change.text = fmt::format("the emulsifiers give HLB {}; before it could not be reckoned", change.after);
    } else {
      change.text =
          fmt::format("HLB no longer tells whether the emulsifiers fit (they gave {})", change.before);
    }
    if (!after.applies && !after.because.empty()) change.text += ": " + after.because;
    out.push_back(std::move(change));
  }
}

void DiffPh(const PhEstimate& before, const PhEstimate& after, std::vector<Change>& out) {
  if (!before.estimate || !after.estimate) {
    if (before.estimate.has_value() != after.estimate.has_value()) {
      out.push_back(
          {"ph", "the pH can no longer be estimated the same way: measure it", "", "", "", Severity::kNote});
    }
    return;
  }
  const double shift = *after.estimate - *before.estimate;
  if (std::abs(shift) < 0.1) return;
  Change change{
      "ph",           "", fmt::format("{:.1f}", *before.estimate), fmt::format("{:.1f}", *after.estimate), "",
      Severity::kNote};
  change.severity = std::abs(shift) >= 0.5 ? Severity::kWarn : Severity::kNote;
  change.text =
      fmt::format("the estimated pH {} from {} to {} before any adjustment: measure and set it again",
                  shift > 0 ? "rises" : "falls", change.before, change.after);
  out.push_back(std::move(change));
}

void DiffPreservation(const Preservation& before, const Preservation& after, std::vector<Change>& out) {
  for (const std::string& gap : after.gaps) {
    if (std::find(before.gaps.begin(), before.gaps.end(), gap) != before.gaps.end()) continue;
    std::string kingdom = gap;
    std::replace(kingdom.begin(), kingdom.end(), '_', '-');
    out.push_back({"preservation", fmt::format("nothing left covers {}", kingdom), "covered", "uncovered", "",
                   Severity::kStop});
  }
  if (before.chelator && !after.chelator) {
    out.push_back({"preservation", "no chelator any more: metals spoil oils and help germs", "yes", "no", "",
                   Severity::kNote});
  }
}

void DiffFindings(const Assessment& before, const Assessment& after, std::vector<Change>& out) {
  for (const Finding& finding : NewFindings(before, after)) {
    Change change{finding.topic, finding.text, "", "", "", finding.severity};
    if (!finding.advice.empty()) change.text += ": " + finding.advice;
    out.push_back(std::move(change));
  }
  for (const Finding& finding : before.findings) {
    // How far the pH is from its target was told with the pH itself.
    if (finding.topic == "ph" && finding.severity == Severity::kNote) continue;
    const bool stays = std::any_of(after.findings.begin(), after.findings.end(),
                                   [&](const Finding& other) { return other.key == finding.key; });
    if (!stays) out.push_back({finding.topic, "no longer: " + finding.text, "", "", "", Severity::kNote});
  }
}

void DiffHeat(const Assessment& before, const Assessment& after, std::vector<Change>& out) {
  for (std::size_t i = 0; i < std::min(before.heat.size(), after.heat.size()); ++i) {
    const HeatNote& a = before.heat[i];
    const HeatNote& b = after.heat[i];
    const double was = a.needs_c.value_or(0);
    const double is = b.needs_c.value_or(0);
    if (std::abs(was - is) < 1) continue;
    const auto show = [](const std::optional<double>& c) { return c ? fmt::format("{:.0f}", *c) : "none"; };
    const std::string text =
        !b.needs_c ? fmt::format("phase {} needs no heat any more; before {} C", b.phase, show(a.needs_c))
        : !a.needs_c
            ? fmt::format("phase {} needs {} C; before it needed no heat", b.phase, show(b.needs_c))
            : fmt::format("phase {} needs {} C instead of {}", b.phase, show(b.needs_c), show(a.needs_c));
    out.push_back({"heat", text, show(a.needs_c), show(b.needs_c), "C", Severity::kNote});
  }
}

void DiffClaims(const Assessment& before, const Assessment& after, std::vector<Change>& out) {
  for (std::size_t i = 0; i < std::min(before.claims.size(), after.claims.size()); ++i) {
    const ClaimResult& a = before.claims[i];
    const ClaimResult& b = after.claims[i];
    if (a.state == b.state) continue;
    Change change{"claim", "", a.state, b.state, "", Severity::kNote};
    if (b.state == "kept") {
      change.text = fmt::format("the formula becomes {}", b.claim);
    } else if (b.state == "broken") {
      change.text = fmt::format("the formula is no longer {} ({})", b.claim, b.because);
      change.severity = Severity::kWarn;
    } else {
      const std::string_view state = b.state == "depends" ? "depends" : "is not known";
      change.text = fmt::format("whether the formula is {} {} ({})", b.claim, state, b.because);
    }
    out.push_back(std::move(change));
  }
}

std::string Names(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

void DiffLabel(const Label& before, const Label& after, std::vector<Change>& out) {
  std::vector<std::string> gone;
  std::vector<std::string> fresh;
  const auto minus = [](const std::vector<std::string>& a, const std::vector<std::string>& b,
                        std::vector<std::string>& to) {
    for (const std::string& name : a) {
      if (std::find(b.begin(), b.end(), name) == b.end()) to.push_back(name);
    }
  };
  minus(before.inci, after.inci, gone);
  minus(after.inci, before.inci, fresh);
  if (!gone.empty() || !fresh.empty()) {
    std::string text = "label: ";
    if (!fresh.empty() && !gone.empty()) {
      text += fmt::format("{} in place of {}", Names(fresh), Names(gone));
    } else {
      text += fresh.empty() ? Names(gone) + " goes off" : Names(fresh) + " comes on";
    }
    out.push_back({"label", std::move(text), Names(gone), Names(fresh), "", Severity::kNote});
  } else if (before.inci != after.inci) {
    out.push_back({"label", "label: the order of the names changes", Names(before.inci), Names(after.inci),
                   "", Severity::kNote});
  }
  for (const LabelAllergen& allergen : after.allergens) {
    const bool known = std::any_of(before.allergens.begin(), before.allergens.end(),
                                   [&](const LabelAllergen& other) { return other.inci == allergen.inci; });
    if (known) continue;
    out.push_back({"label", fmt::format("the label must name the fragrance allergen {}", allergen.inci), "",
                   allergen.inci, "", Severity::kWarn});
  }
}

}  // namespace

std::vector<Finding> NewFindings(const Assessment& before, const Assessment& after) {
  std::vector<Finding> out;
  for (const Finding& finding : after.findings) {
    const auto old = std::find_if(before.findings.begin(), before.findings.end(),
                                  [&](const Finding& other) { return other.key == finding.key; });
    if (old == before.findings.end() || finding.severity < old->severity) out.push_back(finding);
  }
  return out;
}

std::vector<Change> Diff(const Assessment& before, const Assessment& after) {
  std::vector<Change> out;
  DiffPhases(before, after, out);
  const auto phases = static_cast<std::ptrdiff_t>(out.size());
  DiffSum("water", "water in all", before.composition.water, after.composition.water, out);
  DiffSum("oil", "oils in all", before.composition.oils, after.composition.oils, out);
  DiffSum("surfactant", "active surfactant matter", before.composition.surfactant_active,
          after.composition.surfactant_active, out);
  DiffEmulsion(before.emulsion, after.emulsion, out);
  DiffPh(before.ph, after.ph, out);
  DiffPreservation(before.preservation, after.preservation, out);
  DiffHeat(before, after, out);
  DiffFindings(before, after, out);
  DiffClaims(before, after, out);
  DiffLabel(before.label, after.label, out);
  std::stable_sort(out.begin() + phases, out.end(),
                   [](const Change& a, const Change& b) { return a.severity < b.severity; });
  return out;
}

}  // namespace query
