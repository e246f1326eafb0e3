// Heat: what each phase has to reach, what it must not, and who stands in the wrong one.
#include <fmt/format.h>

#include <algorithm>

#include "kb/derived.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

constexpr std::string_view kTopic = "heat";
constexpr double kWarm = 40;     // C: what needs more has to be heated on purpose
constexpr double kSlack = 5;     // C: an overheating of less is a matter of a shorter hold; ours
constexpr double kCoolest = 35;  // C: nobody waits for less before the last additions

// What a phase's lines ask for.
struct Demand {
  double late = 0;     // % of the whole that usually goes in, or may go in, when the batch has cooled
  double needing = 0;  // % that has to be heated above the cool-down
  double water = 0;
  std::optional<double> needs, permits;
};

bool MayGoInLate(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  return catalogue.Says(ix, "phase", "cool-down") || catalogue.Says(ix, "phase", "cool-down-water");
}

std::optional<double> NeedsC(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const auto needs = catalogue.Number(ix, "needs_c");
  return needs ? std::optional(needs->mid()) : std::nullopt;
}

std::optional<double> PermitsC(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const auto most = catalogue.Number(ix, "max_c");
  return most ? std::optional(most->high) : std::nullopt;
}

std::vector<Demand> DemandsOf(const Setting& setting) {
  std::vector<Demand> demands(setting.formula.phases.size());
  for (const kb::FormulaLine& line : setting.formula.lines) {
    Demand& demand = demands[line.phase];
    const auto needs = NeedsC(setting.catalogue, line.ingredient);
    const auto permits = PermitsC(setting.catalogue, line.ingredient);
    if (needs && *needs > kWarm && (!demand.needs || *needs > *demand.needs)) demand.needs = needs;
    if (permits && (!demand.permits || *permits < *demand.permits)) demand.permits = permits;
    if (needs && *needs > kb::kCoolDownC) {
      demand.needing += line.pct;
    } else if (MayGoInLate(setting.catalogue, line.ingredient)) {
      demand.late += line.pct;
    }
    demand.water += line.pct * WaterShare(setting.catalogue, line.ingredient);
  }
  return demands;
}

// The last phases whose lines go in when the batch has cooled, after one that is heated. The phase that holds an emulsion's
// water is made hot, whatever is in it.
std::size_t FirstCoolDown(const Setting& setting, const std::vector<Demand>& demands) {
  std::size_t first_hot = 0;
  while (first_hot < demands.size() && !demands[first_hot].needs) ++first_hot;
  std::size_t wettest = 0;
  for (std::size_t i = 0; i < demands.size(); ++i) {
    if (demands[i].water > demands[wettest].water) wettest = i;
  }
  std::size_t first = demands.size();
  while (first > first_hot + 1) {
    const Demand& demand = demands[first - 1];
    if (demand.late <= 0 || demand.late < demand.needing) break;
    if (kb::IsEmulsion(setting.formula.kind.form) && first - 1 == wettest && demand.water > 0) break;
    --first;
  }
  return first;
}

void SayHurt(const Setting& setting, const HeatNote& note, kb::IngredientIx ix, double stands,
             Assessment& out) {
  const kb::Ingredient& item = setting.catalogue.at(ix);
  const kb::Fact* fact = setting.catalogue.Best(ix, "max_c");
  const double over = *note.reaches_c - stands;
  std::string text = fmt::format("{} stands {:.0f} C, and phase {} is heated to {:.0f} C", item.name, stands,
                                 note.phase, *note.reaches_c);
  if (!note.needs_lines.empty()) {
    text += fmt::format(" for {}", LineNames(setting.catalogue, setting.formula, note.needs_lines));
  }
  if (!fact->note.empty()) text += fmt::format(" ({})", fact->note);
  Finding& finding = Say(out, over > kSlack ? Severity::kWarn : Severity::kNote, kTopic,
                         fmt::format("heat:hurt:{}", item.id), std::move(text),
                         MayGoInLate(setting.catalogue, ix)
                             ? "move it to the cool-down phase"
                             : "add it as late and as cool as it will still mix in, and keep the hold short");
  finding.ingredients = {ix};
  finding.sources = {SourceOf(setting.catalogue, fact)};
}

void SayTooCool(const Setting& setting, const HeatNote& note, kb::IngredientIx ix, double needs,
                Assessment& out) {
  const kb::Ingredient& item = setting.catalogue.at(ix);
  const bool melts =
      setting.catalogue.Says(ix, "how_in", "melt") || SideOf(setting.catalogue, ix) == Side::kOil;
  Finding& finding = Say(
      out, Severity::kWarn, kTopic, fmt::format("heat:cool:{}", item.id),
      fmt::format("{} needs {:.0f} C to {}, and phase {} goes in when the batch has cooled to about {:.0f} C",
                  item.name, needs, melts ? "melt in" : "hydrate or dissolve", note.phase, kb::kCoolDownC),
      "move it to a heated phase");
  finding.ingredients = {ix};
  finding.sources = {SourceOf(setting.catalogue, setting.catalogue.Best(ix, "needs_c"))};
}

void CheckLines(const Setting& setting, std::size_t phase, const HeatNote& note, Assessment& out) {
  for (const kb::FormulaLine& line : setting.formula.lines) {
    if (line.phase != phase || line.pct <= 0) continue;
    const auto needs = NeedsC(setting.catalogue, line.ingredient);
    const auto permits = PermitsC(setting.catalogue, line.ingredient);
    if (note.heated && note.reaches_c && permits && *permits < *note.reaches_c) {
      SayHurt(setting, note, line.ingredient, *permits, out);
    }
    if (note.cool_down && needs && *needs > kb::kCoolDownC)
      SayTooCool(setting, note, line.ingredient, *needs, out);
  }
}

std::string TextOf(const Setting& setting, const HeatNote& note) {
  std::string text;
  if (note.cool_down) {
    const double below =
        std::max(kCoolest, std::min(kb::kCoolDownC, note.permits_c.value_or(kb::kCoolDownC)));
    text = fmt::format("add below {:.0f} C", below);
    if (note.permits_c && *note.permits_c <= below && !note.permits_lines.empty())
      text += fmt::format(" ({})", LineNames(setting.catalogue, setting.formula, note.permits_lines));
    return text;
  } else if (note.heated && note.reaches_c) {
    text = fmt::format("heat to {:.0f} C", *note.reaches_c);
    text += note.needs_lines.empty()
                ? ", as hot as the phase it meets"
                : fmt::format(" ({})", LineNames(setting.catalogue, setting.formula, note.needs_lines));
  } else {
    text = "needs no heat";
  }
  if (note.permits_c && !note.permits_lines.empty()) {
    text += fmt::format("; not above {:.0f} C ({})", *note.permits_c,
                        LineNames(setting.catalogue, setting.formula, note.permits_lines));
  }
  return text;
}

}  // namespace

void AddHeat(const Setting& setting, Assessment& out) {
  const std::vector<Demand> demands = DemandsOf(setting);
  const std::size_t cool_from = FirstCoolDown(setting, demands);
  // Phases that meet hot are brought to one temperature, or the cooler one sets the fats of the other.
  std::optional<double> together;
  for (std::size_t i = 0; i < cool_from; ++i) {
    if (demands[i].needs && (!together || *demands[i].needs > *together)) together = demands[i].needs;
  }
  const bool emulsion = kb::IsEmulsion(setting.formula.kind.form);
  for (std::size_t i = 0; i < demands.size(); ++i) {
    HeatNote& note = out.heat.emplace_back();
    note.phase = setting.formula.phases[i];
    note.needs_c = demands[i].needs;
    note.permits_c = demands[i].permits;
    note.cool_down = i >= cool_from;
    note.heated = !note.cool_down && (demands[i].needs || (emulsion && together));
    if (note.heated) note.reaches_c = emulsion ? together : demands[i].needs;
    for (std::size_t line = 0; line < setting.formula.lines.size(); ++line) {
      const kb::FormulaLine& item = setting.formula.lines[line];
      if (item.phase != i) continue;
      const auto needs = NeedsC(setting.catalogue, item.ingredient);
      const auto permits = PermitsC(setting.catalogue, item.ingredient);
      if (note.needs_c && needs && *needs >= *note.needs_c - 1) note.needs_lines.push_back(line);
      if (note.permits_c && permits && *permits <= *note.permits_c + 1) note.permits_lines.push_back(line);
    }
    if (note.cool_down) {
      out.phases[i].name = "cool-down";
    } else if (note.heated) {
      // Lines that usually go in late may be made hot here: then it is by its water.
      std::string& name = out.phases[i].name;
      if (name == "cool-down") name = demands[i].water > 0 ? "water" : "oil";
      name = "heated " + name;
    }
    note.text = TextOf(setting, note);
    CheckLines(setting, i, note, out);
  }
}

}  // namespace query::parts
