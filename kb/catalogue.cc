#include "kb/catalogue.h"

#include <algorithm>
#include <functional>
#include <map>
#include <mutex>
#include <numeric>
#include <shared_mutex>
#include <unordered_map>
#include <utility>

#include "kb/edit_distance.h"
#include "kb/flat_list.h"
#include "kb/text.h"

namespace kb {

// What is made when it is first asked for. It stays where it is when the catalogue is moved.
struct Catalogue::Keep {
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>{}(text); }
  };
  template <class Value>
  using Map = std::unordered_map<std::string, Value, Hash, std::equal_to<>>;

  std::shared_mutex mutex;
  std::map<std::type_index, std::shared_ptr<const void>> made;
  MadeOnce<Map<std::string_view>> families;         // by class
  MadeOnce<Map<std::vector<const Limit*>>> limits;  // by substance, folded
};

Catalogue::Catalogue() : Catalogue(CatalogueParts{}) {}
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
  for (Ingredient& item : parts_.ingredients) {
    std::stable_sort(item.facts.begin(), item.facts.end(), [](const Fact& a, const Fact& b) {
      return std::pair(a.property, a.standing) < std::pair(b.property, b.standing);
    });
  }
  if (!parts_.lookup) parts_.lookup = std::make_shared<const Lookup>(parts_);
  for (std::size_t i = 0; i < parts_.properties.size(); ++i) {
    property_by_id_.Add(parts_.properties[i].id, static_cast<PropertyIx>(i));
  }
  // An id leads where its folded form does, without the folding.
  for (const Function& function : parts_.functions) {
    const auto leads = parts_.lookup->FindFunction(Fold(function.id));
    if (!leads) ThrowDamaged();
    function_by_id_.Add(function.id, *leads);
  }
  FindMembers();
}

void Catalogue::FindMembers() {
  // Counted first, and then laid behind each other.
  member_begins_.assign(parts_.functions.size() + 1, 0);
  const auto ingredients = static_cast<IngredientIx>(size());
  for (IngredientIx ix = 0; ix < ingredients; ++ix) {
    for (const FunctionIx function : parts_.lookup->Functions(ix)) ++member_begins_[function + 1];
  }
  std::partial_sum(member_begins_.begin(), member_begins_.end(), member_begins_.begin());
  members_.resize(member_begins_.back());
  std::vector<std::uint32_t> next(member_begins_.begin(), member_begins_.end());
  for (IngredientIx ix = 0; ix < ingredients; ++ix) {
    for (const FunctionIx function : parts_.lookup->Functions(ix)) members_[next[function]++] = ix;
  }
}

std::optional<PropertyIx> Catalogue::FindProperty(std::string_view id) const {
  return property_by_id_.Find(id);
}

std::optional<FunctionIx> Catalogue::FindFunction(std::string_view id) const {
  if (const auto known = function_by_id_.Find(id)) return known;
  const std::string folded = Fold(id);
  const auto found = parts_.lookup->FindFunction(folded);
  return found ? found : parts_.lookup->FindFunction(Singular(folded));
}

std::optional<IngredientIx> Catalogue::FindId(std::string_view id) const {
  return parts_.lookup->FindId(id);
}

std::string_view Catalogue::Family(std::string_view chemical_class) const {
  const auto& families = keep_->families.Get([&] {
    Keep::Map<std::string_view> made;
    for (const ChemicalClass& item : classes()) made.emplace(item.id, item.family);
    return made;
  });
  const auto found = families.find(chemical_class);
  return found == families.end() ? chemical_class : found->second;
}

std::optional<IngredientIx> Catalogue::FindExact(std::string_view name) const {
  return parts_.lookup->names().Find(name);
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
  const NameTable& names = parts_.lookup->names();
  for (std::size_t i = 0; i < names.size(); ++i) {
    const NameTable::Name known = names[i];
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
  for (const SavedFormula& formula : formulas()) {
    if (formula.folder == folder && formula.id == id) return &formula;
  }
  return nullptr;
}

std::span<const IngredientIx> Catalogue::Members(FunctionIx function) const {
  return std::span(members_).subspan(member_begins_[function],
                                     member_begins_[function + 1] - member_begins_[function]);
}

std::span<const Limit* const> Catalogue::LimitsOf(std::string_view substance_inci) const {
  const auto& by_substance = keep_->limits.Get([&] {
    Keep::Map<std::vector<const Limit*>> made;
    for (const Limit& limit : limits()) made[Fold(limit.substance)].push_back(&limit);
    return made;
  });
  const auto found = by_substance.find(Fold(substance_inci));
  if (found == by_substance.end()) return {};
  return found->second;
}

std::span<const Fact> Catalogue::Facts(IngredientIx ix) const {
  return shelf() ? shelf()->Facts(ix) : at(ix).facts;
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
  const std::span<const FunctionIx> functions = parts_.lookup->Functions(ix);
  const auto found = std::find(functions.begin(), functions.end(), function);
  if (found == functions.end()) return std::nullopt;
  return static_cast<std::size_t>(found - functions.begin());
}

}  // namespace kb
