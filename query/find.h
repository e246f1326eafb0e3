// One box that understands makers: names first, then what the words mean (data/vocabulary.toml), then ranked text, and only where
// nothing was found the nearest spelling.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"
#include "kb/search_filter.h"
#include "query/text_index.h"

namespace query {

struct FindQuestion {
  std::string words;
  std::vector<kb::SearchFilter> filters;  // from options, facets, an address
  std::size_t limit = 20;
  bool typing = false;  // as-you-type: names that begin so and nothing else; no facets
  bool facets = true;   // counted
};

enum class FoundType : unsigned char { kIngredient, kFunction, kInventory };

struct Found {
  FoundType type = FoundType::kIngredient;
  std::uint32_t ix = 0;  // kb::IngredientIx or kb::FunctionIx; of the inventory the number of its entry
  std::string why;       // the answer's first line, for this result
  // Of the inventory, where there is no record to look these up in.
  InventoryEntry entry;
};

// How many of what was found have this in common. The words are the catalogue's own.
struct FacetCount {
  std::string_view facet, word;
  std::size_t count = 0;
};

// A filter that was understood, and how to be rid of it.
struct FilterTaken {
  kb::SearchFilter filter;
  std::string text;     // for people: "vegan", "solubility: oil"
  std::string words;    // what was typed; "" where it came from an option
  std::string without;  // the query without these words
};

struct FindAnswer {
  std::string text;       // what is looked for as text, once filters and questions are taken out
  std::string corrected;  // what misspelt words were taken for, the whole query; "" as typed
  std::vector<std::string> other_readings;  // what else they may have been
  std::string ask;                          // kind of question: swap, phase, heat, what ...; "" none
  std::string answer;       // its answer in a line, where there is one that is not about one result
  bool some_words = false;  // nothing holds all of the words; these hold some
  std::vector<FilterTaken> filters;
  std::vector<std::string> left_out;  // names that were excluded
  std::vector<Found> results;
  std::size_t total = 0;           // at least so many; counted up to kMostCounted
  std::vector<FacetCount> facets;  // of all that was found, by facet and word
};

inline constexpr std::size_t kMostCounted = 1000;
inline constexpr std::size_t kMostShown = 200;

// Knows one catalogue: the vocabulary, names for spelling. What costs is made when it is first asked for; any
// number of threads may ask, each with its own index.
class Finder {
 public:
  explicit Finder(const kb::Catalogue& catalogue);  // which must outlive it
  ~Finder();
  Finder(const Finder&) = delete;
  Finder& operator=(const Finder&) = delete;

  FindAnswer Find(const TextIndex& index, const FindQuestion& question) const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace query
