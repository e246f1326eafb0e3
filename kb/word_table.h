// Words of a fixed set and the number of each, for look-ups that are made by the thousand: property and function ids.
#pragma once

#include <cstdint>
#include <cstring>
#include <optional>
#include <string_view>
#include <vector>

namespace kb {

// Open addressing over a hash of a word's length and its outer bytes, at most half full. Keeps views: the words must outlive it.
class WordTable {
 public:
  // The first number that a word is given stays.
  void Add(std::string_view word, std::uint16_t number) {
    if (Find(word)) return;
    if (slots_.size() < 2 * (count_ + 1)) Grow();
    Put({word, number, true});
    ++count_;
  }

  std::optional<std::uint16_t> Find(std::string_view word) const {
    if (slots_.empty()) return std::nullopt;
    for (std::size_t at = HashOf(word) & (slots_.size() - 1); slots_[at].taken;
         at = (at + 1) & (slots_.size() - 1)) {
      if (slots_[at].word == word) return slots_[at].number;
    }
    return std::nullopt;
  }

 private:
  struct Slot {
    std::string_view word;
    std::uint16_t number = 0;
    bool taken = false;
  };

  static std::uint64_t Bytes(const char* from, std::size_t count) {
    std::uint64_t bytes = 0;
    std::memcpy(&bytes, from, count);
    return bytes;
  }

  static std::size_t HashOf(std::string_view word) {
    const std::size_t size = word.size();
    std::uint64_t first = 0;
    std::uint64_t last = 0;
    if (size >= 8) {
      first = Bytes(word.data(), 8);
      last = Bytes(word.data() + size - 8, 8);
    } else if (size >= 4) {
      first = Bytes(word.data(), 4);
      last = Bytes(word.data() + size - 4, 4);
    } else {
      for (const char c : word) first = first << 8U | static_cast<unsigned char>(c);
    }
    const std::uint64_t mixed = (first ^ (last << 23U | last >> 41U) ^ size) * 0x9E3779B97F4A7C15U;
    return static_cast<std::size_t>(mixed >> 32U);
  }

  void Put(const Slot& slot) {
    std::size_t at = HashOf(slot.word) & (slots_.size() - 1);
    while (slots_[at].taken) at = (at + 1) & (slots_.size() - 1);
    slots_[at] = slot;
  }

  void Grow() {
    std::vector<Slot> old(slots_.empty() ? 16 : 2 * slots_.size());
    old.swap(slots_);
    for (const Slot& slot : old) {
      if (slot.taken) Put(slot);
    }
  }

  std::vector<Slot> slots_;  // a power of two
  std::size_t count_ = 0;
};

}  // namespace kb
