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

// Words of a phrase and of a query meet in this form: singular, so that plurals do not matter. `room` holds it where it is another.
std::string_view Normal(std::string_view word, std::string& room) {
  constexpr std::size_t kShortest = 4;  // "gas", "bus": what is shorter is no plural worth folding
  if (word.size() < kShortest || word.back() != 's') return word;
  room = kb::Singular(word);
  return room;
}

// Calls `take` with each word of a phrase, and whether it stands for a number.
template <class Take>
void EachWord(const std::string& text, const Take& take) {
  if (std::all_of(text.begin(), text.end(), [](char c) { return c == ' ' || (c >= 'a' && c <= 'z'); })) {
    // Most are plain words: nothing to fold.
    for (std::string_view rest = text; !rest.empty();) {
      const std::size_t end = std::min(rest.find(' '), rest.size());
      if (end > 0) take(rest.substr(0, end), false);
      rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return;
  }
  std::string spaced = text;
  std::replace(spaced.begin(), spaced.end(), '#', '0');
  for (const Word& word : SplitQuery(spaced)) take(std::string_view(word.text), word.number.has_value());
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

std::uint32_t Vocabulary::Known(std::string_view word) const {
  std::string room;
  const auto found = numbers_.find(Normal(word, room));
  return found == numbers_.end() ? kUnknown : found->second;
}

std::uint32_t Vocabulary::Number(std::string_view word) {
  std::string room;
  const std::string_view normal = Normal(word, room);
  if (const auto found = numbers_.find(normal); found != numbers_.end()) return found->second;
  kept_.emplace_back(normal);
  return numbers_.emplace(kept_.back(), static_cast<std::uint32_t>(numbers_.size() + 1)).first->second;
}

void Vocabulary::Add(const std::string& text, std::uint32_t meaning) {
  Entry entry{static_cast<std::uint32_t>(sequence_.size()), 0, meaning};
  EachWord(text,
           [&](std::string_view word, bool number) { sequence_.push_back(number ? kNumber : Number(word)); });
  entry.size = static_cast<std::uint32_t>(sequence_.size()) - entry.begin;
  if (entry.size > 0) entries_.push_back(entry);
}

void Vocabulary::Sort() {
  std::stable_sort(entries_.begin(), entries_.end(), [&](const Entry& a, const Entry& b) {
    return std::pair(sequence_[a.begin], b.size) < std::pair(sequence_[b.begin], a.size);
  });
  first_.assign(numbers_.size() + 2, static_cast<std::uint32_t>(entries_.size()));
  for (std::size_t i = entries_.size(); i > 0; --i)
    first_[sequence_[entries_[i - 1].begin]] = static_cast<std::uint32_t>(i - 1);
  // A word that begins none begins where the next one does.
  for (std::size_t i = first_.size() - 1; i > 0; --i) first_[i - 1] = std::min(first_[i - 1], first_[i]);
}

const std::vector<std::string>& Vocabulary::spellings() const {
  std::call_once(spelt_, [&] {
    for (const Meaning& meaning : meanings_) {
      for (const std::string& text : meaning.phrase->words) {
        EachWord(text, [&](std::string_view word, bool number) {
          if (!number) spellings_.emplace_back(word);
        });
      }
    }
    std::sort(spellings_.begin(), spellings_.end());
    spellings_.erase(std::unique(spellings_.begin(), spellings_.end()), spellings_.end());
  });
  return spellings_;
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
  Sort();
}

Vocabulary::Match Vocabulary::Longest(const std::vector<Word>& words, std::size_t first) const {
  const std::uint32_t number = Known(words[first].text);
  if (number == kUnknown) return {};
  // The numbers of the words after it, looked up as far as a phrase needs them.
  std::vector<std::uint32_t> typed = {number};
  for (std::uint32_t at = first_[number]; at < first_[number + 1]; ++at) {
    const Entry& entry = entries_[at];
    if (entry.size > words.size() - first) continue;
    Match match{&meanings_[entry.meaning], entry.size, {}};
    bool all = true;
    for (std::size_t i = 1; i < entry.size && all; ++i) {
      const Word& word = words[first + i];
      if (typed.size() == i) typed.push_back(Known(word.text));
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
