// From the files of data/ to a checked catalogue.
#pragma once

#include "indexer/data_folder.h"
#include "indexer/diagnostic.h"
#include "kb/catalogue.h"

namespace indexer {

// Reads and checks everything. What it returns is whole only where `out` stayed empty; else it must not be
// used. Needed: properties.toml, sources.toml, functions.toml and at least one ingredient; the other files
// may be absent.
kb::CatalogueParts ReadCatalogue(const DataFolder& folder, Diagnostics& out);

}  // namespace indexer
