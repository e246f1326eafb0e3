// base/<hash>/manifest.json: what a base holds, and whether it is whole.
#pragma once

#include <filesystem>
#include <string>

#include "indexer/merge_inventory.h"
#include "kb/catalogue.h"

namespace indexer {

struct Counts {
  std::size_t ingredients = 0, functions = 0, claims = 0, numeric_claims = 0, sources = 0, properties = 0;
  std::size_t classes = 0, claim_rules = 0, limits = 0, conflicts = 0;
};
Counts Count(const kb::CatalogueParts& parts);

// Writes folder/manifest.json with the hash, the versions, the counts, the sizes of the other files and the
// time. The time is in the manifest only: it is no part of the hash.
// With an inventory also what was merged, and every conflict in folder/inventory_conflicts.tsv.
void WriteManifest(const std::filesystem::path& folder, const std::string& hash, const Counts& counts,
                   const InventoryMerge* inventory = nullptr);

// Is there a manifest of this program's versions, for this hash, and are the files as long as it says?
bool IsComplete(const std::filesystem::path& folder, const std::string& hash);

}  // namespace indexer
