// Limits, label and claims: what the rules of the place say.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "kb/text.h"
#include "query/assess_parts.h"
#include "query/facts.h"

namespace query::parts {
namespace {

bool Applies(const kb::Limit& limit, kb::Kind kind) {
  const auto holds = [](const std::vector<std::string>& list, std::string_view word) {
    return list.empty() || std::find(list.begin(), list.end(), word) != list.end();
  };
  return holds(limit.uses, kb::UseName(kind.use)) && holds(limit.forms, kb::FormName(kind.form));
}

bool IsColourant(const kb::Catalogue& catalogue, const Substance& item) {
  if (item.inci.rfind("CI ", 0) == 0) return true;
  if (!item.record) return false;
  const auto& functions = catalogue.at(*item.record).functions;
  return !functions.empty() && catalogue.function(functions.front()).id == "colourant";
}

void AddAllergens(const Setting& setting, Assessment& out) {
  // Annex III: named on the label above 0.001 % in leave-on and 0.01 % in rinse-off products.
  const double threshold = setting.formula.kind.use == kb::Use::kLeaveOn ? 0.001 : 0.01;
  std::map<std::string, LabelAllergen> found;
  for (const Substance& item : out.substances) {
    if (!item.record) continue;
    for (const kb::Fact& fact : setting.catalogue.Facts(*item.record, "allergen_pct")) {
      if (!fact.number) continue;
      LabelAllergen& allergen = found[fact.key];
      allergen.inci = fact.key;
      allergen.threshold = threshold;
      allergen.pct_low += item.pct * fact.number->low / 100;
      allergen.pct_high += item.pct * fact.number->high / 100;
      allergen.lines.insert(allergen.lines.end(), item.lines.begin(), item.lines.end());
      allergen.source = setting.catalogue.source(fact.source).key;
    }
  }
  for (auto& [inci, allergen] : found) {
    if (allergen.pct_high > threshold) out.label.allergens.push_back(std::move(allergen));
  }
}

}  // namespace

void AddLimits(const Setting& setting, Assessment& out) {
  // Substances of one entry share its maximum: sodium benzoate and benzoic acid count together, both as acid.
  std::map<std::tuple<std::string, std::string, std::string, double>, std::size_t> place;
  std::vector<std::vector<kb::IngredientIx>> who;
  for (const Substance& item : out.substances) {
    for (const kb::Limit* limit : setting.catalogue.LimitsOf(item.inci)) {
      if (!Applies(*limit, setting.formula.kind)) continue;
      const auto key = std::tuple(limit->annex + "/" + limit->entry, limit->scope, limit->expressed_as,
                                  limit->max_pct.value_or(-1));
      const auto [found, fresh] = place.try_emplace(key, out.limits.size());
      if (fresh) {
        out.limits.push_back({item.inci, 0, limit->expressed_as, limit->max_pct, limit->jurisdiction,
                              limit->annex, limit->entry, limit->scope, limit->conditions, limit->source,
                              limit->at, false, limit->prohibited});
        who.emplace_back();
      } else if (out.limits[found->second].substance.find(item.inci) == std::string::npos) {
        out.limits[found->second].substance += " + " + item.inci;
      }
      out.limits[found->second].pct += item.pct * limit->factor;
      if (item.record) who[found->second].push_back(*item.record);
    }
  }
  constexpr double kRounding =
      1e-6;  // a formula at the limit, typed with rounded figures, is at it and not over
  for (std::size_t i = 0; i < out.limits.size(); ++i) {
    LimitUse& use = out.limits[i];
    use.over = use.max_pct && use.pct > *use.max_pct + kRounding;
    if (!use.over && !use.prohibited) continue;
    Finding& finding = out.findings.emplace_back();
    finding.severity = Severity::kStop;
    finding.topic = "limit";
    finding.key = fmt::format("limit:{}/{}:{}", use.annex, use.entry, use.scope);
    finding.ingredients = who[i];
    finding.sources = {use.source};
    const std::string entry = fmt::format("{} Annex {}, entry {}", use.jurisdiction, use.annex, use.entry);
    if (use.prohibited) {
      finding.text = fmt::format("{} is prohibited in cosmetic products ({})", use.substance, entry);
      finding.advice = "leave it out";
    } else {
      finding.text =
          fmt::format("{} {:.3g} %{}, above the {:.3g} % allowed ({}; {})", use.substance, use.pct,
                      use.expressed_as.empty() ? "" : " " + use.expressed_as, *use.max_pct, entry, use.scope);
      finding.advice = "lower it, and check the code of the country where it is sold";
    }
  }
}

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
  for (auto& [inci, pct] : colours) {
    label.inci.push_back(std::move(inci));
    label.pct.push_back(pct);
  }
}

void AddClaims(const Setting& setting, Assessment& out) {
  for (const kb::ClaimRule& rule : setting.catalogue.claims()) {
    ClaimResult& result = out.claims.emplace_back();
    result.claim = rule.id;
    ClaimState worst = ClaimState::kKept;
    const auto rank = [](ClaimState state) {
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
    };
    for (std::size_t i = 0; i < setting.formula.lines.size(); ++i) {
      const kb::IngredientIx ix = setting.formula.lines[i].ingredient;
      const ClaimAnswer answer = KeepsClaim(setting.catalogue, ix, rule.id);
      if (rank(answer.state) > rank(worst)) {
        worst = answer.state;
        result.lines.clear();
        result.because = fmt::format("{}: {}", setting.catalogue.at(ix).name, answer.because);
      }
      if (answer.state == worst && worst != ClaimState::kKept) result.lines.push_back(i);
    }
    result.state = ClaimStateName(worst);
    const auto& keep = setting.formula.keep;
    if (worst == ClaimState::kKept || std::find(keep.begin(), keep.end(), rule.id) == keep.end()) continue;
    Finding& finding = out.findings.emplace_back();
    finding.severity = worst == ClaimState::kBroken ? Severity::kWarn : Severity::kNote;
    finding.topic = "claim";
    finding.key = "claim:" + rule.id;
    finding.text =
        fmt::format("the formula is to stay {}, which is {} ({})", rule.id, result.state, result.because);
    for (const std::size_t line : result.lines)
      finding.ingredients.push_back(setting.formula.lines[line].ingredient);
  }
}

}  // namespace query::parts
