#include "query/swap_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/text.h"

namespace query {
namespace {

bool Holds(const std::vector<std::string>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

void JudgeKind(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const kb::Kind kind = setting.question.formula.kind;
  for (const kb::Fact& fact : setting.catalogue.Facts(candidate, "suits_not")) {
    if (fact.text != kb::FormName(kind.form) && fact.text != kb::UseName(kind.use)) continue;
    ruling.RuleOut(fmt::format("not for {}{}{}", fact.text, fact.note.empty() ? "" : ": ", fact.note));
    return;
  }
  const auto suits = setting.catalogue.Facts(candidate, "suits");
  if (suits.empty()) return;
  const bool suited = std::any_of(suits.begin(), suits.end(),
                                  [&](const kb::Fact& fact) { return fact.text == kb::FormName(kind.form); });
  if (!suited) ruling.Change(fmt::format("unusual in a {}", kb::KindWords(kind)), 0.8);
}

// Water, gel and surfactant products take what goes into water; anhydrous ones what goes into oil or is a dry solid.
void JudgeSide(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const Catalogue& catalogue = setting.catalogue;
  const kb::Form form = setting.question.formula.kind.form;
  const Side side = SideOf(catalogue, candidate);
  if (side == Side::kUnknown) return;
  const Side missing_side = SideOf(catalogue, setting.missing);
  const std::string_view state = catalogue.Choice(candidate, "form");
  const bool dry = state == "powder" || state == "crystals" || state == "flakes";
  if (form == kb::Form::kPowder && (!dry || WaterShare(catalogue, candidate) > 0.05)) {
    ruling.RuleOut("the product is dry: a liquid sets it off or cakes it");
    return;
  }
  if (form == kb::Form::kAnhydrous) {
    if (WaterShare(catalogue, candidate) > 0.02) {
      ruling.RuleOut(fmt::format("brings {:.0f} % water into a product without water",
                                 100 * WaterShare(catalogue, candidate)));
    } else if (side == Side::kWater && missing_side != Side::kWater && !dry) {
      ruling.RuleOut("belongs in water, and there is none");
    } else if (side == Side::kWater && missing_side == Side::kOil) {
      ruling.RuleOut("dissolves in water only; the missing one belongs in the oils");
    }
    return;
  }
  if (form == kb::Form::kGel || form == kb::Form::kWater || form == kb::Form::kSurfactant) {
    // Pearl and opacifiers are melted or stirred into a wash that has no oil phase: where the record says so, that is enough.
    const auto suits = catalogue.Facts(candidate, "suits");
    const bool at_home = setting.role.group == "powder" &&
                         std::any_of(suits.begin(), suits.end(),
                                     [&](const kb::Fact& fact) { return fact.text == kb::FormName(form); });
    if (side == Side::kOil && !at_home && missing_side != Side::kOil && missing_side != Side::kNeither) {
      ruling.RuleOut("belongs in oil, and the product has no oil phase");
    }
  }
}

void JudgeMeeting(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const Catalogue& catalogue = setting.catalogue;
  for (const std::string& property : setting.role.same) {
    if (property == "side") {
      const Side a = SideOf(catalogue, setting.missing);
      const Side b = SideOf(catalogue, candidate);
      if (a == Side::kUnknown || b == Side::kUnknown || a == b || a == Side::kBoth || b == Side::kBoth)
        continue;
      // A waxy emulsifier disperses in water and is melted with the oils all the same.
      const std::string_view practice = a == Side::kOil ? "heated-oil" : "heated-water";
      const auto phases = catalogue.Facts(candidate, "phase");
      if (b != Side::kNeither && std::any_of(phases.begin(), phases.end(),
                                             [&](const kb::Fact& fact) { return fact.text == practice; }))
        continue;
      ruling.RuleOut(fmt::format("belongs in {}, the missing one in {}",
                                 b == Side::kNeither ? "neither phase" : SideName(b),
                                 a == Side::kNeither ? "neither phase" : SideName(a)));
      continue;
    }
    const auto left = catalogue.Facts(setting.missing, property);
    const auto right = catalogue.Facts(candidate, property);
    if (left.empty() || right.empty()) continue;
    const bool meet = std::any_of(left.begin(), left.end(), [&](const kb::Fact& a) {
      return a.text == "both" || std::any_of(right.begin(), right.end(), [&](const kb::Fact& b) {
               return b.text == a.text || b.text == "both";
             });
    });
    if (!meet) {
      std::string name = property;
      std::replace(name.begin(), name.end(), '_', ' ');
      ruling.RuleOut(
          fmt::format("{} is {}, the missing one's is {}", name, right.front().text, left.front().text));
    }
  }
}

void JudgeRequirements(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const Catalogue& catalogue = setting.catalogue;
  for (const kb::Requirement& rule : setting.role.requires_) {
    if (!rule.in.empty() && !Holds(rule.in, kb::FormName(setting.question.formula.kind.form))) continue;
    const auto facts = catalogue.Facts(candidate, rule.property);
    if (facts.empty()) continue;
    const auto listed = [&](const std::vector<std::string>& list) {
      return std::any_of(facts.begin(), facts.end(),
                         [&](const kb::Fact& fact) { return Holds(list, fact.text); });
    };
    if ((!rule.any.empty() && !listed(rule.any)) || listed(rule.none)) ruling.RuleOut(rule.because);
  }
}

// An acid that works as such, at a level that counts, is what the product's pH was set for: without it the pH may move.
bool PhWasForTheMissing(const RuleSetting& setting) {
  constexpr double kAcidPh = 4.6;   // above it no exfoliating acid or ascorbic acid works
  constexpr double kCounts = 1;     // %
  constexpr double kAcidPka = 5.5;  // carboxylic and enolic acids; what is weaker sets no pH
  const Catalogue& catalogue = setting.catalogue;
  const auto window = kb::ProductPh(catalogue, setting.missing);
  const auto charge = catalogue.Number(setting.missing, "charge_protonated");
  const auto pka = catalogue.Number(setting.missing, "pka", "1");
  return setting.role.group == "active" && window && window->high <= kAcidPh && charge && charge->high == 0 &&
         pka && pka->low < kAcidPka && setting.question.formula.lines[setting.question.line].pct >= kCounts;
}

void JudgePh(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  if (!setting.ph || !kb::HoldsWater(setting.question.formula.kind.form)) return;
  const auto window = kb::ProductPh(setting.catalogue, candidate);
  if (!window) return;
  const double outside = std::max({window->low - *setting.ph, *setting.ph - window->high, 0.0});
  constexpr double kFar = 0.75;  // pH units: more than a batch can be moved without another formula
  if (outside > kFar && PhWasForTheMissing(setting)) {
    ruling.ph_to = *setting.ph < window->low ? window->low : window->high;
    ruling.Change(
        fmt::format("works at pH {:g}-{:g}: take the product to pH {:g}; {:.1f} was for {}", window->low,
                    window->high, *ruling.ph_to, *setting.ph, setting.catalogue.at(setting.missing).name),
        0.8);
  } else if (outside > kFar) {
    ruling.RuleOut(fmt::format("works at pH {:g}-{:g}, the product is at {:.1f}", window->low, window->high,
                               *setting.ph));
  } else if (outside > 0.05) {
    ruling.Change(
        fmt::format("wants pH {:g}-{:g}, the product is at {:.1f}", window->low, window->high, *setting.ph),
        0.8);
  }
}

void JudgeClaims(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  for (const std::string& claim : setting.question.keep) {
    const ClaimAnswer answer = KeepsClaim(setting.catalogue, candidate, claim);
    if (answer.state == ClaimState::kBroken) {
      ruling.RuleOut(fmt::format("not {}: {}", claim, answer.because));
    } else if (answer.state == ClaimState::kUnknown) {
      ruling.RuleOut(fmt::format("not known to be {}", claim));
    } else if (answer.state == ClaimState::kDepends) {
      ruling.Change(fmt::format("{} depends on the supplier", claim), 0.85);
    }
  }
}

// What speaks against an ingredient though nobody asked: a restriction to come.
void JudgeBurdens(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  for (const kb::ClaimRule& rule : setting.catalogue.claims()) {
    if (rule.burden.empty() || KeepsClaim(setting.catalogue, candidate, rule.id).state != ClaimState::kBroken)
      continue;
    ruling.Change(rule.burden, rule.burden_factor);
  }
}

void JudgeLaw(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const kb::Kind kind = setting.question.formula.kind;
  for (const std::string& substance : LabelNames(setting.catalogue, candidate)) {
    for (const kb::Limit* limit : setting.catalogue.LimitsOf(substance)) {
      if (!limit->prohibited) continue;
      const bool here = (limit->uses.empty() || Holds(limit->uses, kb::UseName(kind.use))) &&
                        (limit->forms.empty() || Holds(limit->forms, kb::FormName(kind.form)));
      if (!here) continue;
      ruling.RuleOut(fmt::format("{} is not allowed in {} products ({} Annex {}, entry {})", substance,
                                 kb::UseName(kind.use), limit->jurisdiction, limit->annex, limit->entry));
    }
  }
}

// A stand-in that is hurt by the heat of the missing one's phase goes in later; one that has to be melted in needs a hot phase.
void JudgeHeat(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  if (!setting.heat_c) return;
  const auto most = setting.catalogue.Number(candidate, "max_c");
  const auto missing_most = setting.catalogue.Number(setting.missing, "max_c");
  const bool as_before = missing_most && most && missing_most->high <= most->high + 5;
  if (most && !as_before && most->high < *setting.heat_c - 5) {
    ruling.Change(fmt::format("stands {:.0f} C at most: add it in the cool-down", most->high), 0.95);
  }
}

}  // namespace

Ruling Judge(const RuleSetting& setting, IngredientIx candidate) {
  Ruling ruling;
  const SwapQuestion& question = setting.question;
  if (question.only_shelf &&
      std::find(question.shelf.begin(), question.shelf.end(), candidate) == question.shelf.end()) {
    ruling.RuleOut("not on the shelf");
  }
  if (std::find(question.also_missing.begin(), question.also_missing.end(), candidate) !=
      question.also_missing.end()) {
    ruling.RuleOut("is missing too");
  }
  JudgeLaw(setting, candidate, ruling);
  JudgeKind(setting, candidate, ruling);
  JudgeMeeting(setting, candidate, ruling);
  JudgeSide(setting, candidate, ruling);
  JudgeRequirements(setting, candidate, ruling);
  JudgePh(setting, candidate, ruling);
  JudgeClaims(setting, candidate, ruling);
  JudgeBurdens(setting, candidate, ruling);
  JudgeHeat(setting, candidate, ruling);
  return ruling;
}

}  // namespace query
