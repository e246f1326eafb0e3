// The base's SQLite file: writing a catalogue and reading it back. The only place that speaks SQL for the
// base.
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>

#include "kb/catalogue.h"

namespace kb {

// Version of the tables below; a base with another one is refused with a message to build it again.
inline constexpr int kSchemaVersion = 6;

// The base cannot be read or written; what() says which file and what to do.
class StoreError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Writes all of `parts` into a new file (which must not exist yet), in one transaction, and syncs it. Throws
// StoreError.
void WriteStore(const std::filesystem::path& file, const CatalogueParts& parts);

// Opens the file read-only and immutable and reads everything but the facts: these are read when they are asked for
// (CatalogueParts::shelf, which keeps the file open), and what is damaged in them is found then. Throws StoreError.
CatalogueParts ReadStore(const std::filesystem::path& file);

}  // namespace kb
