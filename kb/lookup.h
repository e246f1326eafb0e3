// What follows from the records of a catalogue and is looked up by the thousand: laid out once, so that a base holds it ready as a file
// that is mapped into memory, and a program that answers one question reads a few pages of it.
//
//   8 bytes  kLookupMark
//   lists (kb/flat_list.h): how many properties, sources and functions; how common each ingredient is; functions of the ingredients;
//   ids; names of functions; names of ingredients (kb/name_table.h); phrases (kb/phrase_table.h)
#pragma once

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "kb/ingredient.h"
#include "kb/name_table.h"
#include "kb/phrase_table.h"

namespace kb {

struct CatalogueParts;

// What goes wrong where it is read says so: all throw StoreError where the base is damaged.
class Lookup {
 public:
  explicit Lookup(const CatalogueParts& parts);
  // Throws StoreError where the file cannot be read or is no such file.
  explicit Lookup(const std::filesystem::path& file);
  // Keeps views of what it holds.
  Lookup(const Lookup&) = delete;
  Lookup& operator=(const Lookup&) = delete;

  // Throws StoreError.
  void Write(const std::filesystem::path& file) const;

  // How many the numbers in records may point to.
  struct Sizes {
    std::uint32_t properties = 0, sources = 0, functions = 0;
  };
  const Sizes& sizes() const { return sizes_; }
  std::size_t ingredients() const { return commonness_.size(); }

  double Commonness(IngredientIx ix) const { return commonness_[ix]; }
  std::span<const FunctionIx> Functions(IngredientIx ix) const;
  std::optional<IngredientIx> FindId(std::string_view id) const;
  // By its folded id, name or other names.
  std::optional<FunctionIx> FindFunction(std::string_view folded) const;
  const NameTable& names() const { return names_; }
  const PhraseTable& phrases() const { return phrases_; }

 private:
  // false where the bytes are none.
  bool Read(std::string_view bytes);

  std::shared_ptr<const void> kept_;  // what the others look at
  std::string_view bytes_;
  Sizes sizes_;
  std::span<const double> commonness_;
  std::span<const std::uint32_t> function_ends_;
  std::span<const FunctionIx> functions_;
  FlatWords ids_;
  std::span<const IngredientIx> id_leads_;
  FlatWords function_names_;
  std::span<const FunctionIx> named_functions_;
  NameTable names_;
  PhraseTable phrases_;
};

}  // namespace kb
