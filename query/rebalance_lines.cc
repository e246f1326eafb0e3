#include "query/rebalance_lines.h"

#include <fmt/format.h>

#include <algorithm>

#include "query/assess_parts.h"
#include "query/roles.h"
#include "query/solutes.h"

namespace query {
namespace {

// Rows of one entry differ in scope and figure; a row without an entry is its substance's own.
std::string KeyOf(const LimitUse& use) {
  return fmt::format("{}/{}/{}/{}/{}/{}", use.jurisdiction, use.annex,
                     use.entry.empty() ? use.substance : use.entry, use.scope, use.expressed_as,
                     use.max_pct.value_or(-1));
}

bool Binds(const LimitUse& use) {
  return use.binds && (use.max_pct || use.prohibited);
}

bool IsFluid(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view form = catalogue.Choice(ix, "form");
  return form == "liquid" || form == "viscous-liquid";
}

Assessment OneLine(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line,
                   bool water_in_oil) {
  kb::Formula one = formula;
  one.lines = {formula.lines[line]};
  one.lines.front().pct = 1;
  Assessment out;
  const parts::Setting setting{catalogue, one, Depth::kForDiff};
  parts::AddComposition(setting, out);
  parts::AddLimits(setting, out);
  if (kb::IsEmulsion(formula.kind.form)) {
    // One line of a sunscreen does not tell which kind of emulsion the whole is.
    one.kind.form = water_in_oil ? kb::Form::kEmulsionWo : kb::Form::kEmulsionOw;
    parts::AddEmulsion(setting, out);
  }
  return out;
}

}  // namespace

FormulaShares SharesOf(const Catalogue& catalogue, const kb::Formula& formula) {
  FormulaShares out;
  const bool water_in_oil = parts::IsWaterInOil({catalogue, formula, Depth::kForDiff});
  std::vector<std::vector<std::pair<std::string, double>>> counted;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    const Assessment one = OneLine(catalogue, formula, i, water_in_oil);
    LineShares& line = out.lines.emplace_back();
    line.oils = one.composition.oils;
    for (const Substance& item : one.substances) {
      if (item.record && IsLipid(catalogue, *item.record) && IsFluid(catalogue, *item.record))
        line.fluid += item.pct;
    }
    line.fluid = std::min(line.fluid, line.oils);
    line.body = line.oils - line.fluid;
    for (const EmulsionPart& part : one.emulsion.required_parts) {
      line.required += part.pct;
      line.required_of += part.pct * part.hlb;
    }
    for (const EmulsionPart& part : one.emulsion.provided_parts) {
      line.provided += part.pct;
      line.provided_of += part.pct * part.hlb;
    }
    line.emulsifier = std::any_of(one.substances.begin(), one.substances.end(), [&](const Substance& item) {
      return item.record && parts::IsEmulsifier(catalogue, *item.record);
    });
    const SoluteList solutes = SolutesOf(catalogue, one.substances, 100);
    line.moves_ph = !solutes.solutes.empty() || !solutes.missing.empty();
    auto& uses = counted.emplace_back();
    for (const LimitUse& use : one.limits) {
      if (!Binds(use)) continue;
      uses.emplace_back(KeyOf(use), use.pct);
      const auto known = std::find_if(out.limits.begin(), out.limits.end(),
                                      [&](const LimitRow& row) { return row.key == uses.back().first; });
      if (known != out.limits.end()) continue;
      out.limits.push_back({uses.back().first, use.substance,
                            fmt::format("{} {}{}", use.jurisdiction, use.annex,
                                        use.entry.empty() ? "" : ", entry " + use.entry),
                            use.prohibited ? 0 : *use.max_pct});
    }
  }
  for (std::size_t i = 0; i < out.lines.size(); ++i) {
    for (const LimitRow& row : out.limits) {
      double share = 0;
      for (const auto& [key, pct] : counted[i]) share += key == row.key ? pct : 0;
      out.lines[i].limits.push_back(share);
    }
  }
  return out;
}

const LimitUse* FindLimit(const Assessment& assessment, const LimitRow& row) {
  const auto found = std::find_if(assessment.limits.begin(), assessment.limits.end(),
                                  [&](const LimitUse& use) { return Binds(use) && KeyOf(use) == row.key; });
  return found == assessment.limits.end() ? nullptr : &*found;
}

std::optional<kb::Range> UsualHere(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line) {
  const std::vector<Role> roles = RolesOf(catalogue, formula, line);
  if (roles.empty()) return std::nullopt;
  return UsualLevel(catalogue, formula.lines[line].ingredient, catalogue.function(roles.front().function).id,
                    formula.kind);
}

}  // namespace query
