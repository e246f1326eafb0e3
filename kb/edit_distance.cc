#include "kb/edit_distance.h"

#include <algorithm>
#include <utility>
#include <vector>

namespace kb {
namespace {

constexpr std::size_t kBits = 64;

// Row by row, for what is longer than a machine word.
std::size_t ByRows(std::string_view a, std::string_view b, std::size_t limit) {
  const std::size_t n = b.size() + 1;
  std::vector<std::size_t> before(n), previous(n), current(n);
  for (std::size_t j = 0; j < n; ++j) previous[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    current[0] = i;
    std::size_t least = i;
    for (std::size_t j = 1; j < n; ++j) {
      const std::size_t replace = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U);
      current[j] = std::min({previous[j] + 1, current[j - 1] + 1, replace});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        current[j] = std::min(current[j], before[j - 2] + 1);
      }
      least = std::min(least, current[j]);
    }
    if (least > limit) return limit + 1;
    std::swap(before, previous);
    std::swap(previous, current);
  }
  return std::min(previous[n - 1], limit + 1);
}

}  // namespace

EditPattern::EditPattern(std::string_view pattern) : pattern_(pattern) {
  for (std::size_t i = 0; i < std::min(pattern.size(), kBits); ++i)
    places_[static_cast<unsigned char>(pattern[i])] |= std::uint64_t{1} << i;
}

std::size_t EditPattern::Distance(std::string_view text, std::size_t limit) const {
  const std::size_t m = pattern_.size();
  if (std::max(m, text.size()) - std::min(m, text.size()) > limit) return limit + 1;
  if (m == 0) return text.size();
  if (m > kBits) return ByRows(pattern_, text, limit);
  // The letters of Hyyro's paper: VP, VN, D0 and so on are the differences between neighbouring cells of the table.
  const std::uint64_t last = std::uint64_t{1} << (m - 1);
  std::uint64_t vp = ~std::uint64_t{0};
  std::uint64_t vn = 0;
  std::uint64_t d0 = 0;
  std::uint64_t before = 0;
  std::size_t distance = m;
  std::size_t left = text.size();
  for (const char c : text) {
    const std::uint64_t here = places_[static_cast<unsigned char>(c)];
    const std::uint64_t swapped = ((~d0 & here) << 1U) & before;
    d0 = (((here & vp) + vp) ^ vp) | here | vn | swapped;
    std::uint64_t hp = vn | ~(d0 | vp);
    std::uint64_t hn = d0 & vp;
    distance += (hp & last) != 0 ? 1U : 0U;
    distance -= (hn & last) != 0 ? 1U : 0U;
    // Each letter that is still to come can take back one edit.
    if (distance > limit + --left) return limit + 1;
    hp = (hp << 1U) | 1U;
    hn <<= 1U;
    vp = hn | ~(d0 | hp);
    vn = hp & d0;
    before = here;
  }
  return std::min(distance, limit + 1);
}

}  // namespace kb
