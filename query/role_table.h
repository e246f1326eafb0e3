// Who can play a role, laid side by side: what the rules and the likeness read of each candidate, taken from the records once.
//
// One table a role, made when the role is first asked for and kept with the catalogue. What the role compares is kept by value:
// of a property each different showing stands once, and a candidate holds the place of its own. A question then holds the missing
// one against each showing, not against each candidate.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

#include "query/likeness.h"
#include "query/swap_rules.h"

namespace query {

struct RoleRow {
  IngredientIx ingredient = 0;
  std::uint16_t near = 0;       // 0 the role is a function of its own; else the place in role.near, from 1
  std::uint32_t functions = 0;  // place in RoleTable::functions
  double prior = 1;             // 0..1: how well the function suits, and its rank in the record
  double at_hand = 1;           // 0..1: how likely makers have it
  std::uint64_t label = 0;      // hash of its label name; of a blend 0, see RoleTable::parts
};

struct RoleColumn {
  Ruler ruler;
  std::vector<Showing> showings;     // each different one once
  std::vector<std::uint32_t> place;  // of each row, into showings
};

struct RoleTable {
  RoleTable(const Catalogue& catalogue, kb::FunctionIx role);

  std::vector<RoleRow> rows;                           // by ingredient, rising
  std::vector<RuleFacts> facts;                        // of each row
  std::vector<RoleColumn> columns;                     // as role.compare
  std::vector<std::vector<kb::FunctionIx>> functions;  // the lists that occur, the main one first
  std::vector<std::pair<std::uint64_t, std::uint32_t>>
      parts;  // hash of a label name that a blend brings, and its row; rising

  // Row of an ingredient; nullopt where it is no candidate.
  std::optional<std::uint32_t> RowOf(IngredientIx ix) const;
};

std::uint64_t LabelHash(std::string_view inci);

// `catalogue.Once<RoleTables>()`
class RoleTables {
 public:
  explicit RoleTables(const Catalogue& catalogue);
  // Any number of threads may ask; the first one to ask for a role lays its table out.
  const RoleTable& Of(const Catalogue& catalogue, kb::FunctionIx role) const;

 private:
  struct Place {
    std::once_flag once;
    std::unique_ptr<const RoleTable> table;
  };
  mutable std::vector<Place> places_;
};

}  // namespace query
