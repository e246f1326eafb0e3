// Facets: what the ingredients found have in common, counted.
#pragma once

#include <cstdint>
#include <vector>

#include "kb/catalogue.h"
#include "query/find.h"

namespace query {

// The facets of every ingredient, worked out once: function, phase, form, charge, origin, solubility, heat, keep. The words are
// those of kb/search_filter.h.
class FacetTable {
 public:
  explicit FacetTable(const kb::Catalogue& catalogue);
  std::vector<FacetCount> Count(const std::vector<kb::IngredientIx>& ingredients) const;

 private:
  std::vector<FacetCount> values_;   // all there are, in order, none counted
  std::vector<std::uint32_t> ends_;  // beside the ingredients: where theirs end in of_
  std::vector<std::uint16_t> of_;    // indices into values_
};

// The same for a few ingredients, without the table.
std::vector<FacetCount> CountFacets(const kb::Catalogue& catalogue,
                                    const std::vector<kb::IngredientIx>& ingredients);

}  // namespace query
