#include "indexer/read_catalogue.h"

#include <array>
#include <future>
#include <optional>
#include <span>
#include <utility>
#include <vector>

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

struct Parsed {
  std::vector<std::optional<toml::table>> roots;
  Diagnostics complaints;
};

Parsed ParseAll(std::span<const DataFile* const> files) {
  Parsed out;
  out.roots.reserve(files.size());
  for (const DataFile* file : files)
    out.roots.push_back(file->readable ? ParseToml(file->text, out.complaints) : std::nullopt);
  return out;
}

void ReadIngredients(std::span<const DataFile* const> files, const Parsed& parsed, Draft& draft,
                     Diagnostics& out) {
  out.Add(parsed.complaints);
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (parsed.roots[i]) {
      ReadIngredient(*files[i], *parsed.roots[i], draft, out);
    } else {
      draft.unread.Add(files[i]->stem);
    }
  }
}

}  // namespace

kb::CatalogueParts ReadCatalogue(const DataFolder& folder, Diagnostics& out) {
  // Parsing takes longer than reading what was parsed, and each file stands for itself: most are parsed by a second thread, while
  // this one reads the definitions and the others.
  const std::vector<const DataFile*> files = folder.Ingredients();
  const std::span<const DataFile* const> first(files.data(), files.size() * 2 / 5);
  const std::span<const DataFile* const> second = std::span(files).subspan(first.size());
  std::future<Parsed> parsed = std::async(std::launch::async, ParseAll, second);
  Draft draft;
  for (const Definition& definition : kDefinitions) {
    const DataFile* file = folder.Find(definition.name);
    if (file == nullptr || !file->readable) continue;
    if (const auto root = ParseToml(file->text, out)) {
      definition.read(DefinitionFile{*file, draft, out}, *root);
    }
  }
  ReadIngredients(first, ParseAll(first), draft, out);
  ReadIngredients(second, parsed.get(), draft, out);
  CheckCatalogue(draft, out);
  Complete(draft, out);
  draft.parts.formulas = Formulas(folder);
  return std::move(draft.parts);
}

}  // namespace indexer
