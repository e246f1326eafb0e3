#pragma once

#include <string>

namespace kb::chemistry {

// An input that a method cannot take: NaN, negative, empty, or beyond what the method was made for.
// what    names the first bad input, its value and the range asked for
struct OutOfRange {
  std::string what;
};

}  // namespace kb::chemistry
