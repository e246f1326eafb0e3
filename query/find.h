// One box: names first, then text, with spelling.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "query/facts.h"
#include "query/text_index.h"

namespace query {

struct FindQuestion {
  std::string words;
  TextFilter filter;                 // from the options
  std::vector<std::string> filters;  // the same for people: "phase heated-oil"
  std::size_t limit = 20;
};

struct Found {
  kb::index::Item item;
  std::string why;  // "exact name", "name begins so", "a member of ...", the first sentence of what it is
};

struct FindAnswer {
  std::string text;       // what was looked for
  std::string corrected;  // what the words were taken for; "" as typed
  std::vector<Found> results;
  std::size_t total = 0;  // found, at most kMostCounted
  std::map<std::string, std::map<std::string, std::size_t>> facets;
};

inline constexpr std::size_t kMostCounted = 200;

FindAnswer Find(const Catalogue& catalogue, const TextIndex& index, const FindQuestion& question);

}  // namespace query
