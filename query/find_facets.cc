#include "query/find_facets.h"

#include <functional>
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

FacetTable::FacetTable(const kb::Catalogue& catalogue) {
  std::map<std::pair<std::string, std::string>, std::uint16_t> known;
  of_.resize(catalogue.ingredients().size());
  for (std::size_t i = 0; i < of_.size(); ++i) {
    Facets(catalogue, static_cast<kb::IngredientIx>(i), [&](std::string_view facet, std::string_view word) {
      const auto [at, fresh] = known.emplace(std::pair(std::string(facet), std::string(word)),
                                             static_cast<std::uint16_t>(values_.size()));
      if (fresh) values_.push_back({std::string(facet), std::string(word)});
      of_[i].push_back(at->second);
    });
  }
}

FacetCounts FacetTable::Count(const std::vector<kb::IngredientIx>& ingredients) const {
  std::vector<std::size_t> counts(values_.size());
  for (const kb::IngredientIx ix : ingredients) {
    for (const std::uint16_t value : of_[ix]) ++counts[value];
  }
  FacetCounts out;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    if (counts[i] > 0) out[values_[i].facet][values_[i].word] = counts[i];
  }
  return out;
}

FacetCounts CountFacets(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& ingredients) {
  FacetCounts out;
  for (const kb::IngredientIx ix : ingredients) {
    Facets(catalogue, ix, [&](std::string_view facet, std::string_view word) {
      ++out[std::string(facet)][std::string(word)];
    });
  }
  return out;
}

}  // namespace query
