// Questions to `find` on the real data, and its answers as ids that a test can name.
#pragma once

#include <string>
#include <vector>

#include "query/find.h"
#include "tests/query/find_base.h"

namespace find_test {

inline const kb::Catalogue& Catalogue() {
  return RealBase().catalogue;
}

inline query::FindAnswer Find(const std::string& words, std::size_t limit = 10, bool typing = false) {
  query::FindQuestion question;
  question.words = words;
  question.limit = limit;
  question.typing = typing;
  return RealBase().finder->Find(RealBase().Index(), question);
}

inline std::string Id(const query::Found& found) {
  switch (found.type) {
    case query::FoundType::kFunction:
      return "function:" + Catalogue().function(static_cast<kb::FunctionIx>(found.ix)).id;
    case query::FoundType::kInventory:
      return "inventory:" + found.entry.inci;
    case query::FoundType::kIngredient:
      break;
  }
  return Catalogue().at(found.ix).id;
}

inline std::vector<std::string> Ids(const query::FindAnswer& answer) {
  std::vector<std::string> out;
  for (const query::Found& found : answer.results) out.push_back(Id(found));
  return out;
}

inline std::string First(const query::FindAnswer& answer) {
  return answer.results.empty() ? "nothing" : Id(answer.results.front());
}

inline std::vector<kb::IngredientIx> Ingredients(const query::FindAnswer& answer) {
  std::vector<kb::IngredientIx> out;
  for (const query::Found& found : answer.results) {
    if (found.type == query::FoundType::kIngredient) out.push_back(found.ix);
  }
  return out;
}

}  // namespace find_test
