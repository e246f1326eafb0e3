// Lists laid one after the other in a run of bytes, and looked at where they are: nothing is unpacked. Of each 8 bytes of how many
// items, the items as the machine holds them (a base is built where it is read), and zeros up to the next multiple of 8, so that the
// next one stands right in memory if the first does.
#pragma once

#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>

#include "kb/store_error.h"

namespace kb {

inline constexpr std::size_t kFlatStep = 8;

template <class T>
void AppendList(std::string& out, std::span<const T> list) {
  static_assert(std::is_trivially_copyable_v<T> && alignof(T) <= kFlatStep);
  const std::uint64_t size = list.size();
  out.append(reinterpret_cast<const char*>(&size), sizeof size);
  out.append(reinterpret_cast<const char*>(list.data()), list.size_bytes());
  out.append((kFlatStep - list.size_bytes() % kFlatStep) % kFlatStep, '\0');
}

// The list that comes next; false where the bytes end before it does.
template <class T>
bool TakeList(std::string_view& bytes, std::span<const T>& list) {
  std::uint64_t size = 0;
  if (bytes.size() < sizeof size) return false;
  std::memcpy(&size, bytes.data(), sizeof size);
  bytes.remove_prefix(sizeof size);
  if (size > bytes.size() / sizeof(T)) return false;
  const std::size_t used = size * sizeof(T);
  const std::size_t padded = used + (kFlatStep - used % kFlatStep) % kFlatStep;
  if (padded > bytes.size()) return false;
  list = {reinterpret_cast<const T*>(bytes.data()), size};
  bytes.remove_prefix(padded);
  return true;
}

// Lists are not read through when a base is opened: a number that points beyond one is found where it is used.
[[noreturn]] inline void ThrowDamaged() {
  throw StoreError("the base is damaged: build it again (./run)");
}

template <class T>
const T& CheckedAt(std::span<const T> list, std::size_t i) {
  if (i >= list.size()) ThrowDamaged();
  return list[i];
}

inline std::string_view CheckedText(std::span<const char> text, std::size_t begin, std::size_t end) {
  if (begin > end || end > text.size()) ThrowDamaged();
  return {text.data() + begin, end - begin};
}

}  // namespace kb
