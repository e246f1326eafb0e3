#include "kb/flat_words.h"

#include <bit>

#include "kb/flat_list.h"

namespace kb {
namespace {

// FNV-1a, 64 bits (Fowler, Noll, Vo): it must not change between programs, as std::hash may.
std::uint64_t Hash(std::string_view text) {
  std::uint64_t hash = 0xCBF29CE484222325U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3U;
  return hash;
}

}  // namespace

bool FlatWords::Take(std::string_view& bytes, FlatWords& out) {
  return TakeList(bytes, out.ends_) && TakeList(bytes, out.slots_) && TakeList(bytes, out.text_) &&
         std::has_single_bit(out.slots_.size()) && out.ends_.size() < out.slots_.size();
}

std::string_view FlatWords::operator[](std::size_t number) const {
  return CheckedText(text_, number == 0 ? 0 : CheckedAt(ends_, number - 1), CheckedAt(ends_, number));
}

std::optional<std::uint32_t> FlatWords::Find(std::string_view word) const {
  if (slots_.empty()) return std::nullopt;
  const std::size_t mask = slots_.size() - 1;
  std::size_t slot = Hash(word) & mask;
  // A damaged table may have no free slot.
  for (std::size_t looked = 0; slots_[slot] != 0 && looked < slots_.size(); ++looked) {
    const std::uint32_t number = slots_[slot] - 1;
    if ((*this)[number] == word) return number;
    slot = (slot + 1) & mask;
  }
  return std::nullopt;
}

std::string_view FlatWords::Maker::Word(std::size_t number) const {
  const std::size_t begin = number == 0 ? 0 : ends_[number - 1];
  return std::string_view(text_).substr(begin, ends_[number] - begin);
}

std::size_t FlatWords::Maker::Slot(std::string_view word) const {
  const std::size_t mask = slots_.size() - 1;
  std::size_t slot = Hash(word) & mask;
  while (slots_[slot] != 0 && Word(slots_[slot] - 1) != word) slot = (slot + 1) & mask;
  return slot;
}

std::uint32_t FlatWords::Maker::Add(std::string_view word) {
  if (2 * (ends_.size() + 1) > slots_.size()) {
    slots_.assign(2 * slots_.size(), 0);
    for (std::size_t i = 0; i < ends_.size(); ++i) slots_[Slot(Word(i))] = static_cast<std::uint32_t>(i + 1);
  }
  const std::size_t slot = Slot(word);
  if (slots_[slot] == 0) {
    text_ += word;
    ends_.push_back(static_cast<std::uint32_t>(text_.size()));
    slots_[slot] = static_cast<std::uint32_t>(ends_.size());
  }
  return slots_[slot] - 1;
}

void FlatWords::Maker::AppendTo(std::string& out) const {
  AppendList(out, std::span(ends_));
  AppendList(out, std::span(slots_));
  AppendList(out, std::span(text_));
}

}  // namespace kb
