// How alike two ingredients are in one role: property by property, as data/functions.toml lists them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"
#include "query/facts.h"

namespace query {

// One property side by side.
//   likeness  0..1; nullopt where one of the two is not known: it then counts against the confidence, never for likeness
//   order     +1 the stand-in has more of it (comes later in the choices, or the greater number), -1 less, 0 neither
struct Compared {
  std::string property;
  double weight = 1;
  std::string missing, stand_in;  // as people read them
  std::optional<double> likeness;
  int order = 0;
};

struct Likeness {
  double value = 0;       // weighted mean over what is known of both, 0..1; 0 where nothing is
  double confidence = 0;  // share of the weights that was known, lowered where the facts rest on memory, 0..1
  std::vector<Compared> compared;
};

// `level_ph`: the pH that windows are judged near; nullopt judges by the overlap of the windows alone.
Likeness Compare(const Catalogue& catalogue, const kb::Function& role, IngredientIx missing,
                 IngredientIx stand_in, std::optional<double> ph);

// Likeness of one property; the building block of Compare, open for tests. Symmetric, 1 for an ingredient and itself where the
// property is known.
Compared CompareProperty(const Catalogue& catalogue, const kb::Comparison& by, IngredientIx missing,
                         IngredientIx stand_in, std::optional<double> ph);

}  // namespace query
