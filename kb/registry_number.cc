#include "kb/registry_number.h"

#include <cstddef>

namespace kb {
namespace {

bool IsDigit(char c) {
  return c >= '0' && c <= '9';
}

bool AllDigits(std::string_view text) {
  for (const char c : text) {
    if (!IsDigit(c)) return false;
  }
  return !text.empty();
}

}  // namespace

bool IsCasNumber(std::string_view text) {
  const std::size_t first = text.find('-');
  if (first == std::string_view::npos || first < 2 || first > 7) return false;
  if (text.size() != first + 5 || text[first + 3] != '-') return false;
  const std::string_view head = text.substr(0, first);
  const std::string_view middle = text.substr(first + 1, 2);
  if (!AllDigits(head) || !AllDigits(middle) || !IsDigit(text.back())) return false;
  int sum = (middle[1] - '0') + 2 * (middle[0] - '0');
  int factor = 3;
  for (std::size_t i = head.size(); i-- > 0; ++factor) sum += factor * (head[i] - '0');
  return sum % 10 == text.back() - '0';
}

bool IsEcNumber(std::string_view text) {
  if (text.size() != 9 || text[3] != '-' || text[7] != '-') return false;
  int sum = 0;
  int factor = 1;
  for (std::size_t i = 0; i < 7; ++i) {
    if (i == 3) continue;
    if (!IsDigit(text[i])) return false;
    sum += factor++ * (text[i] - '0');
  }
  return IsDigit(text[8]) && sum % 11 == text[8] - '0';
}

}  // namespace kb
