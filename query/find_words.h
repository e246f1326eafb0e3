// A query as words, and the vocabulary that gives them a meaning.
#pragma once

#include <cstddef>
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
  struct Entry {
    std::vector<std::string> words;  // as Normal() leaves them; "#" a number
    std::size_t meaning = 0;
  };
  std::vector<Meaning> meanings_;
  std::unordered_map<std::string, std::vector<Entry>> by_first_;  // longest first
  std::vector<std::string> spellings_;
};

}  // namespace query
