// Heat: what each phase has to reach, what it must not, and who stands in the wrong one. Decided by placing
// (query/place_making.h); here it is written into the assessment.
#include <fmt/format.h>

#include <algorithm>

#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/place_making.h"

namespace query::parts {
namespace {

constexpr std::string_view kTopic = "heat";

std::string_view KeyOf(Standing standing) {
  switch (standing) {
    case Standing::kTooHot:
      return "hurt";
    case Standing::kTooCool:
      return "cool";
    case Standing::kTooEarly:
      return "early";
    case Standing::kOtherSide:
      return "side";
    case Standing::kRight:
      break;
  }
  return "";
}

void SayMisplaced(const Setting& setting, const Making& making, std::size_t line, Assessment& out) {
  auto wrong = MisplacedLine(setting.catalogue, setting.formula, making, line);
  if (!wrong || setting.formula.lines[line].pct <= 0) return;
  const kb::IngredientIx ix = setting.formula.lines[line].ingredient;
  Finding& finding =
      Say(out, wrong->grave ? Severity::kWarn : Severity::kNote, kTopic,
          fmt::format("heat:{}:{}", KeyOf(making.lines[line].standing), setting.catalogue.at(ix).id),
          std::move(wrong->text), std::move(wrong->advice));
  finding.ingredients = {ix};
  finding.sources = {wrong->fact == nullptr ? "common-practice" : SourceOf(setting.catalogue, wrong->fact)};
}

std::string TextOf(const Setting& setting, const PhaseMaking& phase) {
  const auto names = [&](const std::vector<std::size_t>& lines) {
    return LineNames(setting.catalogue, setting.formula, lines);
  };
  if (phase.cool_down) {
    std::string text = fmt::format("add below {:.0f} C", phase.window.max_c);
    if (phase.stands_c && *phase.stands_c <= phase.window.max_c && !phase.stands_lines.empty())
      text += fmt::format(" ({})", names(phase.stands_lines));
    return text;
  }
  std::string text = "needs no heat";
  if (phase.heated) {
    text = "heat to " + Celsius(phase.window);
    text += phase.needs_lines.empty() ? ", as hot as the phase it meets"
                                      : fmt::format(" ({})", names(phase.needs_lines));
  }
  if (phase.stands_c && !phase.stands_lines.empty())
    text += fmt::format("; not above {:.0f} C ({})", *phase.stands_c, names(phase.stands_lines));
  return text;
}

}  // namespace

void AddHeat(const Setting& setting, Assessment& out) {
  const Making making = MakingOf(setting.catalogue, setting.formula);
  for (std::size_t i = 0; i < making.phases.size(); ++i) {
    const PhaseMaking& phase = making.phases[i];
    HeatNote& note = out.heat.emplace_back();
    note.phase = setting.formula.phases[i];
    note.heated = phase.heated;
    note.cool_down = phase.cool_down;
    if (phase.heated) note.reaches_c = phase.window.min_c;
    note.needs_c = phase.needs_c;
    note.permits_c = phase.stands_c;
    note.needs_lines = phase.needs_lines;
    note.permits_lines = phase.stands_lines;
    if (setting.depth == Depth::kFull) note.text = TextOf(setting, phase);
    out.phases[i].name = PhaseWords(phase);
  }
  for (std::size_t line = 0; line < making.lines.size(); ++line) SayMisplaced(setting, making, line, out);
}

}  // namespace query::parts
