#include "indexer/read_catalogue.h"

#include <array>
#include <optional>
#include <utility>

#include "indexer/draft.h"
#include "indexer/read_formulas.h"

namespace indexer {
namespace {

struct Definition {
  const char* name;
  void (*read)(const DefinitionFile&, const toml::table&);
};

// In the order in which they use each other's words.
constexpr std::array<Definition, 10> kDefinitions = {{
    {"properties.toml", ReadProperties},
    {"sources.toml", ReadSources},
    {"functions.toml", ReadFunctions},
    {"cards.toml", ReadCards},
    {"classes.toml", ReadClasses},
    {"claims.toml", ReadClaims},
    {"limits.toml", ReadLimits},
    {"conflicts.toml", ReadConflicts},
    {"placing.toml", ReadPlacing},
    {"vocabulary.toml", ReadPhrases},
}};

}  // namespace

kb::CatalogueParts ReadCatalogue(const DataFolder& folder, Diagnostics& out) {
  Draft draft;
  for (const Definition& definition : kDefinitions) {
    const DataFile* file = folder.Find(definition.name);
    if (file == nullptr || !file->readable) continue;
    if (const auto root = ParseToml(file->text, out)) {
      definition.read(DefinitionFile{*file, draft, out}, *root);
    }
  }
  for (const DataFile* file : folder.Ingredients()) {
    const auto root = file->readable ? ParseToml(file->text, out) : std::nullopt;
    if (root) {
      ReadIngredient(*file, *root, draft, out);
    } else {
      draft.unread.Add(file->stem);
    }
  }
  CheckCatalogue(draft, out);
  Complete(draft, out);
  draft.parts.formulas = Formulas(folder);
  return std::move(draft.parts);
}

}  // namespace indexer
