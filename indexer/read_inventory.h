// The EU inventory of cosmetic ingredients: names, numbers and functions, without any working data.
//
// Two layouts are read. The official export: a line "sep=,", a line with a date, blank lines, then a header (Ref No, INCI
// name, INN name, Ph. Eur. Name, CAS No, EC No, ..., Function, Update Date), cells with blanks around them, several CAS
// numbers in one, line breaks inside quotes, "-" for nothing. And the four columns inci_name, cas_number, einecs_number,
// function. Columns are known by their headings, in any order; UTF-8, with or without its mark, or Latin-1.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace indexer {

struct InventoryRow {
  std::string inci;
  std::vector<std::string> cas, ec;    // only what has their form and the right check digit
  std::vector<std::string> functions;  // lower case
  std::uint32_t line = 0;
};

struct InventoryFile {
  std::vector<InventoryRow> rows;
  std::size_t records = 0;              // in the file, after the header
  std::vector<std::string> complaints;  // "line 12: ..." what could not be read; the rest was
  std::string bytes;                    // what was read, for the hash of the base
};

inline constexpr std::uintmax_t kMostInventoryBytes = 1'000'000'000;

// Throws IndexerError where the file cannot be read, is too large, or has no heading that names INCI names.
InventoryFile ReadInventory(const std::filesystem::path& file);

// The same from text; `shown` names it in complaints.
InventoryFile ParseInventory(std::string text, std::string_view shown);

}  // namespace indexer
