// Candidates for a reading, best first.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "query/find_reading.h"
#include "query/text_index.h"

namespace query {

struct Ranked {
  Hit hit;
  double score = 0;
  std::optional<kb::FunctionIx> as;  // the function for which it is here
};

// The filters and what is left out, as terms of the index: they narrow; Passes() decides.
TextFilter TermsOf(const kb::Catalogue& catalogue, const Reading& reading);

// Do all filters hold, and is it none of what is left out?
bool Passes(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading);

// Names that begin with what was typed: those of which it is whole words before those of which it is a part ("rose water" before
// "rosemary oil"), the common name before other names; otherwise as they came.
std::vector<Hit> Ordered(const kb::Catalogue& catalogue, std::vector<Hit> hits, std::string_view typed);

// Ingredients by function, filters and wishes; empty where the reading holds none of them.
std::vector<Ranked> RankByMeaning(const kb::Catalogue& catalogue, const TextIndex& index,
                                  const Reading& reading);

// Everything that holds these words; with `all` each of them.
struct TextRanking {
  std::vector<Ranked> ranked;
  std::size_t total = 0;
};
TextRanking RankByText(const kb::Catalogue& catalogue, const TextIndex& index, const Reading& reading,
                       const std::vector<std::string>& words, bool all, std::size_t most);

}  // namespace query
