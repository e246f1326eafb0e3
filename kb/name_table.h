// The names of all ingredients, and what each leads to; laid out so that a base holds it ready.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "kb/flat_words.h"
#include "kb/ingredient.h"

namespace kb {

// English singular of a folded name, last word only: "waxes" -> "wax", "oils" -> "oil". The word itself where it is no plural.
std::string Singular(std::string_view folded);

class NameTable {
 public:
  NameTable() = default;
  // `commonness` stands beside the ingredients: a name that several bear leads to the most common of them.
  static void Append(std::span<const Ingredient> ingredients, std::span<const double> commonness,
                     std::string& out);
  // The one that comes next, which keeps views of the bytes; false where the bytes are none. `ingredients`: how many there are.
  static bool Take(std::string_view& bytes, std::size_t ingredients, NameTable& out);

  // Any case, singular or plural, joined or split. Never guesses at spelling. Throws StoreError where the base is damaged, and so
  // does operator[].
  std::optional<IngredientIx> Find(std::string_view name) const;

  // Each name once: its tight form (kb::FoldTight), and as it is written. The better claims to a name first.
  struct Name {
    std::string_view tight, written;
    IngredientIx ingredient = 0;
  };
  std::size_t size() const { return tight_.size(); }
  Name operator[](std::size_t i) const;

 private:
  class Maker;

  std::optional<IngredientIx> Look(const FlatWords& words, std::span<const IngredientIx> leads,
                                   std::string_view name) const;
  IngredientIx Lead(std::span<const IngredientIx> leads, std::size_t name) const;

  // Names in two forms, and beside each where it leads.
  FlatWords folded_, tight_;
  std::span<const IngredientIx> folded_lead_, tight_lead_;
  std::span<const std::uint32_t> written_ends_;  // of each tight one: as it is written
  std::span<const char> written_;
  std::size_t ingredients_ = 0;
};

}  // namespace kb
