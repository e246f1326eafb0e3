// Sides of a conflict on a formula: who is on them, and does their condition hold. The language of the conditions, with
// examples, is described in kb/condition.h.
#pragma once

#include <cstddef>
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

// `other`: the members of side a when side b is looked at; nullptr for side a.
SideState LookAt(const parts::Setting& setting, const Assessment& so_far, const std::vector<Member>& members,
                 const kb::ConflictSide& side, const SideState* other);

}  // namespace query
