// Cards: everything that is known of an ingredient or a function, and two to five ingredients side by side.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"

namespace query {

// The value of a fact for people: "0.2 to 1 % as gelling agent (leave-on)", "60 C", "cool down".
std::string FactText(const kb::Catalogue& catalogue, const kb::Fact& fact);

// --- an ingredient ---

struct CardLimit {
  const kb::Limit* limit = nullptr;
  std::string substance;  // of those that it brings, the one that is limited
};
std::vector<CardLimit> LimitsOnCard(const kb::Catalogue& catalogue, kb::IngredientIx ix);
// The same for label names, as the EU inventory gives them without a record of ours.
std::vector<CardLimit> LimitsOnCard(const kb::Catalogue& catalogue, const std::vector<std::string>& names);
// "EU Annex V/1", "US 21 CFR 352.10/(b)", "JP ..."
std::string WhereInLaw(const kb::Limit& limit);

// A conflict of data/conflicts.toml that it can take part in, by its id, a function, its class or its charge, or by those
// of a part of the blend; not where a condition on what it is itself ("is electrolyte low") fails.
struct CardConflict {
  const kb::Conflict* conflict = nullptr;
  bool first = true;              // on the first side
  std::vector<std::string> with;  // who the other side is, for people; empty: nobody but the formula
  std::string condition;          // of both sides, as written; "" always
};
std::vector<CardConflict> ConflictsOnCard(const kb::Catalogue& catalogue, kb::IngredientIx ix);

// --- a function ---

// Its members with what they are compared by when one stands in for another: the properties of the function's record that
// are known of at least some, the weightiest first.
struct MemberTable {
  std::vector<std::string> columns;  // names of properties, or worked-out ones: side, ph_window
  struct Row {
    kb::IngredientIx ingredient = 0;
    std::string level;               // usual level for this function; "" not known
    std::vector<std::string> cells;  // beside `columns`; "" not known
  };
  std::vector<Row> rows;  // whose main function it is first, then by how common they are
};
MemberTable CompareMembers(const kb::Catalogue& catalogue, kb::FunctionIx function);

// --- side by side ---

inline constexpr std::size_t kMostCompared = 5;

struct ComparedRow {
  std::string property, key, group;
  struct Cell {
    std::string text;                // "" not known
    const kb::Fact* fact = nullptr;  // the most trusted of those in `text`
  };
  std::vector<Cell> cells;
  bool differs = false;     // two that are known differ
  bool incomplete = false;  // of some nothing is known
};

struct SideBySide {
  std::vector<kb::IngredientIx> items;
  std::vector<ComparedRow> rows;  // in the order of properties.toml; what is known of none is left out
};

// Two to kMostCompared ingredients. Texts that describe (about, tip, look) are not compared.
SideBySide CompareIngredients(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& items);

}  // namespace query
