#include "kb/query_words.h"

#include <algorithm>
#include <charconv>
#include <utility>

#include "kb/text.h"

namespace kb {
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
      std::string text = Fold(query.substr(at, end - at));
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

}  // namespace kb
