// The weighing sheet, to be printed: a box to tick a line, temperatures, order, cautions.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/assess_say.h"
#include "query/place_making.h"
#include "query/render.h"
#include "query/render_assess.h"

namespace query {
namespace {

// As many digits behind the point as the scale shows.
int Decimals(double scale_g) {
  int decimals = 0;
  while (decimals < 6 && std::abs(scale_g - std::round(scale_g)) > 1e-9 * std::max(1.0, scale_g)) {
    scale_g *= 10;
    ++decimals;
  }
  return decimals;
}

std::string PhaseText(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase,
                      int decimals, std::size_t width) {
  std::string title =
      fmt::format("Phase {} - {} - {:.{}f} g", phase.phase, phase.name, phase.grams, decimals);
  if (phase.heat_to_c) title += " - heat to " + Celsius({*phase.heat_to_c, *phase.heat_most_c});
  if (phase.add_below_c) title += fmt::format(" - below {:.0f} C", *phase.add_below_c);
  std::string out = Wrapped(title, width, 0);
  for (const WeighLine& line : phase.lines) {
    std::string text = fmt::format("[ ] {:>10.{}f} g  {}", line.grams, decimals,
                                   catalogue.at(formula.lines[line.line].ingredient).name);
    if (!line.place.moves.empty()) {
      text += ": not here, " + line.place.moves;
    } else if (!line.place.brief.empty()) {
      text += ": " + line.place.brief;
    }
    // Wrapped folds blanks; the column of grams is set first and kept.
    const std::size_t lead = text.find(" g  ") + 4;
    const std::string rest =
        Wrapped(std::string_view(text).substr(lead), width > lead + 2 ? width - lead - 2 : 20, 0);
    std::string indented;
    for (const char c : rest) {
      indented += c;
      if (c == '\n') indented += std::string(lead + 2, ' ');
    }
    indented.resize(indented.find_last_of('\n'));
    out += "  " + text.substr(0, lead) + indented + '\n';
  }
  return out + '\n';
}

}  // namespace

std::string WeighText(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet,
                      std::size_t width) {
  const int decimals = Decimals(sheet.scale_g);
  std::string out =
      Wrapped(fmt::format("{} ({})", sheet.name.empty() ? "A formula without a name" : sheet.name,
                          kb::KindWords(sheet.kind)),
              width, 0);
  out += Wrapped(fmt::format("Batch {:.{}f} g, scale to {:g} g", sheet.batch_g, decimals, sheet.scale_g),
                 width, 0) +
         '\n';
  for (const Finding& finding : sheet.findings) {
    const std::string text = finding.text.substr(0, finding.text.find_last_not_of('.') + 1);
    out += Wrapped(fmt::format("{}: {}: {}", SeverityName(finding.severity), text, finding.advice), width, 0);
  }
  if (!sheet.findings.empty()) out += '\n';
  for (const WeighPhase& phase : sheet.phases) out += PhaseText(catalogue, formula, phase, decimals, width);
  if (sheet.largest_error_line) {
    out += Wrapped(fmt::format("Largest error by rounding: {:+.{}f} %, {}.", 100 * sheet.largest_error,
                               std::abs(sheet.largest_error) < 0.0995 ? 2 : 0,
                               catalogue.at(formula.lines[*sheet.largest_error_line].ingredient).name),
                   width, 0);
  }
  if (!sheet.largest_error_line) out += "Every line comes out exact.\n";
  for (const std::string& warning : sheet.warnings) out += Wrapped("Mind: " + warning + ".", width, 0);
  out += '\n';
  for (std::size_t i = 0; i < sheet.steps.size(); ++i)
    out += Wrapped(fmt::format("{}. {}", i + 1, sheet.steps[i]), width, 0);
  if (!sheet.cautions.empty()) out += "\nWear and mind\n";
  for (const WeighCaution& caution : sheet.cautions) {
    std::vector<std::string> names;
    for (const kb::IngredientIx ix : caution.ingredients) names.push_back(catalogue.at(ix).name);
    out += Wrapped(fmt::format("{} ({}): {}.", caution.what, parts::Joined(names), caution.gear), width, 2);
  }
  return out;
}

}  // namespace query
