// The whole base in memory: definitions, ingredients, and the ways to look them up.
//
// Built once (by the indexer from text, or by kb/store from a base) and constant afterwards, so that any
// number of threads may read it. What a base holds stays packed until it is asked for (kb/shelf.h), and where that is damaged
// whoever asks first gets a StoreError.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <ranges>
#include <span>
#include <string>
#include <string_view>
#include <typeindex>
#include <vector>

#include "kb/definitions.h"
#include "kb/ingredient.h"
#include "kb/lookup.h"
#include "kb/shelf.h"
#include "kb/word_table.h"

namespace kb {

// What a catalogue is made of. The order of ingredients is by id.
struct CatalogueParts {
  std::vector<Property> properties;
  std::vector<Source> sources;
  std::vector<Function> functions;
  std::vector<ChemicalClass> classes;
  std::vector<ClaimRule> claims;
  std::vector<Limit> limits;
  std::vector<Conflict> conflicts;
  std::vector<SavedFormula> formulas;
  std::vector<Phrase> phrases;
  Placing placing;
  std::vector<Ingredient> ingredients;
  // What a base holds ready; a catalogue made from text makes it itself.
  std::shared_ptr<const Lookup> lookup;
  // Of a base: everything but properties and functions, which are empty above.
  std::shared_ptr<const Shelf> shelf;
};

// Where a name led.
struct NameMatch {
  IngredientIx ingredient = 0;
  std::string name;        // the name of the record that matched
  bool corrected = false;  // the words as given are no name of ours; this is the nearest
};

class Catalogue {
 public:
  Catalogue();
  explicit Catalogue(CatalogueParts parts);
  // Moved, never copied: it holds pointers into its own parts.
  Catalogue(Catalogue&&) noexcept;
  Catalogue& operator=(Catalogue&&) noexcept;
  Catalogue(const Catalogue&) = delete;
  Catalogue& operator=(const Catalogue&) = delete;
  ~Catalogue();

  std::span<const Property> properties() const { return parts_.properties; }
  std::span<const Source> sources() const { return shelf() ? shelf()->sources() : parts_.sources; }
  std::span<const Function> functions() const { return parts_.functions; }
  std::span<const ClaimRule> claims() const { return shelf() ? shelf()->claims() : parts_.claims; }
  std::span<const Limit> limits() const { return shelf() ? shelf()->limits() : parts_.limits; }
  std::span<const Conflict> conflicts() const { return shelf() ? shelf()->conflicts() : parts_.conflicts; }
  std::span<const ChemicalClass> classes() const { return shelf() ? shelf()->classes() : parts_.classes; }
  const Placing& placing() const { return shelf() ? shelf()->placing() : parts_.placing; }
  std::span<const SavedFormula> formulas() const { return shelf() ? shelf()->formulas() : parts_.formulas; }
  const PhraseTable& phrases() const { return parts_.lookup->phrases(); }
  // In the order of their numbers; of a base each is unpacked as it is come to.
  auto ingredients() const {
    return std::views::iota(IngredientIx{0}, static_cast<IngredientIx>(size())) |
           std::views::transform([this](IngredientIx ix) -> const Ingredient& { return at(ix); });
  }
  std::size_t size() const { return parts_.lookup->ingredients(); }
  const CatalogueParts& parts() const { return parts_; }

  const Ingredient& at(IngredientIx ix) const {
    return shelf() ? shelf()->Record(ix) : parts_.ingredients[ix];
  }
  const Source& source(SourceIx ix) const { return sources()[ix]; }
  const Function& function(FunctionIx ix) const { return parts_.functions[ix]; }

  std::optional<PropertyIx> FindProperty(std::string_view id) const;
  std::optional<FunctionIx> FindFunction(std::string_view id) const;  // by id, name or another name of it
  std::optional<IngredientIx> FindId(std::string_view id) const;
  // Chemical family of a class; the class itself where it has none.
  std::string_view Family(std::string_view chemical_class) const;

  // The ingredient that a name means: id, INCI, common name, abbreviation, CAS, EC number; any case, singular
  // or plural, joined or split. Never guesses at spelling.
  std::optional<IngredientIx> FindExact(std::string_view name) const;
  // The same, and then the nearest name within the slips that its length allows.
  std::optional<NameMatch> FindName(std::string_view name) const;
  // Names close to one that was not found, nearest first.
  std::vector<std::string> NearestNames(std::string_view name, std::size_t most) const;

  // Text of a formula that came with the base; nullptr where there is none of that name.
  const SavedFormula* FindFormula(std::string_view folder, std::string_view id) const;

  std::span<const IngredientIx> Members(FunctionIx function) const;
  std::span<const Limit* const> LimitsOf(std::string_view substance_inci) const;

  // --- facts ---

  // All facts, by property, the most trusted of each first. The only way to them: of a base they are not in the ingredient.
  // Throws StoreError where the base is damaged, and so does everything that asks for facts.
  std::span<const Fact> Facts(IngredientIx ix) const;
  // All facts of a property, most trusted first; empty where the property does not exist or nothing is known.
  std::span<const Fact> Facts(IngredientIx ix, std::string_view property) const;
  std::span<const Fact> Facts(IngredientIx ix, PropertyIx property) const;
  // The most trusted one (with that key, where the property has keys); nullptr where nothing is known.
  const Fact* Best(IngredientIx ix, std::string_view property, std::string_view key = {}) const;
  std::optional<Range> Number(IngredientIx ix, std::string_view property, std::string_view key = {}) const;
  // "" where nothing is known.
  std::string_view Choice(IngredientIx ix, std::string_view property, std::string_view key = {}) const;
  bool Says(IngredientIx ix, std::string_view property, std::string_view choice) const;
  bool HasFunction(IngredientIx ix, std::string_view function) const;
  // How common it is in making, 1 to 5 (the property of that name); 0 where not known.
  double Commonness(IngredientIx ix) const { return parts_.lookup->Commonness(ix); }
  // Rank of a function in the record: 0 the main one; nullopt where it is not one of its functions.
  std::optional<std::size_t> FunctionRank(IngredientIx ix, FunctionIx function) const;

  // What follows from the whole catalogue and is costly: made on first need, one of each type, kept as long as the catalogue.
  // T is constructible from `const Catalogue&`, keeps no reference to it (a catalogue may be moved), and may be read by several
  // threads. Where two need it first at once both make it, and one of the two is kept.
  template <class T>
  const T& Once() const {
    const Maker make = [](const Catalogue& catalogue) -> std::shared_ptr<const void> {
      return std::make_shared<const T>(catalogue);
    };
    return *static_cast<const T*>(Kept(typeid(T), make));
  }

 private:
  using Maker = std::shared_ptr<const void> (*)(const Catalogue&);
  struct Keep;
  const void* Kept(std::type_index type, Maker make) const;
  void FindMembers();

  const Shelf* shelf() const { return parts_.shelf.get(); }

  CatalogueParts parts_;
  WordTable property_by_id_;
  WordTable function_by_id_;
  // The members of one function after those of the other; where they begin, the last: where they end.
  std::vector<std::uint32_t> member_begins_;
  std::vector<IngredientIx> members_;
  std::unique_ptr<Keep> keep_;
};

}  // namespace kb
