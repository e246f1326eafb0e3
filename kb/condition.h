// The small language of `condition` in data/conflicts.toml.
//
// A condition is one term, or several joined by commas; all must hold. Upper and lower case do not matter.
//
//   comparisons: a quantity, one of < <= > >= =, and a number
//     ph > 6.5            pH used: the file's target, else the estimate
//     water > 0           of the whole formula, % by mass: water, oil, alcohol, glycol, emulsifier,
//                         surfactant (active matter), electrolyte (salts, acids and bases)
//     pct > 0.5           of one ingredient of this side, % of the whole as sold
//     total > 3           of all ingredients of this side together, % of the whole as sold
//     heat > 45           temperature that the ingredient's phase has to reach, C
//
//   words: a word and one value or several joined by | (one of them is enough)
//     phase heated        the ingredient stands in a heated phase; or cool-down, water, oil
//     form surfactant     the product's form, as in the kind of a formula: emulsion-ow|emulsion-wo|gel ...
//     use leave-on        leave-on or rinse-off
//     with preservative   another ingredient of the formula has this function; `without` the opposite
//     is electrolyte low|none    the ingredient's fact of this property is one of these; `not` the opposite (and a fact
//                         is known)
//     same-phase          side b alone: in the same phase as the ingredient of side a
//
// Examples: "ph > 6.5, pct > 0.2"   "electrolyte > 0.3"   "phase heated, heat > 45"   "is keeps fragile, without antioxidant"
//
// How a conflict is read (query/conflicts):
//   A side is the set of ingredients that are any of its ingredients, functions, classes or charges, and for which its
//   condition holds. A blend is also what its parts are, with each part's share. A side that names no ingredient, function,
//   class or charge is the formula itself: its condition alone decides (only terms about the formula make sense there).
//   The conflict holds where side a holds and side b holds on another ingredient; side b with nothing in it always holds:
//   a alone under its condition. A quantity that is not known makes a term false, and the answer says that it was not known
//   where nothing else was false.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

namespace kb {

enum class Quantity : unsigned char {
  kPh,
  kWater,
  kOil,
  kAlcohol,
  kGlycol,
  kEmulsifier,
  kSurfactant,
  kElectrolyte,
  kPct,
  kTotal,
  kHeat,
};

enum class Comparator : unsigned char { kLess, kAtMost, kGreater, kAtLeast, kEqual };

enum class ConditionWord : unsigned char {
  kCompare,  // quantity, comparator, number
  kPhase,
  kForm,
  kUse,
  kWith,
  kWithout,
  kIs,
  kNot,
  kSamePhase,
};

struct ConditionTerm {
  ConditionWord word = ConditionWord::kCompare;
  Quantity quantity = Quantity::kPh;
  Comparator comparator = Comparator::kGreater;
  double number = 0;
  std::string property;             // of kIs and kNot
  std::vector<std::string> values;  // of the words
};

// Reads a condition; "" is one without terms, which always holds. The error is a sentence for people that names the word which
// is wrong and what was expected.
tl::expected<std::vector<ConditionTerm>, std::string> ParseCondition(std::string_view text);

// Does the number hold the comparison?
bool Holds(Comparator comparator, double value, double number);

}  // namespace kb
