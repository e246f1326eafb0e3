// vocabulary.toml: what people type and what it stands for.
#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>
#include <utility>

#include "indexer/draft.h"
#include "kb/search_filter.h"
#include "kb/text.h"

namespace indexer {
namespace {

// Kinds of questions; each is code of the search, so a new one begins there.
const std::vector<std::string>& Questions() {
  static const std::vector<std::string> kinds = {"what",      "phase",   "heat", "swap",  "compare",
                                                 "level",     "ph",      "hlb",  "melts", "claim",
                                                 "dissolves", "without", "free", "for"};
  return kinds;
}

class PhraseReader {
 public:
  PhraseReader(const DefinitionFile& file, TableReader& reader) : file_(file), reader_(reader) {}

  kb::Phrase Read(const std::string& id) {
    kb::Phrase item;
    item.id = id;
    for (const PlacedText& words : reader_.Texts("words", Need::kMust)) {
      if (kb::Fold(words.text).empty() && words.text.find('#') == std::string::npos)
        reader_.Complain(words.place, fmt::format("'{}' holds no word", words.text));
      item.words.push_back(words.text);
    }
    item.ask = reader_.Choice("ask", Need::kMay, Questions()).text;
    item.filters = Filters("filters");
    item.wants = Filters("wants");
    const std::vector<PlacedText> functions = reader_.Texts("functions", Need::kMay);
    file_.MustBe(functions, file_.draft.functions, "function");
    item.functions = Plain(functions);
    item.look_for = reader_.Text("look_for", Need::kMay).text;
    item.idle = reader_.Flag("idle");
    if (item.ask.empty() && item.filters.empty() && item.wants.empty() && item.functions.empty() &&
        item.look_for.empty() && !item.idle) {
      reader_.Complain(reader_.place(),
                       "this phrase stands for nothing; expected 'ask', 'filters', 'wants', 'functions', "
                       "'look_for' or idle = true");
    }
    return item;
  }

 private:
  std::vector<std::string> Filters(std::string_view key) {
    std::vector<std::string> out;
    for (const PlacedText& text : reader_.Texts(key, Need::kMay)) {
      const auto filter = kb::ParseSearchFilter(text.text);
      if (filter) {
        MustBeKnown(*filter, text.place);
      } else {
        reader_.Complain(text.place, filter.error());
      }
      out.push_back(text.text);
    }
    return out;
  }

  void MustBeKnown(const kb::SearchFilter& filter, Place place) {
    const auto placed = [&] {
      std::vector<PlacedText> words;
      for (const std::string& word : filter.words) words.push_back({word, place});
      return words;
    };
    if (filter.name == "function") return file_.MustBe(placed(), file_.draft.functions, "function");
    if (filter.name == "solubility" || filter.name == "heat" || filter.name == "ph" || filter.name == "level")
      return;
    const bool claim = filter.name == "keep";
    const kb::Property* property = file_.draft.FindProperty(claim ? kClaim : std::string_view(filter.name));
    if (property == nullptr) {
      if (!claim && file_.draft.properties.known)
        reader_.Complain(place, fmt::format("unknown property '{}'{}", filter.name,
                                            Hint(filter.name, file_.draft.properties.ids())));
      return;
    }
    const std::vector<std::string>& known = claim ? property->keys : property->choices;
    for (const std::string& word : filter.words) {
      if (std::find(known.begin(), known.end(), word) == known.end())
        reader_.Complain(place,
                         fmt::format("'{}' is no word of '{}'{}", word, filter.name, Hint(word, known)));
    }
  }

  const DefinitionFile& file_;
  TableReader& reader_;
};

}  // namespace

void ReadPhrases(const DefinitionFile& file, const toml::table& root) {
  std::unordered_map<std::string, std::string> held;
  for (const Entry& entry : InFileOrder(root)) {
    const std::string id(entry.key->str());
    const toml::table* table = entry.value->as_table();
    if (table == nullptr) {
      file.out.Add(file.data.text, PlaceOf(*entry.key),
                   fmt::format("'{}' is {}; expected a table", Printable(id), KindName(*entry.value)));
      continue;
    }
    TableReader reader(*table, file.data.text, PlaceOf(*entry.key), file.out);
    kb::Phrase item = PhraseReader(file, reader).Read(id);
    for (const std::string& words : item.words) {
      const auto [other, fresh] = held.emplace(kb::Fold(words), id);
      if (!fresh && other->second != id && words.find('#') == std::string::npos)
        reader.Complain(reader.PlaceOfValue("words"),
                        fmt::format("'{}' is a phrase of '{}' already", words, other->second));
    }
    reader.Finish();
    file.draft.parts.phrases.push_back(std::move(item));
  }
}

}  // namespace indexer
