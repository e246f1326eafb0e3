#include "query/render_assess.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/assess_say.h"
#include "query/render.h"

namespace query {
namespace {

constexpr std::size_t kBarWidth = 40;  // columns for 100 %

std::string Bar(double pct) {
  const double marks = std::clamp(pct, 0.0, 100.0) / 100 * static_cast<double>(kBarWidth);
  // What is there shows, however little.
  const auto count = static_cast<std::size_t>(std::max(pct > 0 ? 1.0 : 0.0, std::round(marks)));
  std::string bar;
  for (std::size_t i = 0; i < count; ++i) bar += "█";
  return bar;
}

std::string PhasesText(const Assessment& a, bool bars) {
  std::string out;
  for (const PhaseTotal& phase : a.phases) {
    out += fmt::format("  {:<3} {:<13} {:6.2f} %{}{}\n", phase.phase, phase.name, phase.pct, bars ? "  " : "",
                       bars ? Bar(phase.pct) : "");
  }
  return out;
}

std::string FindingText(const Finding& finding, std::size_t width) {
  std::string text = fmt::format("{}: {}.", SeverityName(finding.severity), finding.text);
  if (!finding.text.empty() && (finding.text.back() == '.' || finding.text.back() == '!')) text.pop_back();
  if (!finding.advice.empty()) {
    std::string advice = finding.advice;
    advice[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(advice[0])));
    if (advice.back() != '.') advice += '.';
    text += " " + advice;
  }
  if (!finding.sources.empty()) text += fmt::format(" [{}]", fmt::join(finding.sources, ", "));
  return Wrapped(text, width, 0);
}

std::string FindingsText(const Assessment& a, std::size_t width) {
  if (a.findings.empty()) return "Nothing found against it.\n";
  const auto count = [&](Severity severity) {
    return std::count_if(a.findings.begin(), a.findings.end(),
                         [&](const Finding& f) { return f.severity == severity; });
  };
  std::string out = fmt::format("{} to stop for, {} to look at, {} to note\n", count(Severity::kStop),
                                count(Severity::kWarn), count(Severity::kNote));
  for (const Finding& finding : a.findings) out += FindingText(finding, width);
  return out;
}

std::string CompositionText(const Composition& c, std::size_t width) {
  std::vector<std::string> parts;
  const auto add = [&](std::string_view what, double pct) {
    if (pct >= 0.05) parts.push_back(fmt::format("{} {:.1f} %", what, pct));
  };
  add("water", c.water);
  add("oils", c.oils);
  add("emulsifiers", c.emulsifiers);
  add("humectants", c.humectants);
  add("active surfactant", c.surfactant_active);
  add("salts, acids and bases", c.electrolytes);
  add("alcohol", c.alcohol);
  std::string out = parts.empty() ? "" : Wrapped(fmt::format("In it: {}.", fmt::join(parts, ", ")), width, 0);
  if (!c.not_sorted.empty()) out += Wrapped("Not sorted: " + parts::Joined(c.not_sorted) + ".", width, 0);
  return out;
}

std::string EmulsionText(const Emulsion& e, std::size_t width) {
  if (!e.required_hlb && !e.provided_hlb) return {};
  std::string text = "HLB:";
  if (e.required_hlb) {
    text += fmt::format(" required {:.1f} from {:.0f} % of the oil phase", *e.required_hlb,
                        100 * e.covered_share);
    if (!e.not_covered.empty()) text += fmt::format(" (no value for {})", parts::Joined(e.not_covered));
  } else {
    text += " none is known for the oil phase";
  }
  if (e.provided_hlb && e.applies) text += fmt::format("; the emulsifiers give {:.1f}", *e.provided_hlb);
  if (!e.applies && !e.because.empty()) text += "; it decides nothing here: " + e.because;
  if (e.emulsifier_to_oil) text += fmt::format("; {:.2f} g emulsifier a gram of oil", *e.emulsifier_to_oil);
  return Wrapped(text + ".", width, 0);
}

std::string NameOf(const kb::Catalogue& catalogue, const std::string& inci) {
  const auto ix = catalogue.FindExact(inci);
  return ix ? catalogue.at(*ix).name : inci;
}

std::string DriverText(const kb::Catalogue& catalogue, const PhDriver& driver) {
  const std::string name = NameOf(catalogue, driver.name);
  if (std::abs(driver.shift) >= 0.05) return fmt::format("{} ({:+.1f})", name, driver.shift);
  return fmt::format("{} ({:.0f} % of the buffering)", name, 100 * driver.buffer_share);
}

std::string PhText(const kb::Catalogue& catalogue, const kb::Formula& formula, const PhEstimate& ph,
                   std::size_t width) {
  constexpr double kWide = 1.5;  // pH: a band that nothing holds together
  if (!ph.estimate) {
    return formula.target_ph ? Wrapped(fmt::format("pH: no estimate; the target {:.3g} is taken for it.",
                                                   *formula.target_ph),
                                       width, 0)
                             : std::string{};
  }
  const double low = ph.low.value_or(*ph.estimate);
  const double high = ph.high.value_or(*ph.estimate);
  std::string text = fmt::format("pH: about {:.1f} ({:.1f} to {:.1f}) as mixed", *ph.estimate, low, high);
  std::vector<std::string> drivers;
  for (const PhDriver& driver : ph.drivers) {
    if (drivers.size() < 3) drivers.push_back(DriverText(catalogue, driver));
  }
  if (!drivers.empty()) text += ", driven by " + parts::Joined(drivers);
  if (high - low > kWide) text += "; hardly buffered, so a trace of anything moves it";
  if (!ph.missing.empty()) text += "; constants not known for " + parts::Joined(ph.missing);
  if (formula.target_ph) {
    text += fmt::format("; target {:.3g}", *formula.target_ph);
    if (ph.adjust) {
      text += ": " + ph.adjust->text;
    } else if (std::abs(*ph.estimate - *formula.target_ph) > 0.15 && high - low > kWide) {
      text += ", to be set by the drop";
    }
  }
  return Wrapped(text + ". An estimate: measure it.", width, 0);
}

// How much of each limit is used up.
std::string LimitsText(const Assessment& a, std::size_t width) {
  std::vector<std::string> words;
  for (const LimitUse& use : a.limits) {
    if (!use.binds || !use.max_pct || use.prohibited) continue;
    words.push_back(fmt::format("{} {} of {} %{}{}", use.substance, parts::Figure(use.pct),
                                parts::Figure(*use.max_pct),
                                use.expressed_as.empty() ? "" : " " + use.expressed_as,
                                use.jurisdiction == "EU" ? "" : fmt::format(" ({})", use.jurisdiction)));
  }
  if (words.empty()) return {};
  return Wrapped(fmt::format("Limits: {}.", fmt::join(words, "; ")), width, 0);
}

std::string PreservationText(const kb::Catalogue& catalogue, const kb::Formula& formula,
                             const Preservation& p, std::size_t width) {
  std::string out = Wrapped(fmt::format("Preservation: {}{}.", p.because,
                                        !p.needed   ? ""
                                        : p.covered ? "; bacteria, yeast and mould are covered on paper"
                                                    : ""),
                            width, 0);
  for (const PreservativeState& state : p.preservatives) {
    const auto rating = [](const std::string& word) { return word.empty() ? "not known" : word.c_str(); };
    std::string text =
        fmt::format("{} {} %: Gram+ {}, Gram- {}, yeast {}, mould {}",
                    state.carried ? state.inci : catalogue.at(formula.lines[state.line].ingredient).name,
                    parts::Figure(state.pct), rating(state.gram_positive), rating(state.gram_negative),
                    rating(state.yeast), rating(state.mould));
    if (!state.remark.empty()) text += "; " + state.remark;
    out += Wrapped(text + ".", width, 2);
  }
  return out;
}

}  // namespace

std::string AssessmentText(const kb::Catalogue& catalogue, const kb::Formula& formula,
                           const Assessment& assessment, std::size_t width, bool bars) {
  const std::string name = formula.name.empty() ? "A formula without a name" : formula.name;
  std::string out = Wrapped(
      fmt::format("{} ({}), {:.2f} %", name, kb::KindWords(formula.kind), assessment.total_pct), width, 0);
  out += PhasesText(assessment, bars) + '\n' + FindingsText(assessment, width) + '\n';
  out += CompositionText(assessment.composition, width);
  out += EmulsionText(assessment.emulsion, width);
  out += PhText(catalogue, formula, assessment.ph, width);
  out += PreservationText(catalogue, formula, assessment.preservation, width);
  for (const HeatNote& note : assessment.heat) {
    if (note.heated || note.cool_down)
      out += Wrapped(fmt::format("Phase {}: {}.", note.phase, note.text), width, 0);
  }
  for (const SolubilityNote& note : assessment.solubility) {
    if (note.verdict != "dissolves" && note.verdict != "not known") {
      out += Wrapped(fmt::format("Solubility, {}: {}.", note.verdict, note.text), width, 0);
    }
  }
  out += LimitsText(assessment, width);
  out += Wrapped(fmt::format("Label: {}", fmt::join(assessment.label.inci, ", ")), width, 0);
  for (const std::string& text : assessment.unknown)
    out += Wrapped(fmt::format("Not known: {}.", text), width, 0);
  return out;
}

std::string LabelText(const Assessment& assessment, std::size_t width) {
  const Label& label = assessment.label;
  std::string out = Wrapped(fmt::format("{}", fmt::join(label.inci, ", ")), width, 0) + '\n';
  out += label.one_percent_line == 0
             ? "Nothing reaches 1 %: any order will do.\n"
             : Wrapped(fmt::format("Down to {} in falling order; below 1 % any order will do; colourants "
                                   "last in any order.",
                                   label.inci[label.one_percent_line - 1]),
                       width, 0);
  for (const LabelAllergen& allergen : label.allergens) {
    out += Wrapped(fmt::format("Allergen {}: up to {} %, named above {:g} % [{}]", allergen.inci,
                               parts::Figure(allergen.pct_high), allergen.threshold, allergen.source),
                   width, 0);
  }
  return out + Wrapped("Check names and allergens against the suppliers' papers.", width, 0);
}

}  // namespace query
