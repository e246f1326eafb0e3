#include "query/find_facets.h"

#include <functional>
#include <map>
#include <string_view>
#include <utility>

#include "kb/derived.h"

namespace query {
namespace {

using Say = std::function<void(std::string_view facet, std::string_view word)>;

void Facets(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Say& say) {
  for (const kb::FunctionIx function : catalogue.at(ix).functions)
    say("function", catalogue.function(function).id);
  for (const char* property : {"phase", "form", "charge", "origin"}) {
    const std::string_view value = catalogue.Choice(ix, property);
    if (!value.empty()) say(property, value);
  }
  const std::string_view side = kb::SideName(kb::SideOf(catalogue, ix));
  if (!side.empty()) say("solubility", side);
  const std::string_view heat = kb::HeatTolerance(catalogue, ix);
  if (!heat.empty()) say("heat", heat);
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    if (kb::KeepsClaim(catalogue, ix, rule).state == kb::ClaimState::kKept) say("keep", rule.id);
  }
}

}  // namespace

namespace {

using Word = std::pair<std::string_view, std::string_view>;

}  // namespace

FacetTable::FacetTable(const kb::Catalogue& catalogue) {
  std::map<Word, std::vector<kb::IngredientIx>> having;
  const std::size_t ingredients = catalogue.ingredients().size();
  for (std::size_t i = 0; i < ingredients; ++i) {
    const auto ix = static_cast<kb::IngredientIx>(i);
    Facets(catalogue, ix, [&](std::string_view facet, std::string_view word) {
      having[{facet, word}].push_back(ix);
    });
  }
  std::vector<std::vector<std::uint16_t>> of(ingredients);
  for (const auto& [word, members] : having) {
    for (const kb::IngredientIx ix : members) of[ix].push_back(static_cast<std::uint16_t>(values_.size()));
    values_.push_back({word.first, word.second, 0});
  }
  for (const std::vector<std::uint16_t>& list : of) {
    of_.insert(of_.end(), list.begin(), list.end());
    ends_.push_back(static_cast<std::uint32_t>(of_.size()));
  }
}

std::vector<FacetCount> FacetTable::Count(const std::vector<kb::IngredientIx>& ingredients) const {
  std::vector<std::uint32_t> counts(values_.size());
  for (const kb::IngredientIx ix : ingredients) {
    for (std::uint32_t i = ix == 0 ? 0 : ends_[ix - 1]; i < ends_[ix]; ++i) ++counts[of_[i]];
  }
  std::vector<FacetCount> out;
  out.reserve(values_.size());
  for (std::size_t i = 0; i < counts.size(); ++i) {
    if (counts[i] > 0) out.push_back({values_[i].facet, values_[i].word, counts[i]});
  }
  return out;
}

std::vector<FacetCount> CountFacets(const kb::Catalogue& catalogue,
                                    const std::vector<kb::IngredientIx>& ingredients) {
  std::map<Word, std::size_t> counts;
  for (const kb::IngredientIx ix : ingredients) {
    Facets(catalogue, ix, [&](std::string_view facet, std::string_view word) { ++counts[{facet, word}]; });
  }
  std::vector<FacetCount> out;
  out.reserve(counts.size());
  for (const auto& [word, count] : counts) out.push_back({word.first, word.second, count});
  return out;
}

}  // namespace query
