// Limits, label and claims: what the rules of the place say.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include "kb/text.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

// Narrower than leave-on and rinse-off: what the product is used as, by the words of its `used as` line or its name. The words
// on the right are those of data/limits.toml.
struct NarrowUse {
  std::string_view words;
  std::string_view use;
};
constexpr std::array<NarrowUse, 34> kNarrowUses = {{
    {"body lotion", "body-lotion"},
    {"body cream", "body-lotion"},
    {"body butter", "body-lotion"},
    {"body milk", "body-lotion"},
    {"body lotion", "body-leave-on"},
    {"body cream", "body-leave-on"},
    {"body oil", "body-leave-on"},
    {"body lotion", "body"},
    {"hand cream", "hand-leave-on-products"},
    {"hand lotion", "hand-leave-on-products"},
    {"hand wash", "hand-wash"},
    {"lip balm", "lip"},
    {"lipstick", "lip"},
    {"lip", "lip"},
    {"lip", "lip-products"},
    {"lip balm", "lip-products"},
    {"eye", "eye"},
    {"mascara", "eye"},
    {"mascara", "mascara"},
    {"eyeliner", "eyeliner"},
    {"eye shadow", "eye-shadow"},
    {"deodorant", "deodorant"},
    {"antiperspirant", "deodorant"},
    {"spray", "spray"},
    {"mist", "spray"},
    {"toothpaste", "toothpaste"},
    {"toothpaste", "oral"},
    {"mouthwash", "mouthwash"},
    {"mouthwash", "oral"},
    {"shampoo", "hair"},
    {"conditioner", "hair"},
    {"hair", "hair"},
    {"shower gel", "shower-gel"},
    {"soap", "soap"},
}};

// Uses that a leave-on product may well be put to though nobody said so.
constexpr std::array<std::string_view, 6> kMayWellBe = {"body-lotion", "body-leave-on", "lip",
                                                        "eye",         "spray",         "deodorant"};

std::vector<std::string_view> NarrowUsesOf(const kb::Formula& formula) {
  std::vector<std::string_view> uses;
  const std::string words = " " + kb::Fold(formula.used_as.empty() ? formula.name : formula.used_as) + " ";
  for (const NarrowUse& narrow : kNarrowUses) {
    const std::string wanted = " " + std::string(narrow.words) + " ";
    if (words.find(wanted) != std::string::npos) uses.push_back(narrow.use);
  }
  return uses;
}

enum class Binding { kBinds, kMightBind, kNot };

struct Purpose {
  const kb::Formula& formula;
  std::vector<std::string_view> narrow;

  Binding Of(const kb::Limit& limit, bool preservative) const {
    const std::string_view form = kb::FormName(formula.kind.form);
    if (!limit.forms.empty() && std::find(limit.forms.begin(), limit.forms.end(), form) == limit.forms.end())
      return Binding::kNot;
    if (limit.uses.empty()) return Binding::kBinds;
    bool might = false;
    for (const std::string& use : limit.uses) {
      if (use == kb::UseName(formula.kind.use) ||
          std::find(narrow.begin(), narrow.end(), use) != narrow.end() ||
          (use == "as-preservative" && preservative) || (use == "not-as-preservative" && !preservative)) {
        return Binding::kBinds;
      }
      might = might || (formula.kind.use == kb::Use::kLeaveOn &&
                        std::find(kMayWellBe.begin(), kMayWellBe.end(), use) != kMayWellBe.end());
    }
    return might && narrow.empty() ? Binding::kMightBind : Binding::kNot;
  }
};

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

// One entry of the law as it counts here, and who brings it.
struct Counted {
  LimitUse use;
  Binding binding = Binding::kBinds;
  std::vector<kb::IngredientIx> who;
  double raw_pct = 0;  // of the substances as they are, not as the limit counts them
};

std::vector<Counted> CountLimits(const Setting& setting, const Assessment& out) {
  // Substances of one entry share its maximum: sodium benzoate and benzoic acid count together, both as acid.
  std::vector<Counted> list;
  std::map<std::tuple<std::string, std::string, std::string, double>, std::size_t> place;
  const Purpose purpose{setting.formula, NarrowUsesOf(setting.formula)};
  for (const Substance& item : out.substances) {
    if (item.pct <= 0) continue;
    for (const kb::Limit* limit : setting.catalogue.LimitsOf(item.inci)) {
      const bool preservative = item.record && IsMainly(setting.catalogue, *item.record, {"preservative"});
      const Binding binding = purpose.Of(*limit, preservative);
      if (binding == Binding::kNot) continue;
      const std::string own =
          limit->entry.empty() ? item.inci : limit->entry;  // an entry without number is its own
      const auto key = std::tuple(limit->annex + "/" + own, limit->scope, limit->expressed_as,
                                  limit->max_pct.value_or(-1));
      const auto [found, fresh] = place.try_emplace(key, list.size());
      if (fresh) {
        list.push_back({{item.inci, 0, limit->expressed_as, limit->max_pct, limit->jurisdiction, limit->annex,
                         limit->entry, limit->scope, limit->conditions, limit->source, limit->at, false,
                         limit->prohibited, true},
                        binding,
                        {},
                        0});
      } else if (list[found->second].use.substance.find(item.inci) == std::string::npos) {
        list[found->second].use.substance += " + " + item.inci;
      }
      Counted& counted = list[found->second];
      if (binding == Binding::kBinds) counted.binding = Binding::kBinds;
      counted.use.pct += item.pct * limit->factor;
      counted.raw_pct += item.pct;
      if (item.record) counted.who.push_back(*item.record);
    }
  }
  return list;
}

std::string Where(const LimitUse& use) {
  std::string where = fmt::format("{} Annex {}", use.jurisdiction, use.annex);
  if (!use.entry.empty()) where += fmt::format(", entry {}", use.entry);
  return where;
}

void SayLimit(const Counted& counted, Assessment& out) {
  const LimitUse& use = counted.use;
  const bool binds = counted.binding == Binding::kBinds;
  const std::string key =
      fmt::format("limit:{}/{}:{}", use.annex, use.entry.empty() ? use.substance : use.entry, use.scope);
  std::string text;
  std::string advice;
  if (use.prohibited) {
    text = fmt::format("{} is prohibited{} ({}{})", use.substance, binds ? "" : " in some products",
                       Where(use), use.scope.empty() ? "" : ": " + use.scope);
    advice = binds ? "leave it out" : "leave it out where the product is one of these";
  } else {
    text = fmt::format("{} {} %{}, above the {} % allowed ({}{})", use.substance, Figure(use.pct),
                       use.expressed_as.empty() ? "" : " " + use.expressed_as, Figure(*use.max_pct),
                       Where(use), use.scope.empty() ? "" : ": " + use.scope);
    // Rounded down, so that what is weighed by it meets the limit.
    const double allowed = counted.raw_pct * *use.max_pct / use.pct;
    const double step = std::pow(10, std::floor(std::log10(allowed)) - 2);
    advice =
        binds ? fmt::format("bring it to {:g} % or less, and check the code of the country where it is sold",
                            std::floor(allowed / step + 1e-9) * step)
              : "lower it if the product is one of these; say so in a line '# used as: ...'";
  }
  Finding& finding =
      Say(out, binds ? Severity::kStop : Severity::kNote, "limit", key, std::move(text), std::move(advice));
  finding.ingredients = counted.who;
  finding.sources = {use.source};
}

}  // namespace

void AddLimits(const Setting& setting, Assessment& out) {
  constexpr double kRounding =
      1e-6;  // a formula at the limit, typed with rounded figures, is at it and not over
  for (Counted& counted : CountLimits(setting, out)) {
    LimitUse& use = counted.use;
    use.binds = counted.binding == Binding::kBinds;
    use.over = use.max_pct && use.pct > *use.max_pct + kRounding;
    if (use.over || use.prohibited) SayLimit(counted, out);
    out.limits.push_back(std::move(use));
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
