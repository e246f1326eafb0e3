// Different words and the number of each, as lists of kb/flat_list.h.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace kb {

// Open addressing, at most half full. Keeps views of the bytes.
class FlatWords {
 public:
  class Maker;

  FlatWords() = default;
  // Those that come next; false where the bytes are none.
  static bool Take(std::string_view& bytes, FlatWords& out);

  std::size_t size() const { return ends_.size(); }
  // Throws StoreError where the base is damaged, and so does Find.
  std::string_view operator[](std::size_t number) const;
  std::optional<std::uint32_t> Find(std::string_view word) const;

 private:
  std::span<const std::uint32_t> ends_;  // of each word: where it ends in the text
  std::span<const std::uint32_t>
      slots_;  // number + 1, by the hash of the word or in the next slots; 0 is free
  std::span<const char> text_;
};

// Gives numbers from 0 on.
class FlatWords::Maker {
 public:
  // The number of the word, which is new where it equals the size before.
  std::uint32_t Add(std::string_view word);
  std::size_t size() const { return ends_.size(); }
  void AppendTo(std::string& out) const;

 private:
  std::size_t Slot(std::string_view word) const;
  std::string_view Word(std::size_t number) const;

  std::vector<std::uint32_t> ends_;
  std::vector<std::uint32_t> slots_ = std::vector<std::uint32_t>(16);
  std::string text_;
};

}  // namespace kb
