// The catalogue while it is being read: its parts, what ids exist, and where the things stand that can only
// be checked when every file has been read.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "indexer/data_folder.h"
#include "indexer/read_toml.h"
#include "kb/catalogue.h"

namespace indexer {

// The ids that a definition file declares, in its order.
class Names {
 public:
  void Add(const std::string& id);
  std::optional<std::size_t> Find(std::string_view id) const;
  const std::vector<std::string>& ids() const { return ids_; }
  // Set once its file was read. Before that nothing can be said about what is not among them.
  bool known = false;

 private:
  std::vector<std::string> ids_;
  std::unordered_map<std::string, std::size_t> index_;
};

// Where the parts of an ingredient stand, beside kb::CatalogueParts::ingredients.
struct IngredientPlaces {
  const TextFile* file = nullptr;
  std::vector<PlacedText> names;  // id, name, also
  std::vector<PlacedText> cas;
  std::vector<PlacedText> parts;    // beside `composition`: the id named by `of`, "" where `inci` was given
  std::vector<bool> acts;           // beside `composition`: what acts in it
  std::optional<std::size_t> rest;  // the part that makes the sum 100
  // Properties for which the rules of its class and functions do not hold; "use_pct emollient": of that function.
  std::vector<PlacedText> not_by_rule;
  Place composition;
  std::vector<PlacedText> partners;  // ids that claims of kPartner name
};

// Ids of ingredients that other files name.
struct IngredientReference {
  const TextFile* file = nullptr;
  PlacedText id;
};

// What holds for the members of a class or a function that say nothing themselves.
struct MemberRule {
  kb::Basis basis = kb::Basis::kClass;
  std::string holder;  // the class, or the function
  std::string where,
      is;  // only for members whose first claim of the property `where` is this word; "" for all
  kb::Fact fact;
  const TextFile* file = nullptr;
  Place place;
};

struct Draft {
  kb::CatalogueParts parts;
  Names properties, sources, functions;
  std::vector<IngredientPlaces> places;
  std::vector<IngredientReference> references;
  std::vector<MemberRule> rules;  // of classes, then of functions
  Names unread;  // ids of ingredients whose file could not be read: they exist, and nothing more is known

  // nullptr where the property is not known (or its file was not read): then nothing can be checked.
  const kb::Property* FindProperty(std::string_view id) const;
};

// Properties whose words other files use.
inline constexpr std::string_view kClass = "class";
inline constexpr std::string_view kOrigin = "origin";
inline constexpr std::string_view kCharge = "charge";
inline constexpr std::string_view kClaim = "claim";
inline constexpr std::string_view kForms = "suits";         // forms of product
inline constexpr std::string_view kFormsNot = "suits_not";  // forms, leave-on and rinse-off
inline constexpr std::string_view kPartner = "partner";     // its values are ids of ingredients

// A definition file being read: the checks that they share.
struct DefinitionFile {
  const DataFile& data;
  Draft& draft;
  Diagnostics& out;

  // Each word must be one of the ids, of the property's choices.
  void MustBe(const std::vector<PlacedText>& words, const Names& known, std::string_view what) const;
  void MustBeChoices(const std::vector<PlacedText>& words, std::string_view property) const;
  // A source key.
  void MustBeSource(const PlacedText& key) const;
};

// "a-z, 0-9 and hyphens, beginning with a letter or digit" (underscores too for properties).
bool IsId(std::string_view text, bool underscore);

void ReadProperties(const DefinitionFile& file, const toml::table& root);
void ReadSources(const DefinitionFile& file, const toml::table& root);
void ReadClasses(const DefinitionFile& file, const toml::table& root);
void ReadFunctions(const DefinitionFile& file, const toml::table& root);
// Cards of functions, which may also stand in functions.toml as [id.card].
void ReadCards(const DefinitionFile& file, const toml::table& root);
kb::FunctionCard ReadCard(const DefinitionFile& file, const toml::table& table, Place place);
void ReadClaims(const DefinitionFile& file, const toml::table& root);
void ReadLimits(const DefinitionFile& file, const toml::table& root);
void ReadConflicts(const DefinitionFile& file, const toml::table& root);
void ReadPhrases(const DefinitionFile& file, const toml::table& root);
void ReadPlacing(const DefinitionFile& file, const toml::table& root);

// One ingredient's file; adds it and its places to the draft.
void ReadIngredient(const DataFile& file, const toml::table& root, Draft& draft, Diagnostics& out);

// Claims, each checked against its property; adds them to the item, and where they stand to its places. `where` takes
// the condition of each, in the same order; without it a condition is a mistake.
void ReadFacts(const toml::table& values, const TextFile& file, Draft& draft, Diagnostics& out,
               kb::Ingredient& item, IngredientPlaces& places, std::vector<PlacedText>* where = nullptr);
// The claims of a class or a function on its members: rules of the draft.
void ReadMemberRules(const DefinitionFile& file, kb::Basis basis, const std::string& holder,
                     const toml::table& values);

// Adds to each ingredient what follows from its composition and formula, and then what its class and its functions say of
// members without a claim of their own.
void Complete(Draft& draft, Diagnostics& out);

// What only all files together can show: names and CAS numbers held twice, compositions, references.
void CheckCatalogue(Draft& draft, Diagnostics& out);

}  // namespace indexer
