#include "kb/catalogue.h"

#include <algorithm>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

bool Ends(std::string_view text, std::string_view end) {
  return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

}  // namespace

std::string Singular(std::string_view folded) {
  std::string word(folded);
  if (Ends(word, "ies") && word.size() > 5) {
    word.replace(word.size() - 3, 3, "y");
  } else if (Ends(word, "xes") || Ends(word, "sses") || Ends(word, "shes") || Ends(word, "ches")) {
    word.resize(word.size() - 2);
  } else if (Ends(word, "s") && !Ends(word, "ss") && !Ends(word, "us") && !Ends(word, "is")) {
    word.pop_back();
  }
  return word;
}

Catalogue::Catalogue(CatalogueParts parts) : parts_(std::move(parts)) {
  for (std::size_t i = 0; i < parts_.properties.size(); ++i) {
    property_by_id_.emplace(parts_.properties[i].id, static_cast<PropertyIx>(i));
  }
  for (std::size_t i = 0; i < parts_.functions.size(); ++i) {
    const Function& function = parts_.functions[i];
    const auto ix = static_cast<FunctionIx>(i);
    function_by_name_.emplace(Fold(function.id), ix);
    function_by_name_.emplace(Fold(function.name), ix);
    for (const std::string& name : function.also) function_by_name_.emplace(Fold(name), ix);
  }
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
  IndexNames();
}

void Catalogue::AddName(std::string_view name, IngredientIx ix) {
  const std::string folded = Fold(name);
  if (folded.empty()) return;
  ingredient_by_name_.emplace(folded, ix);
  std::string tight = folded;
  std::erase(tight, ' ');
  if (ingredient_by_tight_.emplace(tight, ix).second) spellings_.emplace_back(std::move(tight), name);
}

void Catalogue::IndexNames() {
  // Better claims to a name go first, because the first one keeps it: ids and common names before label names
  // (which several records may share: fumed silica and silica spheres are both SILICA), the common records
  // first.
  std::vector<IngredientIx> order(parts_.ingredients.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<IngredientIx>(i);
  std::vector<double> commonness(order.size());
  for (const IngredientIx ix : order) commonness[ix] = Number(ix, "commonness").value_or(Range{}).mid();
  std::stable_sort(order.begin(), order.end(),
                   [&](IngredientIx a, IngredientIx b) { return commonness[a] > commonness[b]; });
  std::size_t names = 0;
  for (const Ingredient& item : parts_.ingredients)
    names += 3 + item.also.size() + item.label_names.size() + item.cas.size() + item.ec.size();
  ingredient_by_name_.reserve(names);
  ingredient_by_tight_.reserve(names);
  spellings_.reserve(names);
  for (const IngredientIx ix : order) AddName(at(ix).name, ix);
  for (const IngredientIx ix : order) AddName(at(ix).id, ix);
  for (const IngredientIx ix : order) {
    if (!at(ix).composition.empty()) continue;
    AddName(at(ix).inci, ix);
  }
  for (const IngredientIx ix : order) {
    AddName(at(ix).inci, ix);
    for (const std::string& name : at(ix).also) AddName(name, ix);
    for (const std::string& name : at(ix).label_names) AddName(name, ix);
    for (const std::string& number : at(ix).cas) AddName(number, ix);
    for (const std::string& number : at(ix).ec) AddName(number, ix);
  }
}

std::optional<PropertyIx> Catalogue::FindProperty(std::string_view id) const {
  const auto found = property_by_id_.find(id);
  if (found == property_by_id_.end()) return std::nullopt;
  return found->second;
}

std::optional<FunctionIx> Catalogue::FindFunction(std::string_view id) const {
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
  const std::string folded = Fold(name);
  if (folded.empty()) return std::nullopt;
  for (const std::string& form : {folded, Singular(folded)}) {
    if (const auto found = ingredient_by_name_.find(form); found != ingredient_by_name_.end()) {
      return found->second;
    }
  }
  std::string tight = FoldTight(name);
  for (const std::string& form : {tight, Singular(tight)}) {
    if (const auto found = ingredient_by_tight_.find(form); found != ingredient_by_tight_.end()) {
      return found->second;
    }
  }
  return std::nullopt;
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
  std::vector<std::pair<std::size_t, const std::string*>> found;
  for (const auto& [tight, written] : spellings_) {
    const std::size_t distance = EditDistance(wanted, tight, limit);
    if (distance <= limit) found.emplace_back(distance, &written);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> out;
  std::vector<IngredientIx> seen;
  for (const auto& [distance, written] : found) {
    if (out.size() == most) break;
    const IngredientIx ix = *FindExact(*written);
    if (std::find(seen.begin(), seen.end(), ix) != seen.end()) continue;
    seen.push_back(ix);
    out.push_back(*written);
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

std::span<const Fact> Catalogue::Facts(IngredientIx ix, std::string_view property) const {
  const auto id = FindProperty(property);
  if (!id) return {};
  const std::vector<Fact>& facts = at(ix).facts;
  struct ByProperty {
    bool operator()(const Fact& fact, PropertyIx wanted) const { return fact.property < wanted; }
    bool operator()(PropertyIx wanted, const Fact& fact) const { return wanted < fact.property; }
  };
  const auto [first, last] = std::equal_range(facts.begin(), facts.end(), *id, ByProperty{});
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
