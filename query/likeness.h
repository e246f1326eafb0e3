// How alike two ingredients are in one role: property by property, as data/functions.toml lists them.
//
// In three steps, so that the same rule serves one pair in words and thousands in numbers: what an ingredient shows of a property
// is read once, two showings meet as numbers, and words are made only where somebody reads them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
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

// --- the steps ---

// How a property is compared.
enum class Measure {
  kNothing,  // no such property
  kClass,
  kOrdered,  // choices that run from one end to the other
  kChoice,
  kKeyed,  // a number for each of several keys
  kNumber,
  kFattyAcids,
  kComponents,  // of an essential oil: labelled allergens and what else is printed of it
  kHansen,
  kSpectrum,
  kUptake,
  kPhWindow,
  kSide,
  kPka,
};
struct Ruler {
  kb::Comparison by;
  Measure measure = Measure::kNothing;
  double scale = 1;       // numbers: the difference at which likeness has fallen to 1/e
  std::size_t steps = 1;  // ordered choices: from one end to the other
  const kb::Property* property =
      nullptr;  // of the catalogue; nullptr for what is worked out from several facts
};
Ruler RulerFor(const Catalogue& catalogue, const kb::Comparison& by);

// What one ingredient shows of a property. Which members are filled follows from the measure.
struct Showing {
  bool possible = true;  // can it have the property at all? An alkane has no fatty acids
  double trust = 1;      // 0..1, by the standing of the fact
  std::optional<kb::Range> number;
  std::vector<std::string_view>
      words;                // choices, the most trusted first, then the others in the order of letters
  std::string_view family;  // of a class
  std::size_t place = 0;    // of the first among the property's choices
  std::vector<std::pair<std::string_view, std::optional<kb::Range>>> keyed;
  std::map<std::string_view, double> shares;  // of components, %: the middle of the most trusted figure
  std::optional<kb::chemistry::FattyAcidProfile> acids;
  std::optional<kb::chemistry::ReadyProfile> ready;  // the same, nullopt where it is no profile to compare
  std::optional<kb::chemistry::HansenPoint> hansen;
  Side side = Side::kUnknown;
};
// Keeps views of the catalogue's texts.
Showing Show(const Catalogue& catalogue, const Ruler& ruler, IngredientIx ix);

// Two showings held against each other.
//   counts   false where neither says anything that could be held against the other: it is no gap in what is known
struct Met {
  std::optional<double> likeness;
  int order = 0;
  bool counts = false;
};
Met Meet(const Ruler& ruler, const Showing& missing, const Showing& stand_in, std::optional<double> ph);

// What one met property adds to a likeness, and the sums of all.
struct Tally {
  double all = 0, known = 0, sum = 0, trust = 0;

  void Add(const Tally& one) {
    all += one.all;
    known += one.known;
    sum += one.sum;
    trust += one.trust;
  }
  double value() const { return known > 0 ? sum / known : 0; }
  double confidence() const { return all > 0 ? trust / all : 0; }
};
Tally TallyOf(const Ruler& ruler, const Showing& missing, const Showing& stand_in, const Met& met);

}  // namespace query
