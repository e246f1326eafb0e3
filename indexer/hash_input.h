// The name of a base: what went into it.
#pragma once

#include <string>
#include <string_view>

#include "indexer/data_folder.h"

namespace indexer {

// Lower-case hexadecimal SHA-256 (FIPS 180-4).
std::string Sha256(std::string_view bytes);

// First 16 hexadecimal digits of SHA-256 over the versions of the store's and the index's form, and name and
// bytes of every file, in the order of their names, and over the inventory where there is one. Equal input gives the equal hash on any machine and day.
std::string HashInput(const DataFolder& folder, std::string_view inventory = {});

}  // namespace indexer
