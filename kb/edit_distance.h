// One text made ready to be compared with many: the edits between them, counted 64 letters at a time.
//
// Optimal string alignment (insert, delete, replace, swap of neighbours) by the bit-parallel method of Hyyro, "A bit-vector algorithm
// for computing Levenshtein and Damerau edit distances", Nordic Journal of Computing 10 (2003) 29-39.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace kb {

class EditPattern {
 public:
  explicit EditPattern(std::string_view pattern);

  // Edits (bytes) between the pattern and the text, or limit + 1 where they are more than `limit`.
  std::size_t Distance(std::string_view text, std::size_t limit) const;

 private:
  std::string pattern_;
  std::array<std::uint64_t, 256> places_{};  // of each byte where it stands in the pattern; of the first 64
};

}  // namespace kb
