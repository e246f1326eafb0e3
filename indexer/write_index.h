// The Xapian index of a catalogue. What it holds is described in kb/index_terms.h.
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>

#include "indexer/merge_inventory.h"
#include "kb/catalogue.h"

namespace indexer {

// Told now and then how many documents of how many are written.
using IndexProgress = std::function<void(std::size_t done, std::size_t all)>;

// Writes the index as one compacted file, and the file of names beside it. Uses `<file>.work` beside it meanwhile. Names of the
// inventory, where there is one, come after ours. Throws IndexerError.
void WriteIndex(const std::filesystem::path& file, const kb::Catalogue& catalogue,
                const InventoryMerge* inventory = nullptr, const IndexProgress& progress = {});

}  // namespace indexer
