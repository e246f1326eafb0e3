// cards.toml: what a maker wants to know of a function.
#include <fmt/format.h>

#include <utility>

#include "indexer/draft.h"

namespace indexer {

kb::FunctionCard ReadCard(const DefinitionFile& file, const toml::table& table, Place place) {
  TableReader reader(table, file.data.text, place, file.out);
  kb::FunctionCard card;
  card.what = reader.Text("what", Need::kMust).text;
  card.choose = reader.Text("choose", Need::kMay).text;
  card.levels = reader.Text("levels", Need::kMay).text;
  card.wrong = reader.Text("wrong", Need::kMay).text;
  const std::vector<PlacedText> sources = reader.Texts("src", Need::kMust);
  for (const PlacedText& key : sources) file.MustBeSource(key);
  card.sources = Plain(sources);
  reader.Finish();
  return card;
}

void ReadCards(const DefinitionFile& file, const toml::table& root) {
  for (const Entry& entry : InFileOrder(root)) {
    const std::string id(entry.key->str());
    const Place place = PlaceOf(*entry.key);
    const toml::table* table = entry.value->as_table();
    if (table == nullptr) {
      file.out.Add(file.data.text, place,
                   fmt::format("'{}' is {}; expected a table named by a function", Printable(id),
                               KindName(*entry.value)));
      continue;
    }
    file.MustBe({{id, place}}, file.draft.functions, "function");
    kb::FunctionCard card = ReadCard(file, *table, place);
    const auto index = file.draft.functions.Find(id);
    if (index) file.draft.parts.functions[*index].card = std::move(card);
  }
}

}  // namespace indexer
