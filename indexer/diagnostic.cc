#include "indexer/diagnostic.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <set>
#include <tuple>
#include <utility>

#include "kb/text.h"

namespace indexer {
namespace {

constexpr std::size_t kShownBefore = 100;  // characters of a long line shown left of the caret ...
constexpr std::size_t kShownAfter = 100;   // ... and right of it
constexpr std::size_t kShortList = 16;     // a list of choices up to this long is shown whole

bool Continues(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// Byte offset of a column of a line, at most the line's length.
std::size_t Offset(std::string_view line, std::uint32_t column) {
  std::size_t at = 0;
  for (std::uint32_t i = 1; i < column && at < line.size(); ++i) {
    ++at;
    while (at < line.size() && Continues(line[at])) ++at;
  }
  return at;
}

// The line and a caret under the column. Tabs stay tabs in both, so that the caret stands right.
std::string Pointed(std::string_view line, std::uint32_t column) {
  const std::size_t at = Offset(line, column);
  std::size_t from = at > kShownBefore ? at - kShownBefore : 0;
  while (from > 0 && Continues(line[from])) --from;
  std::size_t to = std::min(line.size(), at + kShownAfter);
  while (to < line.size() && Continues(line[to])) ++to;
  const std::string before = (from > 0 ? "... " : "") + Printable(line.substr(from, at - from));
  const std::string after = Printable(line.substr(at, to - at)) + (to < line.size() ? " ..." : "");
  std::string blank;
  for (const char c : before) {
    if (!Continues(c)) blank += c == '\t' ? '\t' : ' ';
  }
  return fmt::format("  {}{}\n  {}^\n", before, after, blank);
}

}  // namespace

TextFile::TextFile(std::string shown, std::string bytes) : name_(std::move(shown)), bytes_(std::move(bytes)) {
  starts_.push_back(0);
  for (std::size_t i = 0; i < bytes_.size(); ++i) {
    if (bytes_[i] == '\n') starts_.push_back(i + 1);
  }
}

std::string_view TextFile::Line(std::uint32_t line) const {
  if (line == 0 || line > starts_.size()) return {};
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  const std::size_t begin = starts_[line - 1];
  const std::size_t end = line < starts_.size() ? starts_[line] - 1 : bytes_.size();
  std::string_view text = std::string_view(bytes_).substr(begin, end - begin);
  if (line == 1 && text.substr(0, 3) == kByteOrderMark) text.remove_prefix(3);
  if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
  return text;
}

Place TextFile::AtByte(std::uint32_t line, std::size_t byte) const {
  const std::string_view before = Line(line).substr(0, byte == 0 ? 0 : byte - 1);
  const auto letters = std::count_if(before.begin(), before.end(), [](char c) { return !Continues(c); });
  return {line, static_cast<std::uint32_t>(letters + 1)};
}

std::string_view TextFile::Span(Place begin, Place end) const {
  if (begin.line != end.line || end.column <= begin.column) return {};
  const std::string_view line = Line(begin.line);
  const std::size_t from = Offset(line, begin.column);
  return line.substr(from, Offset(line, end.column) - from);
}

void Diagnostics::Add(const TextFile& file, Place place, std::string message) {
  list_.push_back({&file, place, std::move(message)});
}

void Diagnostics::Add(const Diagnostics& others) {
  list_.insert(list_.end(), others.list_.begin(), others.list_.end());
}

std::vector<Diagnostic> Diagnostics::Sorted() const {
  std::vector<Diagnostic> sorted = list_;
  std::stable_sort(sorted.begin(), sorted.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::tie(a.file->name(), a.place) < std::tie(b.file->name(), b.place);
  });
  return sorted;
}

std::string Diagnostics::Render() const {
  if (list_.empty()) return {};
  std::string out;
  std::set<std::string_view> files;
  for (const Diagnostic& item : Sorted()) {
    files.insert(item.file->name());
    fmt::format_to(std::back_inserter(out), "{}:{}:{}: error: {}\n", item.file->name(), item.place.line,
                   item.place.column, item.message);
    out += Pointed(item.file->Line(item.place.line), item.place.column);
  }
  fmt::format_to(std::back_inserter(out), "stillroom-index: {} error{} in {} file{}", list_.size(),
                 list_.size() == 1 ? "" : "s", files.size(), files.size() == 1 ? "" : "s");
  return out;
}

std::string Listed(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string Hint(std::string_view word, const std::vector<std::string>& known) {
  const std::vector<std::string> near = kb::Nearest(word, known, 1);
  if (!near.empty()) return fmt::format("; did you mean '{}'?", near.front());
  if (known.empty() || known.size() > kShortList) return {};
  return "; expected one of " + Listed(known);
}

std::string Printable(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    std::size_t length = 1;
    while (length < text.size() && length < 4 && Continues(text[length])) ++length;
    const std::string_view letter = text.substr(0, length);
    const auto first = static_cast<unsigned char>(letter.front());
    const bool control = (first < 0x20 && first != '\t') || first == 0x7F;
    // U+0080 to U+009F are control characters too.
    const bool high_control =
        letter.size() == 2 && first == 0xC2 && static_cast<unsigned char>(letter[1]) < 0xA0;
    if (control || high_control || !kb::IsUtf8(letter)) {
      out += '?';
    } else {
      out += letter;
    }
    text.remove_prefix(length);
  }
  return out;
}

}  // namespace indexer
