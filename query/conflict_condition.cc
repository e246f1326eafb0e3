#include "query/conflict_condition.h"

#include <algorithm>

#include "kb/product.h"
#include "query/assess_say.h"

namespace query {
namespace {

using kb::ConditionTerm;
using kb::ConditionWord;
using kb::Quantity;
using parts::Setting;

constexpr double kRoom = 25;         // C: what a phase reaches that nobody heats
constexpr std::size_t kDeepest = 8;  // blends in blends

enum class Truth { kNo, kYes, kNotKnown };

Truth Of(bool holds) {
  return holds ? Truth::kYes : Truth::kNo;
}

bool Any(const std::vector<std::string>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

void AddMember(const Setting& setting, kb::IngredientIx ix, std::size_t line, double pct, std::size_t depth,
               std::vector<Member>& out) {
  out.push_back({ix, line, pct, depth > 0, setting.catalogue.Choice(ix, "class"),
                 setting.catalogue.Choice(ix, "charge")});
  if (depth == kDeepest) return;
  for (const kb::Component& component : setting.catalogue.at(ix).composition) {
    if (component.ingredient)
      AddMember(setting, *component.ingredient, line, pct * component.pct / 100, depth + 1, out);
  }
}

bool NamesAnybody(const kb::ConflictSide& side) {
  return !side.ingredients.empty() || !side.functions.empty() || !side.classes.empty() ||
         !side.charges.empty();
}

// Of all members together; a blend that is named counts once and not again by its parts.
double TotalOf(const std::vector<const Member*>& members) {
  double total = 0;
  for (const Member* member : members) {
    const bool within = member->part && std::any_of(members.begin(), members.end(), [&](const Member* other) {
                          return !other->part && other->line == member->line;
                        });
    if (!within) total += member->pct;
  }
  return total;
}

struct Looking {
  const Setting& setting;
  const Assessment& so_far;
  const std::vector<Member>& everyone;
  const SideState* other;
  double total = 0;
};

Truth Compare(const ConditionTerm& term, const Looking& at, const Member* member) {
  const Composition& sums = at.so_far.composition;
  double value = 0;
  switch (term.quantity) {
    case Quantity::kPh:
      if (!at.so_far.ph.used) return Truth::kNotKnown;
      value = *at.so_far.ph.used;
      break;
    case Quantity::kWater:
      value = sums.water;
      break;
    case Quantity::kOil:
      value = sums.oils;
      break;
    case Quantity::kAlcohol:
      value = sums.alcohol;
      break;
    case Quantity::kGlycol:
      value = sums.glycols;
      break;
    case Quantity::kEmulsifier:
      value = sums.emulsifiers;
      break;
    case Quantity::kSurfactant:
      value = sums.surfactant_active;
      break;
    case Quantity::kElectrolyte:
      value = sums.electrolytes;
      break;
    case Quantity::kTotal:
      value = at.total;
      break;
    case Quantity::kPct:
      if (member == nullptr) return Truth::kNo;
      value = member->pct;
      break;
    case Quantity::kHeat:
      if (member == nullptr) return Truth::kNo;
      value = at.so_far.heat[at.setting.formula.lines[member->line].phase].reaches_c.value_or(kRoom);
      break;
  }
  return Of(kb::Holds(term.comparator, value, term.number));
}

bool InPhase(const Looking& at, const Member& member, std::string_view word) {
  const std::size_t phase = at.setting.formula.lines[member.line].phase;
  const HeatNote& heat = at.so_far.heat[phase];
  if (word == "heated") return heat.heated;
  if (word == "cool-down") return heat.cool_down;
  const bool oil = parts::IsOilPhase(at.so_far.phases[phase]);
  return word == "oil" ? oil : !oil && !heat.cool_down;
}

bool AnotherHas(const Looking& at, const Member* member, const std::vector<std::string>& functions) {
  return std::any_of(at.everyone.begin(), at.everyone.end(), [&](const Member& other) {
    if (member != nullptr && other.line == member->line) return false;
    const auto& held = at.setting.catalogue.at(other.ingredient).functions;
    return std::any_of(held.begin(), held.end(), [&](kb::FunctionIx function) {
      return Any(functions, at.setting.catalogue.function(function).id);
    });
  });
}

Truth FactIs(const Looking& at, const Member* member, const ConditionTerm& term) {
  if (member == nullptr) return Truth::kNo;
  const auto facts = at.setting.catalogue.Facts(member->ingredient, term.property);
  if (facts.empty()) return Truth::kNo;  // most records have no such fact because it does not concern them
  const bool is = std::any_of(facts.begin(), facts.end(),
                              [&](const kb::Fact& fact) { return Any(term.values, fact.text); });
  return Of(is == (term.word == ConditionWord::kIs));
}

Truth HoldsFor(const ConditionTerm& term, const Looking& at, const Member* member) {
  switch (term.word) {
    case ConditionWord::kCompare:
      return Compare(term, at, member);
    case ConditionWord::kPhase:
      return Of(member != nullptr &&
                std::any_of(term.values.begin(), term.values.end(),
                            [&](const std::string& word) { return InPhase(at, *member, word); }));
    case ConditionWord::kForm:
      return Of(Any(term.values, kb::FormName(at.setting.formula.kind.form)));
    case ConditionWord::kUse:
      return Of(Any(term.values, kb::UseName(at.setting.formula.kind.use)));
    case ConditionWord::kWith:
      return Of(AnotherHas(at, member, term.values));
    case ConditionWord::kWithout:
      return Of(!AnotherHas(at, member, term.values));
    case ConditionWord::kIs:
    case ConditionWord::kNot:
      return FactIs(at, member, term);
    case ConditionWord::kSamePhase:
      return Of(member != nullptr && at.other != nullptr &&
                std::any_of(at.other->members.begin(), at.other->members.end(), [&](const Member& a) {
                  return a.line != member->line && at.setting.formula.lines[a.line].phase ==
                                                       at.setting.formula.lines[member->line].phase;
                }));
  }
  return Truth::kNo;
}

Truth AllHold(const std::vector<ConditionTerm>& terms, const Looking& at, const Member* member) {
  Truth all = Truth::kYes;
  for (const ConditionTerm& term : terms) {
    const Truth one = HoldsFor(term, at, member);
    if (one == Truth::kNo) return Truth::kNo;
    if (one == Truth::kNotKnown) all = Truth::kNotKnown;
  }
  return all;
}

}  // namespace

std::vector<Member> MembersOf(const Setting& setting) {
  std::vector<Member> out;
  for (std::size_t i = 0; i < setting.formula.lines.size(); ++i) {
    const kb::FormulaLine& line = setting.formula.lines[i];
    if (line.pct > 0) AddMember(setting, line.ingredient, i, line.pct, 0, out);
  }
  return out;
}

ConflictSides::ConflictSides(const kb::Catalogue& catalogue) : by_function_(catalogue.functions().size()) {
  for (const kb::Conflict& rule : catalogue.conflicts()) {
    for (const kb::ConflictSide* side : {&rule.a, &rule.b}) {
      const auto number = static_cast<std::uint16_t>(sides_.size());
      ReadySide& ready = sides_.emplace_back();
      auto terms = kb::ParseCondition(side->condition);
      ready.readable = terms.has_value();
      if (terms) ready.terms = std::move(*terms);
      ready.names_anybody = NamesAnybody(*side);
      ready.empty = !ready.names_anybody && side->condition.empty();
      for (const std::string& id : side->ingredients) {
        if (const auto ix = catalogue.FindId(id)) by_ingredient_[*ix].push_back(number);
      }
      for (std::size_t i = 0; i < by_function_.size(); ++i) {
        if (Any(side->functions, catalogue.functions()[i].id)) by_function_[i].push_back(number);
      }
      for (const std::string& word : side->classes) by_class_[word].push_back(number);
      for (const std::string& word : side->charges) by_charge_[word].push_back(number);
    }
  }
}

std::vector<std::vector<const Member*>> ConflictSides::Named(const kb::Catalogue& catalogue,
                                                             const std::vector<Member>& members) const {
  std::vector<std::vector<const Member*>> named(sides_.size());
  for (const Member& member : members) {
    const auto name = [&](const Sides& sides) {
      for (const std::uint16_t side : sides) {
        if (named[side].empty() || named[side].back() != &member) named[side].push_back(&member);
      }
    };
    const auto name_by = [&](const auto& map, const auto& key) {
      if (const auto found = map.find(key); found != map.end()) name(found->second);
    };
    name_by(by_ingredient_, member.ingredient);
    name_by(by_class_, member.chemical_class);
    name_by(by_charge_, member.charge);
    for (const kb::FunctionIx function : catalogue.at(member.ingredient).functions)
      name(by_function_[function]);
  }
  return named;
}

SideState LookAt(const Setting& setting, const Assessment& so_far, const std::vector<Member>& members,
                 const ReadySide& side, const std::vector<const Member*>& named, const SideState* other) {
  SideState state;
  if (!side.readable || (side.names_anybody && named.empty())) return state;
  const Looking at{setting, so_far, members, other, TotalOf(named)};
  const auto settle = [&](Truth truth) {
    if (truth == Truth::kNotKnown) state.not_known = "the pH";
    return truth == Truth::kYes;
  };
  if (!side.names_anybody) {
    state.holds = settle(AllHold(side.terms, at, nullptr));
    return state;
  }
  for (const Member* member : named) {
    if (settle(AllHold(side.terms, at, member))) state.members.push_back(*member);
  }
  state.holds = !state.members.empty();
  if (state.holds) state.not_known.clear();
  return state;
}

}  // namespace query
