// The EU inventory of cosmetic ingredients beside our records. It is not part of the project: where it is not at hand the checks
// are skipped. European Commission, open data.
#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "indexer/read_inventory.h"
#include "kb/text.h"
#include "records.h"

namespace checks {

inline constexpr const char* kInventoryFile = STILLROOM_SOURCE_DIR "/../shared/reference/eu_inventory.csv";

struct Listed {
  std::set<std::string> cas, functions;  // functions in lower case
};

inline std::string Lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

// Names in capitals, with single blanks; a name that stands twice holds what both rows hold.
inline const std::map<std::string, Listed>& Inventory() {
  static const std::map<std::string, Listed> names = [] {
    std::map<std::string, Listed> out;
    if (!std::filesystem::exists(kInventoryFile)) return out;
    for (const indexer::InventoryRow& row : indexer::ReadInventory(kInventoryFile).rows) {
      std::string name;
      for (const char c : row.inci) {
        const bool blank = std::isspace(static_cast<unsigned char>(c)) != 0;
        if (blank && (name.empty() || name.back() == ' ')) continue;
        name += blank ? ' ' : static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
      }
      Listed& listed = out[std::string(kb::Trim(name))];
      listed.cas.insert(row.cas.begin(), row.cas.end());
      for (const std::string& function : row.functions) listed.functions.insert(Lower(function));
    }
    return out;
  }();
  return names;
}

// First column to second of a table beside this file; lines with '#' are remarks.
inline std::map<std::string, std::string> Table(const std::string& name) {
  std::map<std::string, std::string> rows;
  std::ifstream file(STILLROOM_SOURCE_DIR "/tests/checks/data/" + name);
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#') continue;
    const std::size_t tab = line.find('\t');
    rows.emplace(line.substr(0, tab), tab == std::string::npos ? "" : line.substr(tab + 1));
  }
  return rows;
}

// Disagreements found against those that are listed with a reason. Both ways: what is listed and agrees by now is said too.
class Disagreements {
 public:
  explicit Disagreements(std::map<std::string, std::string> listed) : listed_(std::move(listed)) {}

  void Looked() { ++looked_; }
  void Add(const std::string& who, const std::string& what) { found_.emplace(who, what); }
  std::size_t looked_at() const { return looked_; }
  std::size_t found() const { return found_.size(); }

  testing::AssertionResult AllListed() const {
    std::string text;
    for (const auto& [who, what] : found_) {
      if (!listed_.contains(who)) text += fmt::format("  {}: {}\n", who, what);
    }
    for (const auto& [who, reason] : listed_) {
      if (reason.empty()) text += fmt::format("  {}: listed without a reason\n", who);
      if (!found_.contains(who)) text += fmt::format("  {}: listed, and does not disagree\n", who);
    }
    if (looked_ == 0) text += "  nothing was looked at\n";
    return text.empty() ? testing::AssertionSuccess() : testing::AssertionFailure() << '\n' << text;
  }

 private:
  std::map<std::string, std::string> listed_, found_;
  std::size_t looked_ = 0;
};

}  // namespace checks
