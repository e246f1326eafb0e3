// The files of data/ that a base is made from, read into memory once, so that what is checked is what is
// hashed.
#pragma once

#include <deque>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/diagnostic.h"

namespace indexer {

// We cannot go on: the folder is not there, the disk refuses. what() says which path.
class IndexerError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct DataFile {
  std::string relative;  // "ingredients/glycerin.toml"
  std::string stem;      // "glycerin"
  TextFile text;
  bool readable = true;  // false: a complaint has been made, and there is nothing to parse
  DataFile(std::string relative_name, std::string shown, std::string bytes);
};

struct DataFolder {
  std::filesystem::path root;
  std::deque<DataFile> files;  // definitions first, then the ingredients by id, then the formulas
  const DataFile* Find(std::string_view relative) const;
  std::vector<const DataFile*> Ingredients() const;
};

inline constexpr std::size_t kMostBytes = 1 << 20;  // a larger file is no record that a person wrote

// Reads properties, sources, functions, classes, claims, limits, conflicts (those that are there),
// ingredients/*.toml, formulas/demo/*.csv and formulas/typical/*.csv. Complains about files too large, of no
// text, or with a trade mark sign. Throws IndexerError where `root` is no folder.
DataFolder ReadDataFolder(const std::filesystem::path& root, Diagnostics& out);

}  // namespace indexer
