#include "server/base_holder.h"

#include <chrono>

#include "kb/store.h"

namespace server {
namespace {

constexpr std::int64_t kLookEvery = 1000;  // ms

std::int64_t Milliseconds() {
  return std::chrono::duration_cast<std::chrono::milliseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

}  // namespace

BaseHolder::BaseHolder(std::filesystem::path root)
    : root_(std::move(root)), base_(query::OpenBase(root_)), looked_(Milliseconds()) {}

std::shared_ptr<const query::Base> BaseHolder::Now() const {
  const std::lock_guard lock(mutex_);
  return base_;
}

std::shared_ptr<const query::Base> BaseHolder::Get() {
  std::int64_t last = looked_;
  const std::int64_t now = Milliseconds();
  if (now - last < kLookEvery || !looked_.compare_exchange_strong(last, now)) return Now();
  return Refresh();
}

std::shared_ptr<const query::Base> BaseHolder::Refresh() {
  const std::unique_lock opening(opening_, std::try_to_lock);
  if (!opening) return Now();
  try {
    if (kb::CurrentBase(root_).hash != Now()->files.hash) {
      std::shared_ptr<const query::Base> fresh = query::OpenBase(root_);
      fresh->Index();  // both halves, or neither
      const std::lock_guard lock(mutex_);
      base_ = std::move(fresh);
    }
  } catch (const kb::StoreError&) {
    // The old one goes on.
  }
  return Now();
}

}  // namespace server
