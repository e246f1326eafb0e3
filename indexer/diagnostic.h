// Complaints about data files: where, the line itself with a caret, what was expected, the nearest right
// word.
//
// Nothing here stops at the first: whoever reads goes on and collects, so that all complaints show at once.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace indexer {

// Line and column as editors count them: from 1, columns in characters (code points).
struct Place {
  std::uint32_t line = 1;
  std::uint32_t column = 1;
  friend bool operator<(const Place& a, const Place& b) {
    return a.line != b.line ? a.line < b.line : a.column < b.column;
  }
};

// A data file: the name it is shown by, and its bytes. Keeps its address; diagnostics point to it.
class TextFile {
 public:
  TextFile(std::string shown, std::string bytes);
  TextFile(const TextFile&) = delete;
  TextFile& operator=(const TextFile&) = delete;

  const std::string& name() const { return name_; }
  const std::string& bytes() const { return bytes_; }
  // The line without its end; "" beyond the last one.
  std::string_view Line(std::uint32_t line) const;
  // The place of a byte, both counted from 1, for readers that count bytes.
  Place AtByte(std::uint32_t line, std::size_t byte) const;
  // What stands from `begin` up to `end` on one line; "" where that is no stretch of one line.
  std::string_view Span(Place begin, Place end) const;

 private:
  std::string name_, bytes_;
  std::vector<std::size_t> starts_;  // offset of each line
};

struct Diagnostic {
  const TextFile* file = nullptr;
  Place place;
  std::string message;
};

class Diagnostics {
 public:
  void Add(const TextFile& file, Place place, std::string message);
  void Add(const Diagnostics& others);
  bool empty() const { return list_.empty(); }
  // By file name, then by place.
  std::vector<Diagnostic> Sorted() const;
  // All of them as text, and "stillroom-index: 12 errors in 3 files" at the end; "" where there are none.
  std::string Render() const;

 private:
  std::vector<Diagnostic> list_;
};

// "; did you mean 'humectant'?", else "; expected one of a, b, c" where the list is short, else "".
std::string Hint(std::string_view word, const std::vector<std::string>& known);

// "a, b, c"
std::string Listed(const std::vector<std::string>& words);

// `text` as one harmless line for a terminal: control characters and bytes that are no UTF-8 become '?'.
std::string Printable(std::string_view text);

}  // namespace indexer
