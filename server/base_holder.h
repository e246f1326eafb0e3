// The base in service. A reader keeps the one that it was given; a newer `current` is taken up between requests.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>

#include "query/service.h"

namespace server {

class BaseHolder {
 public:
  // Throws kb::StoreError where there is no base.
  explicit BaseHolder(std::filesystem::path root);

  // The base in service; looks once a second whether `current` points elsewhere, and then one caller opens the new one while the
  // others are served from the old one. A new base that cannot be opened leaves the old one where it is.
  std::shared_ptr<const query::Base> Get();
  // Looks now.
  std::shared_ptr<const query::Base> Refresh();

 private:
  std::shared_ptr<const query::Base> Now() const;

  const std::filesystem::path root_;
  mutable std::mutex mutex_;  // of base_
  std::mutex opening_;        // one opens
  std::shared_ptr<const query::Base> base_;
  std::atomic<std::int64_t> looked_;  // ms on the steady clock
};

}  // namespace server
