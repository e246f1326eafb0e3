// Levels against what is usual.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <utility>

#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

constexpr double kAbove = 1.1;  // of the greatest usual level: a tenth more is nobody's mistake; ours

// The dosage forms of medicines that are made as our forms of product are.
constexpr std::array<std::pair<std::string_view, kb::Form>, 10> kDosageForms = {{
    {"cream", kb::Form::kEmulsionOw},
    {"lotion", kb::Form::kEmulsionOw},
    {"emulsion", kb::Form::kEmulsionOw},
    {"cream", kb::Form::kEmulsionWo},
    {"cream", kb::Form::kSunscreen},
    {"lotion", kb::Form::kSunscreen},
    {"ointment", kb::Form::kAnhydrous},
    {"gel", kb::Form::kGel},
    {"solution", kb::Form::kWater},
    {"shampoo", kb::Form::kSurfactant},
}};

bool IsMadeAs(std::string_view dosage_form, kb::Form form) {
  return std::find(kDosageForms.begin(), kDosageForms.end(), std::pair(dosage_form, form)) !=
         kDosageForms.end();
}

// What others hold is nothing to point at where the law gives cosmetics less, or none. The rows of other countries than the EU
// speak for themselves where they count.
bool LawGivesLess(const kb::Catalogue& catalogue, const kb::Ingredient& item, double pct) {
  const auto limits = catalogue.LimitsOf(item.inci);
  return std::any_of(limits.begin(), limits.end(), [&](const kb::Limit* limit) {
    return limit->jurisdiction == "EU" && (limit->prohibited || (limit->max_pct && *limit->max_pct < pct));
  });
}

// The greatest share listed for an approved topical medicine made as this product is; nullptr where none is listed.
const kb::Fact* InMedicine(const Setting& setting, kb::IngredientIx ix) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const kb::Fact* most = nullptr;
  for (const kb::Fact& fact : catalogue.Facts(ix, "topical_max_pct")) {
    if (!fact.number || !IsMadeAs(fact.key, setting.formula.kind.form)) continue;
    if (most == nullptr || fact.number->high > most->number->high) most = &fact;
  }
  return most != nullptr && LawGivesLess(catalogue, catalogue.at(ix), most->number->high) ? nullptr : most;
}

// The greatest share that a safety assessment reports in products used as this one is; nullptr where none is known.
const kb::Fact* Reported(const Setting& setting, kb::IngredientIx ix) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const std::string_view use = setting.formula.kind.use == kb::Use::kLeaveOn ? "leave-on" : "rinse-off";
  const kb::Fact* most = nullptr;
  for (const kb::Fact& fact : catalogue.Facts(ix, "reported_max_pct")) {
    if (!fact.number || (fact.key != use && fact.key != "all")) continue;
    const bool closer = most == nullptr || (fact.key == use && most->key != use);
    const bool greater = most != nullptr && fact.key == most->key && fact.number->high > most->number->high;
    if (closer || greater) most = &fact;
  }
  return most != nullptr && LawGivesLess(catalogue, catalogue.at(ix), most->number->high) ? nullptr : most;
}

std::string ReportedWords(const kb::Fact& fact) {
  return fmt::format("; a published safety assessment reports up to {:g} % in {}", fact.number->high,
                     fact.key == "all" ? "cosmetics" : fact.key + " products");
}

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
    const kb::Fact* reported = Reported(setting, line.ingredient);
    const kb::Fact* medicine = InMedicine(setting, line.ingredient);
    std::string text = fmt::format("{} % {} is more than the usual {:g} to {:g} %", Figure(line.pct),
                                   item.name, most->number->low, most->number->high);
    if (reported != nullptr) text += ReportedWords(*reported);
    if (medicine != nullptr)
      text += fmt::format("; an approved topical {} holds {:g} %", medicine->key, medicine->number->high);
    Finding& finding =
        Say(out, Severity::kNote, "level", "level:" + item.id, std::move(text), "make sure that it is meant");
    finding.ingredients = {line.ingredient};
    finding.sources = {SourceOf(catalogue, most)};
    if (reported != nullptr) finding.sources.push_back(SourceOf(catalogue, reported));
    if (medicine != nullptr) finding.sources.push_back(SourceOf(catalogue, medicine));
  }
}

}  // namespace query::parts
