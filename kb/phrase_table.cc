#include "kb/phrase_table.h"

#include <algorithm>
#include <utility>

#include "kb/flat_list.h"
#include "kb/name_table.h"
#include "kb/pack.h"

namespace kb {
namespace {

// Numbers of words in a sequence: that of '#', and of a word that no phrase has.
constexpr std::uint32_t kNumber = 0;
constexpr std::uint32_t kUnknown = ~std::uint32_t{0};

// Words of a phrase and of a query meet in this form: singular, so that plurals do not matter. `room` holds it where it is another.
std::string_view Normal(std::string_view word, std::string& room) {
  constexpr std::size_t kShortest = 4;  // "gas", "bus": what is shorter is no plural worth folding
  if (word.size() < kShortest || word.back() != 's') return word;
  room = Singular(word);
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

struct PhraseTable::Maker {
  FlatWords::Maker words;
  std::vector<std::uint32_t> sequence;
  std::vector<Entry> entries;

  void Add(const std::string& text, std::uint32_t phrase) {
    Entry entry{static_cast<std::uint32_t>(sequence.size()), 0, phrase};
    EachWord(text, [&](std::string_view word, bool number) {
      std::string room;
      sequence.push_back(number ? kNumber : words.Add(Normal(word, room)) + 1);
    });
    entry.size = static_cast<std::uint32_t>(sequence.size()) - entry.begin;
    if (entry.size > 0) entries.push_back(entry);
  }

  void Sort() {
    std::stable_sort(entries.begin(), entries.end(), [&](const Entry& a, const Entry& b) {
      return std::pair(sequence[a.begin], b.size) < std::pair(sequence[b.begin], a.size);
    });
  }

  std::vector<std::uint32_t> First() const {
    std::vector<std::uint32_t> first(words.size() + 2, static_cast<std::uint32_t>(entries.size()));
    for (std::size_t i = entries.size(); i > 0; --i)
      first[sequence[entries[i - 1].begin]] = static_cast<std::uint32_t>(i - 1);
    // A word that begins none begins where the next one does.
    for (std::size_t i = first.size() - 1; i > 0; --i) first[i - 1] = std::min(first[i - 1], first[i]);
    return first;
  }
};

void PhraseTable::Append(std::span<const Phrase> phrases, std::string& out) {
  Maker maker;
  std::string packed;
  std::vector<std::uint32_t> ends;
  for (const Phrase& phrase : phrases) {
    for (const std::string& text : phrase.words) maker.Add(text, static_cast<std::uint32_t>(ends.size()));
    packed += Pack(phrase);
    ends.push_back(static_cast<std::uint32_t>(packed.size()));
  }
  maker.Sort();
  maker.words.AppendTo(out);
  AppendList<std::uint32_t>(out, maker.sequence);
  AppendList<Entry>(out, maker.entries);
  AppendList<std::uint32_t>(out, maker.First());
  AppendList<std::uint32_t>(out, ends);
  AppendList<char>(out, packed);
}

bool PhraseTable::Take(std::string_view& bytes, PhraseTable& out) {
  return FlatWords::Take(bytes, out.words_) && TakeList(bytes, out.sequence_) &&
         TakeList(bytes, out.entries_) && TakeList(bytes, out.first_) && TakeList(bytes, out.phrase_ends_) &&
         TakeList(bytes, out.packed_);
}

Phrase PhraseTable::operator[](std::size_t number) const {
  const std::size_t begin = number == 0 ? 0 : CheckedAt(phrase_ends_, number - 1);
  Phrase phrase;
  if (!Unpack(CheckedText(packed_, begin, CheckedAt(phrase_ends_, number)), phrase)) ThrowDamaged();
  return phrase;
}

std::uint32_t PhraseTable::Known(std::string_view word) const {
  std::string room;
  const auto found = words_.Find(Normal(word, room));
  return found ? *found + 1 : kUnknown;
}

PhraseTable::Match PhraseTable::Longest(const std::vector<Word>& words, std::size_t first) const {
  const std::uint32_t number = Known(words[first].text);
  if (number == kUnknown) return {};
  // The numbers of the words after it, looked up as far as a phrase needs them.
  std::vector<std::uint32_t> typed = {number};
  const std::size_t end = CheckedAt(first_, std::size_t{number} + 1);
  for (std::size_t at = first_[number]; at < end; ++at) {
    const Entry& entry = CheckedAt(entries_, at);
    if (entry.size > words.size() - first) continue;
    Match match{entry.phrase, entry.size, {}};
    bool all = true;
    for (std::size_t i = 1; i < entry.size && all; ++i) {
      const Word& word = words[first + i];
      if (typed.size() == i) typed.push_back(Known(word.text));
      const std::uint32_t wanted = CheckedAt(sequence_, entry.begin + i);
      if (wanted == kNumber && word.number) {
        match.number = word.number;
      } else {
        all = wanted == typed[i];
      }
    }
    if (all && match.phrase >= size()) ThrowDamaged();
    if (all) return match;
  }
  return {};
}

std::vector<std::string> PhraseWords(const Phrase& phrase) {
  std::vector<std::string> out;
  for (const std::string& text : phrase.words) {
    EachWord(text, [&](std::string_view word, bool number) {
      if (!number) out.emplace_back(word);
    });
  }
  return out;
}

}  // namespace kb
