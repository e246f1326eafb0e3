// The phrases of data/vocabulary.toml, found by the words of a query; laid out so that a base holds them ready.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "kb/definitions.h"
#include "kb/flat_words.h"
#include "kb/query_words.h"

namespace kb {

class PhraseTable {
 public:
  PhraseTable() = default;
  static void Append(std::span<const Phrase> phrases, std::string& out);
  // The one that comes next, which keeps views of the bytes; false where the bytes are none.
  static bool Take(std::string_view& bytes, PhraseTable& out);

  struct Match {
    std::uint32_t phrase = 0;      // its number
    std::size_t length = 0;        // words; 0: none
    std::optional<double> number;  // what stood for '#'
  };
  // The longest phrase that begins with this word; plurals do not matter. Throws StoreError where the base is damaged, and so does
  // operator[].
  Match Longest(const std::vector<Word>& words, std::size_t first) const;

  std::size_t size() const { return phrase_ends_.size(); }
  // Unpacked anew each time.
  Phrase operator[](std::size_t number) const;

 private:
  // One way to put a phrase, as numbers of words.
  struct Entry {
    std::uint32_t begin = 0, size = 0;  // in sequence_
    std::uint32_t phrase = 0;
  };
  struct Maker;
  std::uint32_t Known(std::string_view word) const;

  FlatWords words_;
  std::span<const std::uint32_t> sequence_;
  std::span<const Entry> entries_;  // by their first words' numbers; of each the longest first
  // Of a word's number: where its entries begin; they end where the next one's begin.
  std::span<const std::uint32_t> first_;
  std::span<const std::uint32_t> phrase_ends_;
  std::span<const char> packed_;
};

// Single words that a phrase is made of.
std::vector<std::string> PhraseWords(const Phrase& phrase);

}  // namespace kb
