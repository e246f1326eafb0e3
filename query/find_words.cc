#include "query/find_words.h"

#include <algorithm>
#include <charconv>
#include <utility>

#include "kb/text.h"
#include "query/find.h"

namespace query {
namespace {

bool IsDigit(char c) {
  return c >= '0' && c <= '9';
}
bool IsWordByte(char c) {
  return IsDigit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '\'' || c == '+' ||
         static_cast<unsigned char>(c) >= 0x80;
}

// Length of a number at `at` that is a word of its own: not the beginning of "200x" or of a CAS number. 0: none.
std::size_t NumberLength(std::string_view query, std::size_t at) {
  std::size_t end = at;
  while (end < query.size() && IsDigit(query[end])) ++end;
  if (end == at) return 0;
  if (end + 1 < query.size() && (query[end] == '.' || query[end] == ',') && IsDigit(query[end + 1])) {
    ++end;
    while (end < query.size() && IsDigit(query[end])) ++end;
  }
  return end < query.size() && IsWordByte(query[end]) ? 0 : end - at;
}

// Words of a phrase and of a query meet in this form: singular, so that plurals do not matter.
std::string Normal(const std::string& word) {
  constexpr std::size_t kShortest = 4;  // "gas", "bus": what is shorter is no plural worth folding
  return word.size() < kShortest ? word : kb::Singular(word);
}

}  // namespace

std::vector<Word> SplitQuery(std::string_view query) {
  std::vector<Word> words;
  std::size_t at = 0;
  while (at < query.size() && at < kLongestQuery) {
    const char c = query[at];
    if (c == '%' || c == '<' || c == '>') {
      words.push_back({std::string(1, c), {}, at, at + 1});
      ++at;
    } else if (const std::size_t length = NumberLength(query, at); length > 0) {
      std::string text(query.substr(at, length));
      std::replace(text.begin(), text.end(), ',', '.');
      double number = 0;
      std::from_chars(text.data(), text.data() + text.size(), number);
      words.push_back({std::move(text), number, at, at + length});
      at += length;
    } else if (IsWordByte(c)) {
      std::size_t end = at;
      while (end < query.size() && IsWordByte(query[end])) ++end;
      std::string text = kb::Fold(query.substr(at, end - at));
      if (!text.empty()) words.push_back({std::move(text), {}, at, end});
      at = end;
    } else {
      ++at;
    }
  }
  return words;
}

std::string_view Slice(std::string_view query, const std::vector<Word>& words, std::size_t first,
                       std::size_t last) {
  return query.substr(words[first].begin, words[last - 1].end - words[first].begin);
}

std::uint32_t Vocabulary::Known(const std::string& normal) const {
  const auto found = numbers_.find(normal);
  return found == numbers_.end() ? kUnknown : found->second;
}

std::uint32_t Vocabulary::Number(std::string normal) {
  return numbers_.emplace(std::move(normal), static_cast<std::uint32_t>(numbers_.size() + 1)).first->second;
}

void Vocabulary::Add(const std::string& text, std::uint32_t meaning) {
  Entry entry{static_cast<std::uint32_t>(sequence_.size()), 0, meaning};
  const auto put = [&](std::string word) {
    std::string normal = Normal(word);
    const bool plain = normal == word;
    const std::uint32_t number = Number(std::move(normal));
    sequence_.push_back(number);
    if (spelt_.size() <= number) spelt_.resize(number + 1);
    // Of thousands of words most have come before.
    if (plain && spelt_[number]) return;
    if (plain) spelt_[number] = true;
    spellings_.push_back(std::move(word));
  };
  if (std::all_of(text.begin(), text.end(), [](char c) { return c == ' ' || (c >= 'a' && c <= 'z'); })) {
    // Most are plain words: nothing to fold.
    for (std::string& word : kb::SplitTrimmed(text, ' ')) {
      if (!word.empty()) put(std::move(word));
    }
  } else {
    std::string spaced = text;
    std::replace(spaced.begin(), spaced.end(), '#', '0');
    for (Word& word : SplitQuery(spaced)) {
      if (word.number) {
        sequence_.push_back(kNumber);
      } else {
        put(std::move(word.text));
      }
    }
  }
  entry.size = static_cast<std::uint32_t>(sequence_.size()) - entry.begin;
  if (entry.size == 0) return;
  const std::uint32_t first = sequence_[entry.begin];
  if (by_first_.size() <= first) by_first_.resize(first + 1);
  by_first_[first].push_back(entry);
}

Vocabulary::Vocabulary(const kb::Catalogue& catalogue) {
  for (const kb::Phrase& phrase : catalogue.phrases()) {
    Meaning meaning;
    meaning.phrase = &phrase;
    // The indexer has checked them; what does not read is left out.
    for (const std::string& text : phrase.filters) {
      if (auto filter = kb::ParseSearchFilter(text)) meaning.filters.push_back(std::move(*filter));
    }
    for (const std::string& text : phrase.wants) {
      if (auto filter = kb::ParseSearchFilter(text)) meaning.wants.push_back(std::move(*filter));
    }
    for (const std::string& id : phrase.functions) {
      if (const auto function = catalogue.FindFunction(id)) meaning.functions.push_back(*function);
    }
    for (const std::string& text : phrase.words) Add(text, static_cast<std::uint32_t>(meanings_.size()));
    meanings_.push_back(std::move(meaning));
  }
  for (std::vector<Entry>& entries : by_first_) {
    std::stable_sort(entries.begin(), entries.end(),
                     [](const Entry& a, const Entry& b) { return a.size > b.size; });
  }
  std::sort(spellings_.begin(), spellings_.end());
  spellings_.erase(std::unique(spellings_.begin(), spellings_.end()), spellings_.end());
}

Vocabulary::Match Vocabulary::Longest(const std::vector<Word>& words, std::size_t first) const {
  const std::uint32_t number = Known(Normal(words[first].text));
  if (number >= by_first_.size()) return {};
  // The numbers of the words after it, looked up as far as a phrase needs them.
  std::vector<std::uint32_t> typed = {number};
  for (const Entry& entry : by_first_[number]) {
    if (entry.size > words.size() - first) continue;
    Match match{&meanings_[entry.meaning], entry.size, {}};
    bool all = true;
    for (std::size_t i = 1; i < entry.size && all; ++i) {
      const Word& word = words[first + i];
      if (typed.size() == i) typed.push_back(Known(Normal(word.text)));
      const std::uint32_t wanted = sequence_[entry.begin + i];
      if (wanted == kNumber && word.number) {
        match.number = word.number;
      } else {
        all = wanted == typed[i];
      }
    }
    if (all) return match;
  }
  return {};
}

}  // namespace query
