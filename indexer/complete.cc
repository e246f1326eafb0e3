// What a record need not say: what follows from its composition, its formula and its melting point, and what holds for all
// members of its class or function.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>
#include <utility>

#include "indexer/draft.h"
#include "kb/chemistry/molar_mass.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr std::string_view kLevel = "use_pct";
constexpr std::string_view kProhibited = "prohibited";
constexpr std::string_view kNeeds = "needs_c";

auto Key(const MemberRule& rule) {
  // What a class says goes before what a function says, and a rule with a condition before the one without.
  return std::tie(rule.basis, rule.holder, rule.fact.property, rule.fact.function);
}

bool Together(const MemberRule& a, const MemberRule& b) {
  return Key(a) == Key(b) && a.where == b.where && a.is == b.is;
}

bool GoesBefore(const MemberRule& a, const MemberRule& b) {
  if (Key(a) != Key(b)) return Key(a) < Key(b);
  return std::tuple(a.where.empty(), std::tie(a.where, a.is)) <
         std::tuple(b.where.empty(), std::tie(b.where, b.is));
}

class Completer {
 public:
  Completer(Draft& draft, Diagnostics& out) : draft_(draft), out_(out), served_(draft.rules.size(), false) {}

  void Run() {
    for (std::size_t ix = 0; ix < draft_.parts.ingredients.size(); ++ix) {
      kb::Ingredient& item = draft_.parts.ingredients[ix];
      ActiveMatter(item, draft_.places[ix]);
      CounterIons(item);
      Rules(item, draft_.places[ix]);
      Melt(item, draft_.places[ix]);
    }
    // Of files that could not be read the members are not known.
    if (!draft_.unread.ids().empty()) return;
    for (std::size_t i = 0; i < draft_.rules.size(); ++i) {
      const MemberRule& rule = draft_.rules[i];
      if (!served_[i])
        out_.Add(*rule.file, rule.place, "no member takes this claim: each has its own, or there is none");
    }
  }

 private:
  std::string_view PropertyId(const kb::Fact& fact) const {
    return draft_.parts.properties[fact.property].id;
  }

  bool Holds(const kb::Ingredient& item, std::string_view property) const {
    return std::any_of(item.facts.begin(), item.facts.end(),
                       [&](const kb::Fact& fact) { return PropertyId(fact) == property; });
  }

  void Add(kb::Ingredient& item, std::string_view property, double value, kb::Fact fact) {
    const auto ix = draft_.properties.Find(property);
    if (!ix) return;
    fact.property = static_cast<kb::PropertyIx>(*ix);
    fact.number = kb::Range{value, value};
    fact.text = fmt::format("{:g}", value);
    fact.basis = kb::Basis::kComputed;
    item.facts.push_back(std::move(fact));
  }

  // The share of what acts, from the parts that are marked so. As sure as the least sure of them.
  void ActiveMatter(kb::Ingredient& item, const IngredientPlaces& places) {
    if (Holds(item, "active_pct")) return;
    if (draft_.parts.sources.empty()) return;  // sources.toml could not be read, which is said elsewhere
    double share = 0;
    kb::Fact fact;
    fact.standing = kb::Standing::kOwn;
    for (std::size_t i = 0; i < item.composition.size(); ++i) {
      if (!places.acts[i]) continue;
      const kb::Component& part = item.composition[i];
      share += part.pct;
      const kb::Standing standing = draft_.parts.sources[part.source].standing;
      if (standing < fact.standing) continue;
      fact.standing = standing;
      fact.source = part.source;
    }
    fact.note = "from its composition";
    if (share > 0) {
      Add(item, "active_pct", share, std::move(fact));
    } else if (item.composition.empty() && Needs(item, "active_pct") && !Excepted(places, "active_pct", {})) {
      Neat(item);
    }
  }

  // What is recorded with no carrier is sold neat. An extract or a grade of unknown strength says so: not_by_rule.
  void Neat(kb::Ingredient& item) {
    const auto form = std::find_if(item.facts.begin(), item.facts.end(),
                                   [&](const kb::Fact& fact) { return PropertyId(fact) == "form"; });
    if (form == item.facts.end()) return;
    kb::Fact fact;
    fact.source = form->source;
    fact.standing = form->standing;
    fact.note = "sold neat";
    Add(item, "active_pct", 100, std::move(fact));
  }

  // Whether one of its functions asks for the property of each member.
  bool Needs(const kb::Ingredient& item, std::string_view property) const {
    return std::any_of(item.functions.begin(), item.functions.end(), [&](const auto function) {
      const std::vector<std::string>& required = draft_.parts.functions[function].required;
      return std::find(required.begin(), required.end(), property) != required.end();
    });
  }

  // The charge that the metals of a salt bring. Of substances that take part in the pH, for the others nobody asks.
  void CounterIons(kb::Ingredient& item) {
    if (Holds(item, "counter_charge") || !Holds(item, "pka")) return;
    const auto formula = std::find_if(item.facts.begin(), item.facts.end(),
                                      [&](const kb::Fact& fact) { return PropertyId(fact) == "formula"; });
    if (formula == item.facts.end()) return;
    const auto charge = kb::chemistry::MetalCharge(formula->text);
    if (!charge || *charge == 0)
      return;  // a formula that cannot be read is the business of a law over the data
    kb::Fact fact;
    fact.source = formula->source;
    fact.standing = formula->standing;
    fact.at = formula->at;
    fact.note = "from its formula";
    Add(item, "counter_charge", *charge, std::move(fact));
  }

  // What goes in molten has to be a little hotter than its melting point: 5 K, and rounded up to the next 5 as kettles are set
  // (common practice, no source). A claim or a rule on it says more.
  void Melt(kb::Ingredient& item, const IngredientPlaces& places) {
    if (Holds(item, kNeeds) || !Is(item, "how_in", "melt") || Excepted(places, kNeeds, {})) return;
    const kb::Fact* melting = nullptr;
    for (const kb::Fact& fact : item.facts) {
      if (PropertyId(fact) != "melting_c") continue;
      if (melting == nullptr || fact.standing < melting->standing) melting = &fact;
    }
    constexpr double kRoomC = 25, kStep = 5;
    if (melting == nullptr || !melting->number || melting->number->high <= kRoomC) return;
    const double needs = std::ceil((melting->number->high + kStep) / kStep) * kStep;
    const auto ix = draft_.properties.Find(kNeeds);
    if (!ix || needs < draft_.parts.properties[*ix].low || needs > draft_.parts.properties[*ix].high) return;
    kb::Fact fact;
    fact.source = melting->source;
    fact.standing = melting->standing;
    fact.at = melting->at;
    fact.note = "from its melting point";
    Add(item, kNeeds, needs, std::move(fact));
  }

  bool Is(const kb::Ingredient& item, std::string_view property, std::string_view word) const {
    return std::any_of(item.facts.begin(), item.facts.end(), [&](const kb::Fact& fact) {
      return PropertyId(fact) == property && fact.text == word;
    });
  }

  // --- rules ---

  bool IsMember(const kb::Ingredient& item, const MemberRule& rule) const {
    if (rule.basis == kb::Basis::kClass) return First(item, kClass) == rule.holder;
    // A level belongs to one of its functions; all else is a matter of what it is in the first place.
    if (item.functions.empty()) return false;
    return !rule.fact.function.empty() ? Plays(item, rule.holder)
                                       : FunctionId(item.functions.front()) == rule.holder;
  }

  // The word of its first claim of a property.
  std::string_view First(const kb::Ingredient& item, std::string_view property) const {
    const auto own = std::find_if(item.facts.begin(), item.facts.end(),
                                  [&](const kb::Fact& fact) { return PropertyId(fact) == property; });
    return own == item.facts.end() ? std::string_view{} : std::string_view(own->text);
  }

  const std::string& FunctionId(kb::FunctionIx ix) const { return draft_.parts.functions[ix].id; }
  bool Plays(const kb::Ingredient& item, std::string_view function) const {
    return std::any_of(item.functions.begin(), item.functions.end(),
                       [&](kb::FunctionIx ix) { return FunctionId(ix) == function; });
  }

  // Nothing of the record, nor of a rule that goes before, on the same property and function. A claim without a function
  // holds for all.
  static bool IsOpen(const kb::Ingredient& item, const MemberRule& rule) {
    return std::none_of(item.facts.begin(), item.facts.end(), [&](const kb::Fact& fact) {
      return fact.property == rule.fact.property &&
             (fact.function.empty() || fact.function == rule.fact.function);
    });
  }

  bool Takes(const kb::Ingredient& item, const IngredientPlaces& places, const MemberRule& rule) const {
    const kb::Property& property = draft_.parts.properties[rule.fact.property];
    if (!IsMember(item, rule) || (!rule.where.empty() && First(item, rule.where) != rule.is)) return false;
    if (!rule.fact.function.empty() && !Plays(item, rule.fact.function)) return false;
    if (property.id == kLevel && Plays(item, kProhibited)) return false;
    if (!property.beside.empty() && !Holds(item, property.beside)) return false;
    return !Excepted(places, property.id, rule.fact.function);
  }

  // Whether the record refuses it: by "max_c", or for a level as one function alone by "use_pct emollient".
  static bool Excepted(const IngredientPlaces& places, std::string_view property, std::string_view function) {
    const std::string of_function = fmt::format("{} {}", property, function);
    return std::any_of(places.not_by_rule.begin(), places.not_by_rule.end(), [&](const PlacedText& word) {
      return word.text == property || word.text == of_function;
    });
  }

  // Claims of one rule (the levels of a function in several kinds of product, say) are given together or not at all.
  void Rules(kb::Ingredient& item, const IngredientPlaces& places) {
    const std::vector<MemberRule>& rules = draft_.rules;
    for (std::size_t first = 0, last = 0; first < rules.size(); first = last) {
      while (last < rules.size() && Together(rules[first], rules[last])) ++last;
      if (!Takes(item, places, rules[first]) || !IsOpen(item, rules[first])) continue;
      for (std::size_t i = first; i < last; ++i) Give(item, rules[i]);
      std::fill(served_.begin() + static_cast<std::ptrdiff_t>(first),
                served_.begin() + static_cast<std::ptrdiff_t>(last), true);
    }
  }

  void Give(kb::Ingredient& item, const MemberRule& rule) const {
    kb::Fact fact = rule.fact;
    fact.basis = rule.basis;
    item.facts.insert(Place(item, fact), std::move(fact));
  }

  // Levels stand in the order of the functions that they are for.
  std::vector<kb::Fact>::iterator Place(kb::Ingredient& item, const kb::Fact& fact) const {
    const std::size_t rank = Rank(item, fact.function);
    return std::find_if(item.facts.begin(), item.facts.end(), [&](const kb::Fact& other) {
      return other.property == fact.property && Rank(item, other.function) > rank;
    });
  }
  std::size_t Rank(const kb::Ingredient& item, std::string_view function) const {
    std::size_t rank = 0;
    while (rank < item.functions.size() && FunctionId(item.functions[rank]) != function) ++rank;
    return rank;
  }

  Draft& draft_;
  Diagnostics& out_;
  std::vector<bool> served_;  // beside the rules of the draft
};

// "phase = cool-down"
void ReadCondition(const DefinitionFile& file, const PlacedText& text, MemberRule& rule) {
  if (text.text.empty()) return;
  const std::vector<std::string> sides = kb::SplitTrimmed(text.text, '=');
  const kb::Property* property = file.draft.FindProperty(sides.front());
  if (sides.size() != 2 || property == nullptr || property->kind != kb::ValueKind::kChoice) {
    file.out.Add(file.data.text, text.place,
                 fmt::format("'{}' is no condition; expected a property with choices and one of them, as in "
                             "\"phase = cool-down\"",
                             Printable(text.text)));
    return;
  }
  file.MustBeChoices({{sides[1], text.place}}, sides[0]);
  rule.where = sides[0];
  rule.is = sides[1];
}

}  // namespace

void ReadMemberRules(const DefinitionFile& file, kb::Basis basis, const std::string& holder,
                     const toml::table& values) {
  if (!file.draft.properties.known) return;
  kb::Ingredient claims;
  IngredientPlaces places;
  std::vector<PlacedText> where;
  ReadFacts(values, file.data.text, file.draft, file.out, claims, places, &where);
  for (std::size_t i = 0; i < claims.facts.size(); ++i) {
    MemberRule rule{basis, holder, {}, {}, std::move(claims.facts[i]), &file.data.text, PlaceOf(values)};
    const bool level = file.draft.parts.properties[rule.fact.property].id == kLevel;
    if (basis == kb::Basis::kFunction && level) rule.fact.function = holder;
    ReadCondition(file, where[i], rule);
    file.draft.rules.push_back(std::move(rule));
  }
}

void Complete(Draft& draft, Diagnostics& out) {
  std::stable_sort(draft.rules.begin(), draft.rules.end(), GoesBefore);
  Completer(draft, out).Run();
}

}  // namespace indexer
