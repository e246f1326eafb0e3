// The shelf as JSON, and questions limited to it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "server/app.h"
#include "server/shelf.h"

namespace server {

// {"jars": [{number, ingredient, name, inci, amount_g, ..., "low"}], "today"}
std::string ShelfJson(const kb::Catalogue& catalogue, const std::vector<Jar>& jars);

// Gives the question what is in stock where it asks for on_shelf; an answer where there is no shelf to ask.
std::optional<Answer> LimitToShelf(const Context& context, query::Params& params);

// `find`'s answer without what is not in stock, where on_shelf was asked.
std::string OnlyOnShelf(const Context& context, const query::Params& params, const std::string& found);

// What a formula costs by the shelf: the dearest jar of an ingredient counts, so that nobody is surprised.
// nullopt: no price is known of anything in it.
struct Cost {
  double per_kg = 0;                 // of the lines whose cost is known
  double covered_pct = 0;            // their share of the formula by weight
  std::vector<std::string> unknown;  // names of the others; water costs nothing
};
std::optional<Cost> CostOf(const Context& context, const kb::Formula& formula);

}  // namespace server
