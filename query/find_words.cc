#include "query/find_words.h"

#include <algorithm>
#include <charconv>
#include <set>

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

Vocabulary::Vocabulary(const kb::Catalogue& catalogue) {
  std::set<std::string> spellings;
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
    for (const std::string& text : phrase.words) {
      Entry entry;
      entry.meaning = meanings_.size();
      std::string spaced = text;
      for (std::size_t at = 0; (at = spaced.find('#', at)) != std::string::npos; ++at) spaced[at] = '0';
      for (const Word& word : SplitQuery(spaced)) {
        entry.words.push_back(word.number ? "#" : Normal(word.text));
        if (!word.number) spellings.insert(word.text);
      }
      if (!entry.words.empty()) by_first_[entry.words.front()].push_back(std::move(entry));
    }
    meanings_.push_back(std::move(meaning));
  }
  for (auto& [first, entries] : by_first_) {
    std::stable_sort(entries.begin(), entries.end(),
                     [](const Entry& a, const Entry& b) { return a.words.size() > b.words.size(); });
  }
  spellings_.assign(spellings.begin(), spellings.end());
}

Vocabulary::Match Vocabulary::Longest(const std::vector<Word>& words, std::size_t first) const {
  const auto found = by_first_.find(Normal(words[first].text));
  if (found == by_first_.end()) return {};
  for (const Entry& entry : found->second) {
    if (entry.words.size() > words.size() - first) continue;
    Match match{&meanings_[entry.meaning], entry.words.size(), {}};
    bool all = true;
    for (std::size_t i = 1; i < entry.words.size() && all; ++i) {
      const Word& word = words[first + i];
      if (entry.words[i] == "#" && word.number) {
        match.number = word.number;
      } else {
        all = entry.words[i] == Normal(word.text);
      }
    }
    if (all) return match;
  }
  return {};
}

}  // namespace query
