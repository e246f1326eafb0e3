// A query, or a phrase of data/vocabulary.toml, as words.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace kb {

inline constexpr std::size_t kLongestQuery = 400;  // bytes; what is beyond is not read

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

}  // namespace kb
