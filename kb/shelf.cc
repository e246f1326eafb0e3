#include "kb/shelf.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "kb/pack.h"
#include "kb/store_error.h"

namespace kb {
namespace {

[[noreturn]] void Damaged(std::string_view what) {
  throw StoreError(fmt::format("the base is damaged: {} cannot be read; build the base again (./run)", what));
}

}  // namespace

Shelf::Shelf(const Bounds& bounds, Packed packed)
    : bounds_(bounds),
      packed_(std::move(packed)),
      records_(std::make_unique<MadeOnce<Ingredient>[]>(bounds.ingredients)),
      facts_(std::make_unique<MadeOnce<std::vector<Fact>>[]>(bounds.ingredients)) {}

Ingredient Shelf::ReadRecord(IngredientIx ix) const {
  std::string bytes;
  {
    const std::lock_guard lock(reading_);
    bytes = packed_.record(ix);
  }
  Ingredient item;
  const bool whole =
      Unpack(bytes, item) &&
      std::all_of(item.functions.begin(), item.functions.end(),
                  [&](FunctionIx function) { return function < bounds_.functions; }) &&
      std::all_of(item.composition.begin(), item.composition.end(), [&](const Component& part) {
        return part.ingredient.value_or(0) < bounds_.ingredients && part.source < bounds_.sources;
      });
  if (!whole) Damaged(fmt::format("ingredient {}", ix));
  return item;
}

std::vector<Fact> Shelf::ReadFacts(IngredientIx ix) const {
  std::string bytes;
  {
    const std::lock_guard lock(reading_);
    bytes = packed_.facts(ix);
  }
  std::vector<Fact> facts;
  const bool whole = Unpack(bytes, facts) && std::all_of(facts.begin(), facts.end(), [&](const Fact& fact) {
                       return fact.property < bounds_.properties && fact.source < bounds_.sources;
                     });
  if (!whole) Damaged(fmt::format("the facts of ingredient {}", ix));
  return facts;
}

template <class T>
const T& Shelf::Part(const MadeOnce<T>& part, std::string_view name) const {
  return part.Get([&] {
    std::string bytes;
    {
      const std::lock_guard lock(reading_);
      bytes = packed_.part(name);
    }
    T out;
    if (!Unpack(bytes, out)) Damaged(name);
    return out;
  });
}

const std::vector<Source>& Shelf::sources() const {
  return Part(sources_, "sources");
}
const std::vector<ChemicalClass>& Shelf::classes() const {
  return Part(classes_, "classes");
}
const std::vector<ClaimRule>& Shelf::claims() const {
  return Part(claims_, "claims");
}
const std::vector<Limit>& Shelf::limits() const {
  return Part(limits_, "limits");
}
const std::vector<Conflict>& Shelf::conflicts() const {
  return Part(conflicts_, "conflicts");
}
const std::vector<SavedFormula>& Shelf::formulas() const {
  return Part(formulas_, "formulas");
}
const Placing& Shelf::placing() const {
  return Part(placing_, "placing");
}

}  // namespace kb
