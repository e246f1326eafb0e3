#include "indexer/publish.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <system_error>
#include <vector>

#include "indexer/data_folder.h"
#include "indexer/manifest.h"

namespace indexer {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void Fail(std::string_view what, const fs::path& path, int error) {
  throw IndexerError(
      fmt::format("cannot {} '{}': {}", what, path.string(), std::generic_category().message(error)));
}

class Descriptor {
 public:
  Descriptor(const fs::path& path, int flags)
      : path_(path), fd_(open(path.c_str(), flags | O_CLOEXEC, 0644)) {
    if (fd_ < 0) Fail("open", path, errno);
  }
  ~Descriptor() { close(fd_); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;

  void Sync() const {
    if (fsync(fd_) != 0) Fail("sync", path_, errno);
  }
  // Waits until no other process builds into the folder.
  void Lock() const {
    while (flock(fd_, LOCK_EX) != 0) {
      if (errno != EINTR) Fail("lock", path_, errno);
    }
  }

 private:
  fs::path path_;
  int fd_;
};

void SyncFile(const fs::path& path) {
  Descriptor(path, O_RDONLY).Sync();
}
void SyncFolder(const fs::path& path) {
  Descriptor(path, O_RDONLY | O_DIRECTORY).Sync();
}

// Files first, then the folders that name them.
void SyncTree(const fs::path& folder) {
  for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
    if (entry.is_directory()) {
      SyncTree(entry.path());
    } else {
      SyncFile(entry.path());
    }
  }
  SyncFolder(folder);
}

bool StartsWith(const std::string& text, std::string_view start) {
  return text.compare(0, start.size(), start) == 0;
}

bool IsHash(const std::string& name) {
  constexpr std::size_t kDigits = 16;
  return name.size() == kDigits && name.find_first_not_of("0123456789abcdef") == std::string::npos;
}

void RemoveWhere(const fs::path& root, const std::function<bool(const std::string& name)>& unwanted) {
  std::vector<fs::path> doomed;
  for (const fs::directory_entry& entry : fs::directory_iterator(root)) {
    if (unwanted(entry.path().filename().string())) doomed.push_back(entry.path());
  }
  for (const fs::path& path : doomed) fs::remove_all(path);
}

// Whoever holds the lock owns every unfinished thing in the folder.
void RemoveLeftovers(const fs::path& root) {
  RemoveWhere(root, [](const std::string& name) {
    return StartsWith(name, ".building-") || StartsWith(name, ".current-");
  });
}

// A damaged base of the same hash may be the one in service: both names change in one step, and there is no
// moment without a base.
void Rename(const fs::path& building, const fs::path& folder) {
  if (rename(building.c_str(), folder.c_str()) == 0) return;
  if (errno != ENOTEMPTY && errno != EEXIST) Fail("rename", building, errno);
  if (renameat2(AT_FDCWD, building.c_str(), AT_FDCWD, folder.c_str(), RENAME_EXCHANGE) != 0) {
    Fail("replace", folder, errno);
  }
  fs::remove_all(building);
}

void Build(const fs::path& root, const std::string& hash, const fs::path& folder,
           const std::function<void(const fs::path&)>& fill) {
  const fs::path building = root / fmt::format(".building-{}-{}", hash, getpid());
  try {
    fs::create_directory(building);
    fill(building);
    SyncTree(building);
    StopPoint("synced");
    Rename(building, folder);
    SyncFolder(root);
    StopPoint("renamed");
  } catch (...) {
    std::error_code ignored;
    fs::remove_all(building, ignored);
    throw;
  }
}

// Points `current` to the hash; returns what it pointed to before, "" where there was none.
std::string Point(const fs::path& root, const std::string& hash) {
  const fs::path current = root / "current";
  std::error_code error;
  std::string before = fs::read_symlink(current, error).string();
  if (!error && before == hash) return before;
  const fs::path link = root / fmt::format(".current-{}", getpid());
  fs::create_symlink(hash, link);
  StopPoint("linked");
  if (rename(link.c_str(), current.c_str()) != 0) Fail("replace", current, errno);
  SyncFolder(root);
  StopPoint("published");
  return error ? std::string() : before;
}

}  // namespace

void StopPoint(std::string_view step) {
  const char* stop = std::getenv("STILLROOM_INDEX_STOP_AT");  // NOLINT(concurrency-mt-unsafe): one thread
  if (stop != nullptr && step == stop) std::raise(SIGKILL);
}

Published Publish(const fs::path& root, const std::string& hash,
                  const std::function<void(const fs::path&)>& fill) {
  try {
    fs::create_directories(root);
    const Descriptor lock(root / ".lock", O_RDWR | O_CREAT);
    lock.Lock();
    StopPoint("locked");
    RemoveLeftovers(root);
    Published out{root / hash, !IsComplete(root / hash, hash)};
    if (out.built) Build(root, hash, out.folder, fill);
    const std::string before = Point(root, hash);
    // The one before stays: a reader may be opening it at this moment.
    if (before != hash) {
      RemoveWhere(root,
                  [&](const std::string& name) { return IsHash(name) && name != hash && name != before; });
    }
    StopPoint("cleaned");
    return out;
  } catch (const fs::filesystem_error& error) {
    throw IndexerError(fmt::format("cannot publish the base: {}", error.what()));
  }
}

}  // namespace indexer
