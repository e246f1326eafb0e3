#include "query/find_words.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace query {

Vocabulary::Vocabulary(const kb::Catalogue& catalogue)
    : catalogue_(catalogue),
      meanings_(std::make_unique<kb::MadeOnce<Meaning>[]>(catalogue.phrases().size())) {}

Vocabulary::Meaning Vocabulary::Read(std::size_t phrase) const {
  Meaning meaning;
  meaning.phrase = catalogue_.phrases()[phrase];
  // The indexer has checked them; what does not read is left out.
  for (const std::string& text : meaning.phrase.filters) {
    if (auto filter = kb::ParseSearchFilter(text)) meaning.filters.push_back(std::move(*filter));
  }
  for (const std::string& text : meaning.phrase.wants) {
    if (auto filter = kb::ParseSearchFilter(text)) meaning.wants.push_back(std::move(*filter));
  }
  for (const std::string& id : meaning.phrase.functions) {
    if (const auto function = catalogue_.FindFunction(id)) meaning.functions.push_back(*function);
  }
  return meaning;
}

Vocabulary::Match Vocabulary::Longest(const std::vector<Word>& words, std::size_t first) const {
  const kb::PhraseTable::Match match = catalogue_.phrases().Longest(words, first);
  if (match.length == 0) return {};
  const Meaning& meaning = meanings_[match.phrase].Get([&] { return Read(match.phrase); });
  return {&meaning, match.length, match.number};
}

const std::vector<std::string>& Vocabulary::spellings() const {
  return spellings_.Get([&] {
    std::vector<std::string> all;
    for (std::size_t i = 0; i < catalogue_.phrases().size(); ++i) {
      std::vector<std::string> words = kb::PhraseWords(catalogue_.phrases()[i]);
      all.insert(all.end(), std::make_move_iterator(words.begin()), std::make_move_iterator(words.end()));
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
  });
}

}  // namespace query
