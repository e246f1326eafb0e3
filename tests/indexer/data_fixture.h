// A small data folder in a temporary place, whole and right, for tests to change one thing in.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "indexer/data_folder.h"
#include "indexer/diagnostic.h"
#include "kb/catalogue.h"

namespace indexer_test {

// An empty folder that is gone when the test ends.
class TempFolder {
 public:
  TempFolder();
  ~TempFolder();
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

// Three ingredients (glycerin, water, a 50 % solution of the one in the other), four functions, one of each
// rule. The numbers: CAS 56-81-5 and EC 200-289-5 (glycerol), 7732-18-5 and 231-791-2 (water), as the CAS
// registry and the EC inventory print them; 92.09 g/mol.
class DataFixture {
 public:
  DataFixture();
  std::filesystem::path root() const { return folder_.path() / "data"; }
  std::filesystem::path base() const { return folder_.path() / "base"; }

  void Write(const std::string& relative, std::string_view text) const;
  std::string Read(const std::string& relative) const;
  void Remove(const std::string& relative) const;
  // Replaces the only occurrence of `old_text`; fails the test where it is not there exactly once.
  void Replace(const std::string& relative, std::string_view old_text, std::string_view new_text) const;

  // All complaints, rendered; "" where there are none.
  std::string Complaints() const;
  // The catalogue; fails the test where there are complaints.
  kb::Catalogue Catalogue() const;

 private:
  TempFolder folder_;
};

}  // namespace indexer_test
