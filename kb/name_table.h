// The names of all ingredients, and what each leads to; laid out so that a base holds it ready.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "kb/ingredient.h"

namespace kb {

// English singular of a folded name, last word only: "waxes" -> "wax", "oils" -> "oil". The word itself where it is no plural.
std::string Singular(std::string_view folded);

class NameTable {
 public:
  NameTable() = default;
  // `commonness` stands beside the ingredients: a name that several bear leads to the most common of them.
  NameTable(std::span<const Ingredient> ingredients, const std::vector<double>& commonness);

  // The table as one run of bytes, as the machine holds it (a base is built where it is read).
  const std::string& Bytes() const;
  // Looked at where they are, without unpacking. nullopt where that is not what the bytes are. `ingredients`: how many there are.
  static std::optional<NameTable> FromBytes(std::string bytes, std::size_t ingredients);

  // Any case, singular or plural, joined or split. Never guesses at spelling.
  std::optional<IngredientIx> Find(std::string_view name) const;

  // Each name once: its tight form (kb::FoldTight), and as it is written. The better claims to a name first.
  struct Name {
    std::string_view tight, written;
    IngredientIx ingredient = 0;
  };
  std::size_t size() const { return tight_.entries.size(); }
  Name operator[](std::size_t i) const;

 private:
  struct Entry {
    std::uint32_t key = 0, key_size = 0;  // in the text
    std::uint32_t written = 0, written_size = 0;
    IngredientIx ingredient = 0;
  };
  struct Side {
    std::span<const Entry> entries;
    // The number of an entry and one more, by the hash of its key or in the next slots; 0 is free. Half of them at least are.
    std::span<const std::uint32_t> slots;
  };
  class Maker;

  std::string_view Text(std::uint32_t begin, std::uint32_t size) const { return text_.substr(begin, size); }
  std::optional<IngredientIx> Look(const Side& side, std::string_view key) const;
  bool IsWhole(const Side& side, std::size_t ingredients) const;

  std::shared_ptr<const std::string> bytes_;  // which the others look at
  Side folded_, tight_;
  std::string_view text_;
};

}  // namespace kb
