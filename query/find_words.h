// A query as words, and the vocabulary that gives them a meaning.
#pragma once

#include <cstddef>
#include <cstdint>
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
  const std::vector<std::string>& spellings() const { return spellings_; }

 private:
  static constexpr std::uint32_t kNumber = 0;  // stands for '#'
  static constexpr std::uint32_t kUnknown = ~std::uint32_t{0};
  // A phrase as numbers of words, which are those of Normal() in the order in which they came.
  struct Entry {
    std::uint32_t begin = 0, size = 0;  // in sequence_
    std::uint32_t meaning = 0;
  };
  std::uint32_t Known(const std::string& normal) const;
  std::uint32_t Number(std::string normal);
  void Add(const std::string& text, std::uint32_t meaning);

  std::vector<Meaning> meanings_;
  std::unordered_map<std::string, std::uint32_t> numbers_;
  std::vector<std::uint32_t> sequence_;
  std::vector<std::vector<Entry>> by_first_;  // by the first word's number; longest first
  std::vector<std::string> spellings_;
  std::vector<bool> spelt_;  // by a word's number: is it among them as it is?
};

}  // namespace query
