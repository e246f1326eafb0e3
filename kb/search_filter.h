// The small language in which a search narrows: data/vocabulary.toml, the options of `find`, an address.
//
//   NAME:WORD          one of the facts of this property says WORD; several words joined by | (one is enough)
//   NAME<5  NAME>5     a number; for a range: some part of it. Also NAME(KEY)>5 where the property has keys
//   -...               the opposite; it holds only where something is known about NAME
//
// NAME is a property of data/properties.toml, or one that is worked out:
//   function     plays it                           keep     the claim is known to be kept (kb::KeepsClaim)
//   solubility   water, oil, both, neither (kb::SideOf; "both" counts as water and as oil too)
//   heat         stable, moderate, sensitive, needs-heat (kb::HeatTolerance, kb::NeedsHeat)
//   ph           the product's pH at which it works (kb::ProductPh); ph<4 asks whether it works somewhere below 4
//   level        usual level, % (kb::AllLevels); level<2 asks whether its least usual level is below 2 and its
//                greatest at most that
//
// Examples: "solubility:oil"  "form:powder|crystals"  "-feel:greasy"  "keep:vegan"  "ph<4"  "fatty_acid_pct(C18:2n6)>40"
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/catalogue.h"

namespace kb {

struct SearchFilter {
  bool negative = false;
  std::string name;
  std::string key;                 // of numbers
  std::vector<std::string> words;  // empty: a number is compared
  char comparator = 0;             // '<', '>'; 0 where words are
  std::optional<double> number;    // nullopt: '#', to be put in from what was typed
};

// The error says what is wrong and what was expected; only the form is checked.
tl::expected<SearchFilter, std::string> ParseSearchFilter(std::string_view text);

// The same in the language's own words, '#' where the number is still to come.
std::string WriteSearchFilter(const SearchFilter& filter);

// The words that NAME may have: a property's choices, the functions' ids ...; empty for numbers and for texts.
// nullopt: no such NAME.
std::optional<std::vector<std::string>> FilterWords(const Catalogue& catalogue, std::string_view name);

// Is the filter known to hold? What is not known does not hold.
bool Holds(const Catalogue& catalogue, IngredientIx ix, const SearchFilter& filter);

}  // namespace kb
