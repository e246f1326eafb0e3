// The whole of stillroom-index behind its command line, so that tests can call it.
#pragma once

#include <filesystem>
#include <iosfwd>

namespace indexer {

struct Options {
  std::filesystem::path data;
  std::filesystem::path base;
  std::filesystem::path inventory;  // the EU inventory; empty: none
  bool check = false;               // read and check only
  bool report = false;              // read, check and print the coverage; builds nothing
  bool json = false;                // of the report
};

// Where data/ is looked for when nobody says: ./data, else the data folder beside the program's source tree.
std::filesystem::path DefaultData();

// Answers on `out`, complaints and progress on `complaints`. Returns the exit code: 0 done, 2 the data is
// wrong (nothing was built). Throws IndexerError or kb::StoreError where the disk refuses.
int Run(const Options& options, std::ostream& out, std::ostream& complaints, bool progress);

}  // namespace indexer
