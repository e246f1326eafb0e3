// The nearest name to one that nobody bears: slips of the finger, and names written as they are heard.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"

namespace query {

// How a name sounds to someone who writes it down: "xanthan" and "zanthan", "tocopherol" and "tokoferol" meet. Takes
// and gives tight folded text.
std::string Sound(std::string_view tight);

class NameSpeller {
 public:
  // All names of ingredients and functions.
  explicit NameSpeller(const kb::Catalogue& catalogue);

  struct Near {
    std::string name;     // as it is written
    double distance = 0;  // edits; half an edit more where only the sound is near
  };
  // The nearest names of different things, nearest first, within the slips that the length allows.
  std::vector<Near> Nearest(std::string_view typed, std::size_t most) const;

 private:
  static constexpr std::size_t kLongest = 80;   // bytes of what is typed; a longer name is no slip
  static constexpr std::size_t kMostSlips = 3;  // kb::SlipsAllowed
  struct Entry {
    std::uint64_t letters = 0, sounds = 0;  // which occur: names with many others need no comparing
    std::string tight, sound, name;
    std::uint32_t thing = 0;
    int commonness = 0;
  };
  std::vector<Entry> entries_;
  // Numbers of entries by the length of their tight form, and of their sound (the last list: of all that are longer).
  std::array<std::vector<std::uint32_t>, kLongest + kMostSlips + 1> by_size_, by_sound_size_;
};

// The nearest of some words to one that nobody knows; "" where none is near.
std::string NearestOf(const std::vector<std::string>& words, std::string_view typed);

}  // namespace query
