// The Xapian index of a catalogue. What it holds is described in kb/index_terms.h.
#pragma once

#include <filesystem>

#include "kb/catalogue.h"

namespace indexer {

// Writes the index as one compacted file. Uses `<file>.work` beside it meanwhile. Throws IndexerError.
void WriteIndex(const std::filesystem::path& file, const kb::Catalogue& catalogue);

}  // namespace indexer
