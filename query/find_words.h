// A query as words, and the vocabulary that gives them a meaning.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "kb/catalogue.h"
#include "kb/search_filter.h"

namespace query {

struct Word {
  std::string text;                // folded
  std::optional<double> number;    // "5", "5.5", "5,5"
  std::size_t begin = 0, end = 0;  // where it stands in the query, bytes
};

// The words of a query. '%', '<' and '>' are words of their own; decimals stay whole; a query longer than kLongestQuery
// is cut at a word.
std::vector<Word> SplitQuery(std::string_view query);

// The slice of the query that words [first, last) cover.
std::string_view Slice(std::string_view query, const std::vector<Word>& words, std::size_t first,
                       std::size_t last);

// data/vocabulary.toml, compiled.
class Vocabulary {
 public:
  explicit Vocabulary(const kb::Catalogue& catalogue);

  struct Meaning {
    const kb::Phrase* phrase = nullptr;
    std::vector<kb::SearchFilter> filters, wants;
    std::vector<kb::FunctionIx> functions;
  };
  struct Match {
    const Meaning* meaning = nullptr;
    std::size_t length = 0;        // words
    std::optional<double> number;  // what stood for '#'
  };
  // The longest phrase that begins with this word; length 0: none.
  Match Longest(const std::vector<Word>& words, std::size_t first) const;

  // Single words that phrases are made of: right spellings.
  const std::vector<std::string>& spellings() const;

 private:
  static constexpr std::uint32_t kNumber = 0;  // stands for '#'
  static constexpr std::uint32_t kUnknown = ~std::uint32_t{0};
  // A phrase as numbers of words, which are those of Normal() in the order in which they came.
  struct Entry {
    std::uint32_t begin = 0, size = 0;  // in sequence_
    std::uint32_t meaning = 0;
  };
  std::uint32_t Known(std::string_view word) const;
  std::uint32_t Number(std::string_view word);
  void Add(const std::string& text, std::uint32_t meaning);
  void Sort();

  std::vector<Meaning> meanings_;
  std::deque<std::string> kept_;  // the words that numbers_ looks at
  std::unordered_map<std::string_view, std::uint32_t> numbers_;
  std::vector<std::uint32_t> sequence_;
  std::vector<Entry> entries_;  // by their first words' numbers; of each the longest first
  std::vector<std::uint32_t>
      first_;  // of a word's number: where its entries begin; they end where the next one's begin
  // Made when somebody asks: only misspelt words do.
  mutable std::once_flag spelt_;
  mutable std::vector<std::string> spellings_;
};

}  // namespace query
