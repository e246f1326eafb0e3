#include "kb/catalogue.h"

#include <algorithm>
#include <map>
#include <mutex>
#include <shared_mutex>
#include <utility>

#include "kb/edit_distance.h"
#include "kb/text.h"

namespace kb {

struct Catalogue::Keep {
  std::shared_mutex mutex;
  std::map<std::type_index, std::shared_ptr<const void>> made;
};

Catalogue::Catalogue() : keep_(std::make_unique<Keep>()) {}
Catalogue::Catalogue(Catalogue&&) noexcept = default;
Catalogue& Catalogue::operator=(Catalogue&&) noexcept = default;
Catalogue::~Catalogue() = default;

const void* Catalogue::Kept(std::type_index type, Maker make) const {
  {
    const std::shared_lock lock(keep_->mutex);
    if (const auto found = keep_->made.find(type); found != keep_->made.end()) return found->second.get();
  }
  // Made without the lock: what is made may itself ask for something that is made once.
  std::shared_ptr<const void> made = make(*this);
  const std::unique_lock lock(keep_->mutex);
  return keep_->made.try_emplace(type, std::move(made)).first->second.get();
}

Catalogue::Catalogue(CatalogueParts parts) : parts_(std::move(parts)), keep_(std::make_unique<Keep>()) {
  for (std::size_t i = 0; i < parts_.properties.size(); ++i) {
    property_by_id_.Add(parts_.properties[i].id, static_cast<PropertyIx>(i));
  }
  for (std::size_t i = 0; i < parts_.functions.size(); ++i) {
    const Function& function = parts_.functions[i];
    const auto ix = static_cast<FunctionIx>(i);
    function_by_name_.emplace(Fold(function.id), ix);
    function_by_name_.emplace(Fold(function.name), ix);
    for (const std::string& name : function.also) function_by_name_.emplace(Fold(name), ix);
  }
  // An id leads where its folded form does, without the folding.
  for (const Function& function : parts_.functions)
    function_by_id_.Add(function.id, function_by_name_.at(Fold(function.id)));
  for (const ChemicalClass& item : parts_.classes) family_by_class_.emplace(item.id, item.family);
  members_.resize(parts_.functions.size());
  for (std::size_t i = 0; i < parts_.ingredients.size(); ++i) {
    Ingredient& item = parts_.ingredients[i];
    const auto ix = static_cast<IngredientIx>(i);
    ingredient_by_id_.emplace(item.id, ix);
    for (const FunctionIx function : item.functions) members_[function].push_back(ix);
    const auto before = [](const Fact& a, const Fact& b) {
      return std::pair(a.property, a.standing) < std::pair(b.property, b.standing);
    };
    // From a base they come in order.
    if (!std::is_sorted(item.facts.begin(), item.facts.end(), before))
      std::stable_sort(item.facts.begin(), item.facts.end(), before);
  }
  for (const Limit& limit : parts_.limits) limits_by_substance_[Fold(limit.substance)].push_back(&limit);
  if (parts_.commonness.size() != parts_.ingredients.size()) {
    parts_.commonness.clear();
    for (std::size_t i = 0; i < parts_.ingredients.size(); ++i) {
      parts_.commonness.push_back(Number(static_cast<IngredientIx>(i), "commonness").value_or(Range{}).mid());
    }
  }
  if (parts_.names.size() == 0) parts_.names = NameTable(parts_.ingredients, parts_.commonness);
}

std::optional<PropertyIx> Catalogue::FindProperty(std::string_view id) const {
  return property_by_id_.Find(id);
}

std::optional<FunctionIx> Catalogue::FindFunction(std::string_view id) const {
  if (const auto known = function_by_id_.Find(id)) return known;
  const std::string folded = Fold(id);
  for (const std::string& form : {folded, Singular(folded)}) {
    const auto found = function_by_name_.find(form);
    if (found != function_by_name_.end()) return found->second;
  }
  return std::nullopt;
}

std::optional<IngredientIx> Catalogue::FindId(std::string_view id) const {
  const auto found = ingredient_by_id_.find(id);
  if (found == ingredient_by_id_.end()) return std::nullopt;
  return found->second;
}

std::string_view Catalogue::Family(std::string_view chemical_class) const {
  const auto found = family_by_class_.find(chemical_class);
  return found == family_by_class_.end() ? chemical_class : std::string_view(found->second);
}

std::optional<IngredientIx> Catalogue::FindExact(std::string_view name) const {
  return parts_.names.Find(name);
}

std::optional<NameMatch> Catalogue::FindName(std::string_view name) const {
  if (const auto exact = FindExact(name)) return NameMatch{*exact, std::string(name), false};
  const std::vector<std::string> near = NearestNames(name, 1);
  if (near.empty()) return std::nullopt;
  return NameMatch{*FindExact(near.front()), near.front(), true};
}

std::vector<std::string> Catalogue::NearestNames(std::string_view name, std::size_t most) const {
  const std::string wanted = FoldTight(name);
  const std::size_t limit = SlipsAllowed(wanted.size());
  const EditPattern pattern(wanted);
  std::vector<std::pair<std::size_t, NameTable::Name>> found;
  for (std::size_t i = 0; i < parts_.names.size(); ++i) {
    const NameTable::Name known = parts_.names[i];
    const std::size_t distance = pattern.Distance(known.tight, limit);
    if (distance <= limit) found.emplace_back(distance, known);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> out;
  std::vector<IngredientIx> seen;
  for (const auto& [distance, known] : found) {
    if (out.size() == most) break;
    const IngredientIx ix = *FindExact(known.written);
    if (std::find(seen.begin(), seen.end(), ix) != seen.end()) continue;
    seen.push_back(ix);
    out.emplace_back(known.written);
  }
  return out;
}

const SavedFormula* Catalogue::FindFormula(std::string_view folder, std::string_view id) const {
  const auto found =
      std::find_if(parts_.formulas.begin(), parts_.formulas.end(),
                   [&](const SavedFormula& formula) { return formula.folder == folder && formula.id == id; });
  return found == parts_.formulas.end() ? nullptr : &*found;
}

std::span<const IngredientIx> Catalogue::Members(FunctionIx function) const {
  return members_[function];
}

std::span<const Limit* const> Catalogue::LimitsOf(std::string_view substance_inci) const {
  const auto found = limits_by_substance_.find(Fold(substance_inci));
  if (found == limits_by_substance_.end()) return {};
  return found->second;
}

std::span<const Fact> Catalogue::Facts(IngredientIx ix) const {
  return parts_.shelf ? parts_.shelf->Of(ix) : at(ix).facts;
}

std::span<const Fact> Catalogue::Facts(IngredientIx ix, std::string_view property) const {
  const auto id = FindProperty(property);
  if (!id) return {};
  return Facts(ix, *id);
}

std::span<const Fact> Catalogue::Facts(IngredientIx ix, PropertyIx property) const {
  const std::span<const Fact> facts = Facts(ix);
  struct ByProperty {
    bool operator()(const Fact& fact, PropertyIx wanted) const { return fact.property < wanted; }
    bool operator()(PropertyIx wanted, const Fact& fact) const { return wanted < fact.property; }
  };
  const auto [first, last] = std::equal_range(facts.begin(), facts.end(), property, ByProperty{});
  return {first, last};
}

const Fact* Catalogue::Best(IngredientIx ix, std::string_view property, std::string_view key) const {
  for (const Fact& fact : Facts(ix, property)) {
    if (key.empty() || fact.key == key) return &fact;
  }
  return nullptr;
}

std::optional<Range> Catalogue::Number(IngredientIx ix, std::string_view property,
                                       std::string_view key) const {
  const Fact* fact = Best(ix, property, key);
  return fact == nullptr ? std::nullopt : fact->number;
}

std::string_view Catalogue::Choice(IngredientIx ix, std::string_view property, std::string_view key) const {
  const Fact* fact = Best(ix, property, key);
  return fact == nullptr ? std::string_view{} : std::string_view(fact->text);
}

bool Catalogue::Says(IngredientIx ix, std::string_view property, std::string_view choice) const {
  const std::span<const Fact> facts = Facts(ix, property);
  return std::any_of(facts.begin(), facts.end(), [&](const Fact& fact) { return fact.text == choice; });
}

bool Catalogue::HasFunction(IngredientIx ix, std::string_view function) const {
  const auto id = FindFunction(function);
  return id && FunctionRank(ix, *id).has_value();
}

std::optional<std::size_t> Catalogue::FunctionRank(IngredientIx ix, FunctionIx function) const {
  const std::vector<FunctionIx>& functions = at(ix).functions;
  const auto found = std::find(functions.begin(), functions.end(), function);
  if (found == functions.end()) return std::nullopt;
  return static_cast<std::size_t>(found - functions.begin());
}

}  // namespace kb
