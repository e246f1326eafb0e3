// Levels against what is usual.
#include <fmt/format.h>

#include <algorithm>

#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

constexpr double kAbove = 1.1;  // of the greatest usual level: a tenth more is nobody's mistake; ours

}  // namespace

void AddLevels(const Setting& setting, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  for (const kb::FormulaLine& line : setting.formula.lines) {
    const kb::Fact* most = nullptr;
    for (const kb::Fact& fact : catalogue.Facts(line.ingredient, "use_pct")) {
      if (fact.number && (most == nullptr || fact.number->high > most->number->high)) most = &fact;
    }
    if (most == nullptr || line.rest || line.pct <= most->number->high * kAbove) continue;
    const kb::Ingredient& item = catalogue.at(line.ingredient);
    Finding& finding = Say(out, Severity::kNote, "level", "level:" + item.id,
                           fmt::format("{} % {} is more than the usual {:g} to {:g} %", Figure(line.pct),
                                       item.name, most->number->low, most->number->high),
                           "make sure that it is meant");
    finding.ingredients = {line.ingredient};
    finding.sources = {SourceOf(catalogue, most)};
  }
}

}  // namespace query::parts
