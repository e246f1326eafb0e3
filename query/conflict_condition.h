// Sides of a conflict on a formula: who is on them, and does their condition hold. The language of the conditions, with
// examples, is described in kb/condition.h.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/condition.h"
#include "query/assess_parts.h"

namespace query {

// A line, or a part of a blend in it, with what a side may name it by.
struct Member {
  kb::IngredientIx ingredient = 0;
  std::size_t line = 0;
  double pct = 0;     // of the whole
  bool part = false;  // of the line's blend
  std::string_view chemical_class, charge;
};

// Lines first, each followed by its blend's parts, to the end of the blends in blends.
std::vector<Member> MembersOf(const parts::Setting& setting);

struct SideState {
  bool holds = false;
  std::vector<Member> members;  // empty where the side names nobody: it is the formula itself
  std::string not_known;        // the quantity that was missing, where nothing else stood against it
};

// One side of a conflict, its condition read.
struct ReadySide {
  std::vector<kb::ConditionTerm> terms;
  bool readable = true;  // the indexer refuses such a condition
  bool names_anybody = false;
  bool empty = false;  // names nobody and has no condition: it always holds
};

// Every side of every conflict, and who is named on it: `catalogue.Once<ConflictSides>()`.
class ConflictSides {
 public:
  explicit ConflictSides(const kb::Catalogue& catalogue);

  // Side a of conflict i is at 2 i, side b behind it.
  const ReadySide& at(std::size_t side) const { return sides_[side]; }
  std::size_t size() const { return sides_.size(); }

  // The members that each side names, side by side, in their order.
  std::vector<std::vector<const Member*>> Named(const kb::Catalogue& catalogue,
                                                const std::vector<Member>& members) const;

 private:
  using Sides = std::vector<std::uint16_t>;
  std::vector<ReadySide> sides_;
  std::map<kb::IngredientIx, Sides> by_ingredient_;
  std::vector<Sides> by_function_;
  std::map<std::string, Sides, std::less<>> by_class_, by_charge_;
};

// `named`: the members that the side names. `other`: the members of side a when side b is looked at; nullptr for side a.
SideState LookAt(const parts::Setting& setting, const Assessment& so_far, const std::vector<Member>& members,
                 const ReadySide& side, const std::vector<const Member*>& named, const SideState* other);

}  // namespace query
