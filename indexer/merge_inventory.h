// The EU inventory beside our records: what is ours already, what is not, and where the two disagree.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "indexer/read_inventory.h"
#include "kb/catalogue.h"
#include "kb/index_terms.h"

namespace indexer {

struct InventoryConflict {
  enum class Kind : unsigned char {
    kCas,      // the same name, and no CAS number in common
    kEc,       // the same name, and no EC number in common
    kSameCas,  // another name, and a CAS number of ours: a salt, a part of the same plant, or a synonym
    kTwice,    // the inventory holds the name twice, with different numbers
  };
  Kind kind = Kind::kCas;
  std::string inci;    // of the inventory
  std::string id;      // of our record; "" of kTwice
  std::string theirs;  // numbers
  std::string ours;
};
std::string_view ConflictName(InventoryConflict::Kind kind);  // "cas", "ec", "same-cas", "twice"

struct InventoryMerge {
  std::vector<kb::index::InventoryEntry>
      entries;  // names of which we hold no working data, the shortest first
  // Numbers that the inventory holds for a record of ours and the record does not.
  std::vector<std::pair<kb::IngredientIx, std::string>> more_numbers;
  std::vector<InventoryConflict> conflicts;
  std::size_t rows = 0;    // read
  std::size_t merged = 0;  // of them names of ours
  std::size_t twice = 0;   // of them names that had come before
};

// By name first; a CAS number alone does not make two names the same: the inventory gives an extract and an oil of one
// plant the same number.
InventoryMerge MergeInventory(const kb::Catalogue& catalogue, const std::vector<InventoryRow>& rows);

// "28,712 names: 1,311 merged with records, 27,395 without working data; 40 disagree on CAS ...".
std::string InventorySummary(const InventoryMerge& merge);

// Every conflict, tab-separated, with a header.
std::string ConflictTable(const InventoryMerge& merge);

}  // namespace indexer
