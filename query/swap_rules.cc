#include "query/swap_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/text.h"

namespace query {
namespace {

constexpr std::uint32_t Bit(std::size_t place) {
  return std::uint32_t{1} << place;
}

constexpr std::uint32_t FormBit(kb::Form form) {
  return Bit(static_cast<std::size_t>(form));
}

constexpr std::uint32_t UseBit(kb::Use use) {
  return Bit(kb::kForms.size() + static_cast<std::size_t>(use));
}

bool Holds(const std::vector<std::string>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

bool Forbids(const kb::Limit& limit, kb::Kind kind) {
  return limit.prohibited && (limit.uses.empty() || Holds(limit.uses, kb::UseName(kind.use))) &&
         (limit.forms.empty() || Holds(limit.forms, kb::FormName(kind.form)));
}

constexpr std::array<kb::Use, 2> kUses = {kb::Use::kLeaveOn, kb::Use::kRinseOff};

// --- what the rules read ---

void ReadLaw(const Catalogue& catalogue, IngredientIx ix, RuleFacts& out) {
  // A record that is held only to say that the substance may not be used, whether or not a row of the law is held as well.
  if (catalogue.HasFunction(ix, "prohibited")) {
    out.prohibited = ~std::uint32_t{0};
    return;
  }
  for (const std::string& substance : LabelNames(catalogue, ix)) {
    for (const kb::Limit* limit : catalogue.LimitsOf(substance)) {
      if (!limit->prohibited) continue;
      for (const kb::Use use : kUses) {
        for (const kb::Form form : kb::kForms) {
          if (Forbids(*limit, {use, form})) out.prohibited |= KindBit({use, form});
        }
      }
    }
  }
}

void ReadKinds(const Catalogue& catalogue, IngredientIx ix, RuleFacts& out) {
  const auto suits = catalogue.Facts(ix, "suits");
  const auto suits_not = catalogue.Facts(ix, "suits_not");
  out.suits_said = !suits.empty();
  if (suits.empty() && suits_not.empty()) return;
  const auto says = [](std::span<const kb::Fact> facts, std::string_view word) {
    return std::any_of(facts.begin(), facts.end(), [&](const kb::Fact& fact) { return fact.text == word; });
  };
  for (const kb::Form form : kb::kForms) {
    if (says(suits, kb::FormName(form))) out.suits |= FormBit(form);
    if (says(suits_not, kb::FormName(form))) out.suits_not |= FormBit(form);
  }
  for (const kb::Use use : kUses) {
    if (says(suits_not, kb::UseName(use))) out.suits_not |= UseBit(use);
  }
}

void ReadSides(const Catalogue& catalogue, IngredientIx ix, RuleFacts& out) {
  out.side = SideOf(catalogue, ix);
  const std::string_view state = catalogue.Choice(ix, "form");
  out.dry = state == "powder" || state == "crystals" || state == "flakes";
  out.water = WaterShare(catalogue, ix);
  for (const kb::Fact& fact : catalogue.Facts(ix, "phase")) {
    out.in_heated_oil = out.in_heated_oil || fact.text == "heated-oil";
    out.in_heated_water = out.in_heated_water || fact.text == "heated-water";
  }
}

// Of a choice that the property does not list: behind all others. The indexer refuses such facts.
std::uint16_t PlaceOf(const kb::Property& property, std::string_view choice) {
  return static_cast<std::uint16_t>(std::find(property.choices.begin(), property.choices.end(), choice) -
                                    property.choices.begin());
}

void ReadSame(const Catalogue& catalogue, const kb::Function& role, IngredientIx ix, RuleFacts& out) {
  for (const std::string& name : role.same) {
    if (name == "side") continue;
    std::vector<std::uint16_t>& places = out.same.emplace_back();
    const auto property = catalogue.FindProperty(name);
    if (!property) continue;
    for (const kb::Fact& fact : catalogue.Facts(ix, *property))
      places.push_back(PlaceOf(catalogue.properties()[*property], fact.text));
  }
}

void ReadRequirements(const Catalogue& catalogue, const kb::Function& role, IngredientIx ix, RuleFacts& out) {
  for (std::size_t i = 0; i < role.requires_.size(); ++i) {
    const kb::Requirement& rule = role.requires_[i];
    const auto facts = catalogue.Facts(ix, rule.property);
    if (facts.empty()) continue;
    const auto listed = [&](const std::vector<std::string>& list) {
      return std::any_of(facts.begin(), facts.end(),
                         [&](const kb::Fact& fact) { return Holds(list, fact.text); });
    };
    if ((!rule.any.empty() && !listed(rule.any)) || listed(rule.none))
      out.unmet.push_back(static_cast<std::uint16_t>(i));
  }
}

void ReadBurdens(const Catalogue& catalogue, IngredientIx ix, RuleFacts& out) {
  const auto& states = catalogue.Once<kb::ClaimStates>();
  const auto claims = catalogue.claims();
  for (std::size_t i = 0; i < claims.size(); ++i) {
    if (!claims[i].burden.empty() && states.Of(catalogue, ix, i) == ClaimState::kBroken)
      out.burdens.push_back(static_cast<std::uint16_t>(i));
  }
}

// --- the rules ---

void JudgeKind(const RuleSetting& setting, IngredientIx candidate, const RuleFacts& facts, Ruling& ruling) {
  const kb::Kind kind = setting.question.formula.kind;
  if ((facts.suits_not & (FormBit(kind.form) | UseBit(kind.use))) != 0) {
    ruling.RuleOut([&] {
      for (const kb::Fact& fact : setting.catalogue.Facts(candidate, "suits_not")) {
        if (fact.text == kb::FormName(kind.form) || fact.text == kb::UseName(kind.use))
          return fmt::format("not for {}{}{}", fact.text, fact.note.empty() ? "" : ": ", fact.note);
      }
      return fmt::format("not for {}", kb::KindWords(kind));
    });
    return;
  }
  if (facts.suits_said && (facts.suits & FormBit(kind.form)) == 0)
    ruling.Change(0.8, [&] { return fmt::format("unusual in a {}", kb::KindWords(kind)); });
}

// Water, gel and surfactant products take what goes into water; anhydrous ones what goes into oil or is a dry solid.
void JudgeSide(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  const kb::Form form = setting.question.formula.kind.form;
  if (facts.side == Side::kUnknown) return;
  const Side missing = setting.missing_facts.side;
  const auto rule_out = [&](const char* because) { ruling.RuleOut([&] { return std::string(because); }); };
  if (form == kb::Form::kPowder && (!facts.dry || facts.water > 0.05)) {
    rule_out("the product is dry: a liquid sets it off or cakes it");
  } else if (form == kb::Form::kAnhydrous) {
    if (facts.water > 0.02) {
      ruling.RuleOut([&] {
        return fmt::format("brings {:.0f} % water into a product without water", 100 * facts.water);
      });
    } else if (facts.side == Side::kWater && missing != Side::kWater && !facts.dry) {
      rule_out("belongs in water, and there is none");
    } else if (facts.side == Side::kWater && missing == Side::kOil) {
      rule_out("dissolves in water only; the missing one belongs in the oils");
    }
  } else if (form == kb::Form::kGel || form == kb::Form::kWater || form == kb::Form::kSurfactant) {
    // Pearl and opacifiers are melted or stirred into a wash that has no oil phase: where the record says so, that is enough.
    const bool at_home = setting.role.group == "powder" && (facts.suits & FormBit(form)) != 0;
    if (facts.side == Side::kOil && !at_home && missing != Side::kOil && missing != Side::kNeither)
      rule_out("belongs in oil, and the product has no oil phase");
  }
}

void JudgeSameSide(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  const Side a = setting.missing_facts.side;
  const Side b = facts.side;
  if (a == Side::kUnknown || b == Side::kUnknown || a == b || a == Side::kBoth || b == Side::kBoth) return;
  // A waxy emulsifier disperses in water and is melted with the oils all the same.
  if (b != Side::kNeither && (a == Side::kOil ? facts.in_heated_oil : facts.in_heated_water)) return;
  ruling.RuleOut([&] {
    return fmt::format("belongs in {}, the missing one in {}",
                       b == Side::kNeither ? "neither phase" : SideName(b),
                       a == Side::kNeither ? "neither phase" : SideName(a));
  });
}

bool MeetSomewhere(const std::vector<std::uint16_t>& a, const std::vector<std::uint16_t>& b,
                   std::uint16_t both) {
  return std::any_of(a.begin(), a.end(), [&](std::uint16_t left) {
    return left == both || std::any_of(b.begin(), b.end(),
                                       [&](std::uint16_t right) { return right == left || right == both; });
  });
}

void JudgeMeeting(const RuleSetting& setting, IngredientIx candidate, const RuleFacts& facts,
                  Ruling& ruling) {
  const Catalogue& catalogue = setting.catalogue;
  std::size_t place = 0;
  for (const std::string& name : setting.role.same) {
    if (name == "side") {
      JudgeSameSide(setting, facts, ruling);
      continue;
    }
    const auto& left = setting.missing_facts.same[place];
    const auto& right = facts.same[place++];
    if (left.empty() || right.empty()) continue;
    const kb::Property& property = catalogue.properties()[*catalogue.FindProperty(name)];
    const auto both = std::find(property.choices.begin(), property.choices.end(), "both");
    const auto both_place = both == property.choices.end()
                                ? std::uint16_t{0xFFFF}
                                : static_cast<std::uint16_t>(both - property.choices.begin());
    if (MeetSomewhere(left, right, both_place)) continue;
    ruling.RuleOut([&] {
      std::string words = name;
      std::replace(words.begin(), words.end(), '_', ' ');
      return fmt::format("{} is {}, the missing one's is {}", words, catalogue.Choice(candidate, name),
                         catalogue.Choice(setting.missing, name));
    });
  }
}

void JudgeRequirements(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  for (const std::uint16_t place : facts.unmet) {
    const kb::Requirement& rule = setting.role.requires_[place];
    if (!rule.in.empty() && !Holds(rule.in, kb::FormName(setting.question.formula.kind.form))) continue;
    ruling.RuleOut([&] { return rule.because; });
  }
}

// An acid that works as such, at a level that counts, is what the product's pH was set for: without it the pH may move.
bool PhWasForTheMissing(const Catalogue& catalogue, const kb::Function& role,
                        const kb::FormulaLine& missing) {
  constexpr double kAcidPh = 4.6;   // above it no exfoliating acid or ascorbic acid works
  constexpr double kCounts = 1;     // %
  constexpr double kAcidPka = 5.5;  // carboxylic and enolic acids; what is weaker sets no pH
  if (role.group != "active" || missing.pct < kCounts) return false;
  const auto window = kb::ProductPh(catalogue, missing.ingredient);
  const auto charge = catalogue.Number(missing.ingredient, "charge_protonated");
  const auto pka = catalogue.Number(missing.ingredient, "pka", "1");
  return window && window->high <= kAcidPh && charge && charge->high == 0 && pka && pka->low < kAcidPka;
}

void JudgePh(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  const auto& window = facts.window;
  if (!window || !setting.ph || !kb::HoldsWater(setting.question.formula.kind.form)) return;
  const double outside = std::max({window->low - *setting.ph, *setting.ph - window->high, 0.0});
  constexpr double kFar = 0.75;  // pH units: more than a batch can be moved without another formula
  if (outside > kFar && setting.ph_was_for_missing) {
    ruling.ph_to = *setting.ph < window->low ? window->low : window->high;
    ruling.Change(0.8, [&] {
      return fmt::format("works at pH {:g}-{:g}: take the product to pH {:g}; {:.1f} was for {}", window->low,
                         window->high, *ruling.ph_to, *setting.ph,
                         setting.catalogue.at(setting.missing).name);
    });
  } else if (outside > kFar) {
    ruling.RuleOut([&] {
      return fmt::format("works at pH {:g}-{:g}, the product is at {:.1f}", window->low, window->high,
                         *setting.ph);
    });
  } else if (outside > 0.05) {
    ruling.Change(0.8, [&] {
      return fmt::format("wants pH {:g}-{:g}, the product is at {:.1f}", window->low, window->high,
                         *setting.ph);
    });
  }
}

void JudgeClaims(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  for (std::size_t i = 0; i < setting.keep.size(); ++i) {
    const std::string& claim = setting.question.keep[i];
    const ClaimState state = setting.keep[i]
                                 ? setting.claims.Of(setting.catalogue, candidate, *setting.keep[i])
                                 : ClaimState::kUnknown;
    if (state == ClaimState::kBroken) {
      ruling.RuleOut([&] {
        return fmt::format("not {}: {}", claim, KeepsClaim(setting.catalogue, candidate, claim).because);
      });
    } else if (state == ClaimState::kUnknown) {
      ruling.RuleOut([&] { return fmt::format("not known to be {}", claim); });
    } else if (state == ClaimState::kDepends) {
      ruling.Change(0.85, [&] { return fmt::format("{} depends on the supplier", claim); });
    }
  }
}

// What speaks against an ingredient though nobody asked: a restriction to come.
void JudgeBurdens(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  for (const std::uint16_t place : facts.burdens) {
    const kb::ClaimRule& rule = setting.catalogue.claims()[place];
    ruling.Change(rule.burden_factor, [&] { return rule.burden; });
  }
}

void JudgeLaw(const RuleSetting& setting, IngredientIx candidate, const RuleFacts& facts, Ruling& ruling) {
  const kb::Kind kind = setting.question.formula.kind;
  if ((facts.prohibited & KindBit(kind)) == 0) return;
  ruling.RuleOut([&] {
    for (const std::string& substance : LabelNames(setting.catalogue, candidate)) {
      for (const kb::Limit* limit : setting.catalogue.LimitsOf(substance)) {
        if (Forbids(*limit, kind))
          return fmt::format("{} is not allowed in {} products ({} Annex {}, entry {})", substance,
                             kb::UseName(kind.use), limit->jurisdiction, limit->annex, limit->entry);
      }
    }
    return std::string("its record says that it may not be used");
  });
}

// A stand-in that is hurt by the heat of the missing one's phase goes in later; one that has to be melted in needs a hot phase.
void JudgeHeat(const RuleSetting& setting, const RuleFacts& facts, Ruling& ruling) {
  if (!setting.heat_c || !facts.most_c) return;
  const auto& missing_most = setting.missing_facts.most_c;
  const bool as_before = missing_most && *missing_most <= *facts.most_c + 5;
  if (!as_before && *facts.most_c < *setting.heat_c - 5) {
    ruling.Change(
        0.95, [&] { return fmt::format("stands {:.0f} C at most: add it in the cool-down", *facts.most_c); });
  }
}

void JudgeStock(const RuleSetting& setting, IngredientIx candidate, Ruling& ruling) {
  const SwapQuestion& question = setting.question;
  if (question.only_shelf && !std::binary_search(setting.shelf.begin(), setting.shelf.end(), candidate))
    ruling.RuleOut([] { return std::string("not on the shelf"); });
  if (std::find(question.also_missing.begin(), question.also_missing.end(), candidate) !=
      question.also_missing.end())
    ruling.RuleOut([] { return std::string("is missing too"); });
}

}  // namespace

std::uint32_t KindBit(kb::Kind kind) {
  return Bit(static_cast<std::size_t>(kind.use) * kb::kForms.size() + static_cast<std::size_t>(kind.form));
}

RuleFacts RuleFactsOf(const Catalogue& catalogue, const kb::Function& role, IngredientIx ix) {
  RuleFacts out;
  ReadLaw(catalogue, ix, out);
  ReadKinds(catalogue, ix, out);
  ReadSides(catalogue, ix, out);
  ReadSame(catalogue, role, ix, out);
  ReadRequirements(catalogue, role, ix, out);
  ReadBurdens(catalogue, ix, out);
  out.window = kb::ProductPh(catalogue, ix);
  if (const auto most = catalogue.Number(ix, "max_c")) out.most_c = most->high;
  return out;
}

RuleSetting::RuleSetting(const Catalogue& catalogue_read, const SwapQuestion& asked,
                         kb::FunctionIx role_taken, IngredientIx gone, const Assessment& assessed,
                         std::optional<double> heat)
    : catalogue(catalogue_read),
      question(asked),
      role_ix(role_taken),
      role(catalogue.function(role_taken)),
      missing(gone),
      ph(assessed.ph.used),
      heat_c(heat),
      required_hlb(assessed.emulsion.required_hlb),
      ph_was_for_missing(PhWasForTheMissing(catalogue, role, question.formula.lines[question.line])),
      missing_facts(RuleFactsOf(catalogue, role, gone)),
      claims(catalogue.Once<kb::ClaimStates>()) {
  const auto rules = catalogue.claims();
  for (const std::string& claim : question.keep) {
    const auto rule =
        std::find_if(rules.begin(), rules.end(), [&](const kb::ClaimRule& r) { return r.id == claim; });
    keep.push_back(rule == rules.end() ? std::nullopt
                                       : std::optional(static_cast<std::size_t>(rule - rules.begin())));
  }
  if (!question.only_shelf) return;
  shelf = question.shelf;
  std::sort(shelf.begin(), shelf.end());
}

Ruling Judge(const RuleSetting& setting, IngredientIx candidate, const RuleFacts& facts, bool worded) {
  Ruling ruling;
  ruling.worded = worded;
  JudgeStock(setting, candidate, ruling);
  JudgeLaw(setting, candidate, facts, ruling);
  const bool until_now = ruling.fit == Fit::kRuledOut;
  JudgeKind(setting, candidate, facts, ruling);
  JudgeMeeting(setting, candidate, facts, ruling);
  JudgeSide(setting, facts, ruling);
  ruling.by_nature = !until_now && ruling.fit == Fit::kRuledOut;
  JudgeRequirements(setting, facts, ruling);
  JudgePh(setting, facts, ruling);
  JudgeClaims(setting, candidate, ruling);
  JudgeBurdens(setting, facts, ruling);
  JudgeHeat(setting, facts, ruling);
  return ruling;
}

Ruling Judge(const RuleSetting& setting, IngredientIx candidate) {
  return Judge(setting, candidate, RuleFactsOf(setting.catalogue, setting.role, candidate), true);
}

}  // namespace query
