// The base's SQLite file: writing a catalogue and reading it back. The only place that speaks SQL for the
// base.
#pragma once

#include <filesystem>

#include "kb/catalogue.h"
#include "kb/store_error.h"

namespace kb {

// Version of the tables below; a base with another one is refused with a message to build it again.
inline constexpr int kSchemaVersion = 7;

// Writes all of `parts` into a new file (which must not exist yet), in one transaction, and syncs it; what a base holds ready
// (kb/lookup.h) into a file beside it. Throws StoreError.
void WriteStore(const std::filesystem::path& file, const CatalogueParts& parts);

// Opens the file read-only and immutable. Properties and functions are read, the rest when it is asked for (CatalogueParts::shelf,
// which keeps the file open), and what is damaged in it is found then. Throws StoreError.
CatalogueParts ReadStore(const std::filesystem::path& file);

}  // namespace kb
