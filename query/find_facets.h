// Facets: what the ingredients found have in common, counted.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "kb/catalogue.h"

namespace query {

using FacetCounts = std::map<std::string, std::map<std::string, std::size_t>>;

// The facets of every ingredient, worked out once: function, phase, form, charge, origin, solubility, heat, keep. The words are
// those of kb/search_filter.h.
class FacetTable {
 public:
  explicit FacetTable(const kb::Catalogue& catalogue);
  FacetCounts Count(const std::vector<kb::IngredientIx>& ingredients) const;

 private:
  struct Value {
    std::string facet, word;
  };
  std::vector<Value> values_;
  std::vector<std::vector<std::uint16_t>> of_;  // beside the ingredients: indices into values_
};

// The same for a few ingredients, without the table.
FacetCounts CountFacets(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& ingredients);

}  // namespace query
