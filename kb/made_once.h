// A value that is made when somebody first asks for it, and kept.
#pragma once

#include <atomic>
#include <memory>

namespace kb {

// Any number of threads may ask. Where two ask first at once both make it, and the first one's stays. After that asking costs one
// look at a pointer, which is why it is no std::call_once.
template <class T>
class MadeOnce {
 public:
  MadeOnce() = default;
  ~MadeOnce() { delete made_.load(std::memory_order_relaxed); }
  MadeOnce(const MadeOnce&) = delete;
  MadeOnce& operator=(const MadeOnce&) = delete;

  // `make` gives a T; what it throws passes, and the next one asks anew.
  template <class Make>
  const T& Get(const Make& make) const {
    if (const T* there = made_.load(std::memory_order_acquire)) return *there;
    auto made = std::make_unique<const T>(make());
    const T* there = nullptr;
    if (made_.compare_exchange_strong(there, made.get(), std::memory_order_acq_rel)) there = made.release();
    return *there;
  }

 private:
  mutable std::atomic<const T*> made_ = nullptr;
};

}  // namespace kb
