// Putting a base into service, so that a reader sees the old one or the new one and never anything between.
//
//   1  take the lock of the folder; it is gone with the process, however that ends
//   2  remove what a killed run left
//   3  fill .building-<hash>-<pid>, sync every file and folder in it
//   4  rename it to <hash>, sync the folder
//   5  rename a new link over `current`, sync the folder
//   6  remove bases other than the new and the one before
//
// Killed before 5 the old base is in service, after it the new one; both are whole.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace indexer {

struct Published {
  std::filesystem::path folder;  // root/<hash>
  bool built = false;            // false: a whole base of that hash was there already
};

// `fill` writes all files of the base into the folder given. Throws IndexerError; what was half built is
// removed then.
Published Publish(const std::filesystem::path& root, const std::string& hash,
                  const std::function<void(const std::filesystem::path& folder)>& fill);

// For the tests alone: where the environment's STILLROOM_INDEX_STOP_AT names this step, the process kills
// itself (SIGKILL). Steps: locked, store, index, manifest, synced, renamed, linked, published, cleaned.
void StopPoint(std::string_view step);

}  // namespace indexer
