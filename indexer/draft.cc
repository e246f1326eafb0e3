#include "indexer/draft.h"

#include <fmt/format.h>

#include <algorithm>

namespace indexer {

void Names::Add(const std::string& id) {
  if (index_.emplace(id, ids_.size()).second) ids_.push_back(id);
}

std::optional<std::size_t> Names::Find(std::string_view id) const {
  const auto found = index_.find(std::string(id));
  if (found == index_.end()) return std::nullopt;
  return found->second;
}

const kb::Property* Draft::FindProperty(std::string_view id) const {
  const auto ix = properties.Find(id);
  return ix ? &parts.properties[*ix] : nullptr;
}

bool IsId(std::string_view text, bool underscore) {
  const auto plain = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); };
  return !text.empty() && plain(text.front()) && std::all_of(text.begin(), text.end(), [&](char c) {
    return plain(c) || c == (underscore ? '_' : '-');
  });
}

void DefinitionFile::MustBe(const std::vector<PlacedText>& words, const Names& known,
                            std::string_view what) const {
  if (!known.known) return;
  for (const PlacedText& word : words) {
    if (!known.Find(word.text)) {
      out.Add(data.text, word.place,
              fmt::format("unknown {} '{}'{}", what, word.text, Hint(word.text, known.ids())));
    }
  }
}

void DefinitionFile::MustBeChoices(const std::vector<PlacedText>& words, std::string_view property) const {
  const kb::Property* known = draft.FindProperty(property);
  if (known == nullptr) return;
  for (const PlacedText& word : words) {
    if (std::find(known->choices.begin(), known->choices.end(), word.text) == known->choices.end()) {
      out.Add(
          data.text, word.place,
          fmt::format("'{}' is no choice of '{}'{}", word.text, property, Hint(word.text, known->choices)));
    }
  }
}

void DefinitionFile::MustBeSource(const PlacedText& key) const {
  if (key.text.empty() || !draft.sources.known || draft.sources.Find(key.text)) return;
  out.Add(data.text, key.place,
          fmt::format("source '{}' is not in sources.toml{}", key.text, Hint(key.text, draft.sources.ids())));
}

}  // namespace indexer
