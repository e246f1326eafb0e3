// The vocabulary that gives the words of a query a meaning.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "kb/catalogue.h"
#include "kb/made_once.h"
#include "kb/query_words.h"
#include "kb/search_filter.h"

namespace query {

using kb::Slice;
using kb::SplitQuery;
using kb::Word;

// data/vocabulary.toml; what a phrase means is worked out when it is first met.
class Vocabulary {
 public:
  explicit Vocabulary(const kb::Catalogue& catalogue);  // which must outlive it

  struct Meaning {
    kb::Phrase phrase;
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

  // Single words that phrases are made of: right spellings, in order.
  const std::vector<std::string>& spellings() const;

 private:
  Meaning Read(std::size_t phrase) const;

  const kb::Catalogue& catalogue_;
  std::unique_ptr<kb::MadeOnce<Meaning>[]> meanings_;
  kb::MadeOnce<std::vector<std::string>> spellings_;
};

}  // namespace query
