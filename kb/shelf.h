// What a base holds packed: each part, and of each ingredient its record and its facts, is read and unpacked when it is first asked
// for, and stays, so that a program which answers one question does not read fifteen hundred records and fifty thousand facts.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "kb/definitions.h"
#include "kb/ingredient.h"
#include "kb/made_once.h"

namespace kb {

class Shelf {
 public:
  // Numbers in records and facts must stay below these.
  struct Bounds {
    std::size_t properties = 0, sources = 0, functions = 0, ingredients = 0;
  };

  // Where the packed bytes come from; asked by one thread at a time. Throws StoreError.
  struct Packed {
    std::function<std::string(std::string_view part)> part;
    std::function<std::string(IngredientIx)> record, facts;
  };

  Shelf(const Bounds& bounds, Packed packed);

  // Any number of threads may ask. All throw StoreError where the bytes are not what they should be.
  const std::vector<Source>& sources() const;
  const std::vector<ChemicalClass>& classes() const;
  const std::vector<ClaimRule>& claims() const;
  const std::vector<Limit>& limits() const;
  const std::vector<Conflict>& conflicts() const;
  const std::vector<SavedFormula>& formulas() const;
  const Placing& placing() const;
  const Ingredient& Record(IngredientIx ix) const {
    return records_[ix].Get([&] { return ReadRecord(ix); });
  }
  const std::vector<Fact>& Facts(IngredientIx ix) const {
    return facts_[ix].Get([&] { return ReadFacts(ix); });
  }

 private:
  template <class T>
  const T& Part(const MadeOnce<T>& part, std::string_view name) const;
  Ingredient ReadRecord(IngredientIx ix) const;
  std::vector<Fact> ReadFacts(IngredientIx ix) const;

  Bounds bounds_;
  Packed packed_;
  mutable std::mutex reading_;
  MadeOnce<std::vector<Source>> sources_;
  MadeOnce<std::vector<ChemicalClass>> classes_;
  MadeOnce<std::vector<ClaimRule>> claims_;
  MadeOnce<std::vector<Limit>> limits_;
  MadeOnce<std::vector<Conflict>> conflicts_;
  MadeOnce<std::vector<SavedFormula>> formulas_;
  MadeOnce<Placing> placing_;
  std::unique_ptr<MadeOnce<Ingredient>[]> records_;
  std::unique_ptr<MadeOnce<std::vector<Fact>>[]> facts_;
};

}  // namespace kb
