// The records, read once for all checks of this program.
#pragma once

#include "indexer/read_catalogue.h"

namespace checks {

inline const kb::Catalogue& Data() {
  static const kb::Catalogue catalogue = [] {
    indexer::Diagnostics out;
    return kb::Catalogue(
        indexer::ReadCatalogue(indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", out), out));
  }();
  return catalogue;
}

}  // namespace checks
