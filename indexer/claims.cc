#include "indexer/claims.h"

#include <algorithm>
#include <map>
#include <string>
#include <tuple>

#include "indexer/draft.h"

namespace indexer {
namespace {

// The class or function whose rule a fact is.
std::string Holder(const kb::CatalogueParts& parts, const kb::Ingredient& item, const kb::Fact& fact) {
  if (fact.basis == kb::Basis::kFunction)
    return fact.function.empty() ? parts.functions[item.functions.front()].id : fact.function;
  const auto own = std::find_if(item.facts.begin(), item.facts.end(), [&](const kb::Fact& one) {
    return parts.properties[one.property].id == kClass;
  });
  return own == item.facts.end() ? "" : own->text;
}

}  // namespace

std::vector<Claim> ClaimsOf(const kb::CatalogueParts& parts) {
  using Rule =
      std::tuple<kb::Basis, std::string, kb::PropertyIx, std::string, std::string, std::string, std::string>;
  std::map<Rule, std::size_t> rules;  // to the place of the claim
  std::vector<Claim> out;
  for (const kb::Ingredient& item : parts.ingredients) {
    for (const kb::Fact& fact : item.facts) {
      if (fact.basis == kb::Basis::kComputed) continue;
      if (fact.basis != kb::Basis::kRecord) {
        const auto [held, fresh] = rules.emplace(Rule{fact.basis, Holder(parts, item, fact), fact.property,
                                                      fact.key, fact.function, fact.context, fact.text},
                                                 out.size());
        if (!fresh) {
          ++out[held->second].serves;
          continue;
        }
      }
      out.push_back({&fact});
    }
  }
  return out;
}

std::size_t Computed(const kb::CatalogueParts& parts) {
  std::size_t count = 0;
  for (const kb::Ingredient& item : parts.ingredients) {
    count += static_cast<std::size_t>(
        std::count_if(item.facts.begin(), item.facts.end(),
                      [](const kb::Fact& fact) { return fact.basis == kb::Basis::kComputed; }));
  }
  return count;
}

}  // namespace indexer
