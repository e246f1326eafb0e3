// A published base on disk: which one is current, and what its manifest says.
//
//   base/<hash>/stillroom.db    SQLite, see kb/store.h
//   base/<hash>/lookup          what is looked up by the thousand, see kb/lookup.h
//   base/<hash>/index           Xapian, see query/find.h
//   base/<hash>/names           the names of its documents, see kb/name_file.h
//   base/<hash>/manifest.json   schema version, counts, hash
//   base/current                symbolic link to <hash>, moved in one rename
#pragma once

#include <filesystem>
#include <string>

namespace kb {

struct BaseFiles {
  std::filesystem::path folder;  // base/<hash>, links resolved, so that it stays the same one
  std::string hash;
  std::filesystem::path store() const { return folder / "stillroom.db"; }
  std::filesystem::path index() const { return folder / "index"; }
  std::filesystem::path manifest() const { return folder / "manifest.json"; }
};

// Resolves `root`/current. Throws StoreError where there is none, with the command that builds one.
BaseFiles CurrentBase(const std::filesystem::path& root);

// Where the base is looked for when nobody says: $STILLROOM_BASE, else ./base, else the base folder beside
// the program's source tree.
std::filesystem::path DefaultBaseRoot();

}  // namespace kb
