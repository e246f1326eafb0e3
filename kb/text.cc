#include "kb/text.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <utility>

#include "kb/edit_distance.h"

namespace kb {
namespace {

struct CodePoint {
  std::uint32_t value = 0;
  std::size_t bytes = 0;  // 0: not well-formed
};

CodePoint Decode(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  if (first < 0x80) return {first, 1};
  std::size_t length = 0;
  std::uint32_t value = 0;
  std::uint32_t least = 0;
  if (first >= 0xC2 && first <= 0xDF) {
    length = 2, value = first & 0x1FU, least = 0x80;
  } else if (first >= 0xE0 && first <= 0xEF) {
    length = 3, value = first & 0x0FU, least = 0x800;
  } else if (first >= 0xF0 && first <= 0xF4) {
    length = 4, value = first & 0x07U, least = 0x10000;
  } else {
    return {};
  }
  if (text.size() < length) return {};
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) return {};
    value = (value << 6U) | (byte(i) & 0x3FU);
  }
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < least || value > 0x10FFFF || surrogate) return {};
  return {value, length};
}

// Base letters of the Latin-1 and Latin Extended-A letters that occur in label names; "" separates.
std::string_view BaseLetters(std::uint32_t c) {
  struct Span {
    std::uint32_t first, last;
    std::string_view base;
  };
  static constexpr std::array<Span, 36> kSpans = {{
      {0xC0, 0xC5, "a"},   {0xC6, 0xC6, "ae"},  {0xC7, 0xC7, "c"},   {0xC8, 0xCB, "e"},
      {0xCC, 0xCF, "i"},   {0xD1, 0xD1, "n"},   {0xD2, 0xD6, "o"},   {0xD8, 0xD8, "o"},
      {0xD9, 0xDC, "u"},   {0xDD, 0xDD, "y"},   {0xDF, 0xDF, "ss"},  {0xE0, 0xE5, "a"},
      {0xE6, 0xE6, "ae"},  {0xE7, 0xE7, "c"},   {0xE8, 0xEB, "e"},   {0xEC, 0xEF, "i"},
      {0xF1, 0xF1, "n"},   {0xF2, 0xF6, "o"},   {0xF8, 0xF8, "o"},   {0xF9, 0xFC, "u"},
      {0xFD, 0xFD, "y"},   {0xFF, 0xFF, "y"},   {0x100, 0x105, "a"}, {0x106, 0x10D, "c"},
      {0x10E, 0x111, "d"}, {0x112, 0x11B, "e"}, {0x11C, 0x123, "g"}, {0x128, 0x131, "i"},
      {0x139, 0x142, "l"}, {0x143, 0x148, "n"}, {0x14C, 0x151, "o"}, {0x152, 0x153, "oe"},
      {0x154, 0x159, "r"}, {0x15A, 0x161, "s"}, {0x168, 0x173, "u"}, {0x179, 0x17E, "z"},
  }};
  for (const Span& span : kSpans) {
    if (c >= span.first && c <= span.last) return span.base;
  }
  if (c == 0x3B1) return "alpha";
  if (c == 0x3B2) return "beta";
  if (c == 0x3B3) return "gamma";
  return "";
}

// What becomes of a letter of ASCII: itself in lower case, or one of two marks.
constexpr char kGap = 1;   // separates words
constexpr char kDrop = 2;  // shepherd's purse is one word less a mark, not two words
constexpr std::array<char, 128> kFolded = [] {
  std::array<char, 128> out{};
  for (std::size_t i = 0; i < out.size(); ++i) {
    const char c = static_cast<char>(i);
    const bool kept = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '%' || c == '+';
    out[i] = kept ? c : c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c == '\'' ? kDrop : kGap;
  }
  return out;
}();

std::string FoldWith(std::string_view text, std::string_view separator) {
  std::string out;
  out.reserve(text.size());
  bool gap = false;
  const auto separate = [&] {
    if (gap && !out.empty()) out += separator;
    gap = false;
  };
  while (!text.empty()) {
    const auto byte = static_cast<unsigned char>(text.front());
    if (byte < kFolded.size()) {
      const char c = kFolded[byte];
      text.remove_prefix(1);
      if (c == kGap) {
        gap = true;
      } else if (c != kDrop) {
        separate();
        out += c;
      }
      continue;
    }
    const CodePoint point = Decode(text);
    if (point.bytes == 0) {
      gap = true;
      text.remove_prefix(1);
      continue;
    }
    const std::string_view base = BaseLetters(point.value);
    if (base.empty()) {
      gap = gap || point.value != 0x2019;
    } else {
      separate();
      out += base;
    }
    text.remove_prefix(point.bytes);
  }
  return out;
}

}  // namespace

std::string Fold(std::string_view text) {
  return FoldWith(text, " ");
}

std::string FoldTight(std::string_view text) {
  return FoldWith(text, "");
}

std::size_t EditDistance(std::string_view a, std::string_view b, std::size_t limit) {
  return EditPattern(a).Distance(b, limit);
}

std::size_t SlipsAllowed(std::size_t length) {
  if (length <= 3) return 0;
  if (length <= 5) return 1;
  return length <= 9 ? 2 : 3;
}

std::vector<std::string> Nearest(std::string_view word, const std::vector<std::string>& known,
                                 std::size_t most) {
  const std::string wanted = FoldTight(word);
  const std::size_t limit = SlipsAllowed(wanted.size());
  const EditPattern pattern(wanted);
  std::vector<std::pair<std::size_t, std::string>> found;
  for (const std::string& name : known) {
    const std::size_t distance = pattern.Distance(FoldTight(name), limit);
    if (distance <= limit) found.emplace_back(distance, name);
  }
  std::sort(found.begin(), found.end());
  std::vector<std::string> out;
  for (auto& [distance, name] : found) {
    if (out.size() == most) break;
    if (std::find(out.begin(), out.end(), name) == out.end()) out.push_back(std::move(name));
  }
  return out;
}

std::string_view Trim(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\n\v\f";
  const std::size_t first = text.find_first_not_of(kBlank);
  if (first == std::string_view::npos) return "";
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

std::vector<std::string> SplitTrimmed(std::string_view text, char separator) {
  std::vector<std::string> out;
  for (;;) {
    const std::size_t end = text.find(separator);
    out.emplace_back(Trim(text.substr(0, end)));
    if (end == std::string_view::npos) return out;
    text.remove_prefix(end + 1);
  }
}

bool IsUtf8(std::string_view text) {
  while (!text.empty()) {
    const CodePoint point = Decode(text);
    if (point.bytes == 0) return false;
    text.remove_prefix(point.bytes);
  }
  return true;
}

}  // namespace kb
