// Label and claims: what has to be named, and what may be said.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

bool IsColourant(const kb::Catalogue& catalogue, const Substance& item) {
  if (item.inci.rfind("CI ", 0) == 0) return true;
  if (!item.record) return false;
  const auto& functions = catalogue.at(*item.record).functions;
  return !functions.empty() && catalogue.function(functions.front()).id == "colourant";
}

// The most trusted share of each allergen that a record names.
std::vector<const kb::Fact*> AllergenFacts(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  std::vector<const kb::Fact*> out;
  for (const kb::Fact& fact : catalogue.Facts(ix, "allergen_pct")) {
    const bool had =
        std::any_of(out.begin(), out.end(), [&](const kb::Fact* one) { return one->key == fact.key; });
    if (fact.number && !had) out.push_back(&fact);
  }
  return out;
}

void AddAllergens(const Setting& setting, Assessment& out) {
  // Annex III: named on the label above 0.001 % in leave-on and 0.01 % in rinse-off products.
  const double threshold = setting.formula.kind.use == kb::Use::kLeaveOn ? 0.001 : 0.01;
  std::map<std::string, LabelAllergen> found;
  for (const Substance& item : out.substances) {
    if (!item.record) continue;
    for (const kb::Fact* fact : AllergenFacts(setting.catalogue, *item.record)) {
      LabelAllergen& allergen = found[fact->key];
      allergen.inci = fact->key;
      allergen.threshold = threshold;
      allergen.pct_low += item.pct * fact->number->low / 100;
      allergen.pct_high += item.pct * fact->number->high / 100;
      allergen.lines.insert(allergen.lines.end(), item.lines.begin(), item.lines.end());
      allergen.source = setting.catalogue.source(fact->source).key;
    }
  }
  for (auto& [inci, allergen] : found) {
    if (allergen.pct_high > threshold) out.label.allergens.push_back(std::move(allergen));
  }
}

}  // namespace

void AddLabel(const Setting& setting, Assessment& out) {
  // Regulation (EC) 1223/2009 Art. 19(1)(g): falling order of weight at the time they are added; below 1 % in any
  // order after the others; colourants in any order after all others. `substances` is in falling order already.
  Label& label = out.label;
  std::vector<std::pair<std::string, double>> colours;
  for (const Substance& item : out.substances) {
    if (item.pct <= 0) continue;
    if (IsColourant(setting.catalogue, item)) {
      colours.emplace_back(item.inci, item.pct);
      continue;
    }
    if (item.pct >= 1) label.one_percent_line = label.inci.size() + 1;
    label.inci.push_back(item.inci);
    label.pct.push_back(item.pct);
  }
  AddAllergens(setting, out);
  for (const LabelAllergen& allergen : label.allergens) {
    if (std::find(label.inci.begin(), label.inci.end(), allergen.inci) != label.inci.end()) continue;
    label.inci.push_back(allergen.inci);
    label.pct.push_back(allergen.pct_high);
  }
  if (!label.allergens.empty()) {
    std::vector<std::string> names;
    for (const LabelAllergen& allergen : label.allergens) names.push_back(allergen.inci);
    Finding& finding = Say(out, Severity::kNote, "label", "label:allergens",
                           fmt::format("the label has to name {} (above {:g} %)", Joined(names),
                                       label.allergens.front().threshold),
                           "take the figures of the batch's own certificate where there is one");
    for (const LabelAllergen& allergen : label.allergens) {
      for (const std::size_t line : allergen.lines) {
        const kb::IngredientIx ix = setting.formula.lines[line].ingredient;
        if (std::find(finding.ingredients.begin(), finding.ingredients.end(), ix) ==
            finding.ingredients.end())
          finding.ingredients.push_back(ix);
      }
      if (std::find(finding.sources.begin(), finding.sources.end(), allergen.source) == finding.sources.end())
        finding.sources.push_back(allergen.source);
    }
  }
  for (auto& [inci, pct] : colours) {
    label.inci.push_back(std::move(inci));
    label.pct.push_back(pct);
  }
}

namespace {

int Rank(ClaimState state) {
  switch (state) {
    case ClaimState::kKept:
      return 0;
    case ClaimState::kDepends:
      return 1;
    case ClaimState::kUnknown:
      return 2;
    case ClaimState::kBroken:
      return 3;
  }
  return 2;
}

}  // namespace

void AddClaims(const Setting& setting, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const auto& states = catalogue.Once<kb::ClaimStates>();
  const auto& lines = setting.formula.lines;
  for (std::size_t claim = 0; claim < catalogue.claims().size(); ++claim) {
    const kb::ClaimRule& rule = catalogue.claims()[claim];
    ClaimResult& result = out.claims.emplace_back();
    result.claim = rule.id;
    ClaimState worst = ClaimState::kKept;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const ClaimState state = states.Of(catalogue, lines[i].ingredient, claim);
      if (Rank(state) > Rank(worst)) {
        worst = state;
        result.lines.clear();
      }
      if (state == worst && worst != ClaimState::kKept) result.lines.push_back(i);
    }
    result.state = ClaimStateName(worst);
    if (worst == ClaimState::kKept) continue;
    const kb::IngredientIx first = lines[result.lines.front()].ingredient;
    result.because =
        fmt::format("{}: {}", catalogue.at(first).name, kb::KeepsClaim(catalogue, first, rule).because);
    const auto& keep = setting.formula.keep;
    if (std::find(keep.begin(), keep.end(), rule.id) == keep.end()) continue;
    Finding& finding = out.findings.emplace_back();
    finding.severity = worst == ClaimState::kBroken ? Severity::kWarn : Severity::kNote;
    finding.topic = "claim";
    finding.key = "claim:" + rule.id;
    finding.text =
        fmt::format("the formula is to stay {}, which is {} ({})", rule.id, result.state, result.because);
    for (const std::size_t line : result.lines) finding.ingredients.push_back(lines[line].ingredient);
  }
}

}  // namespace query::parts
