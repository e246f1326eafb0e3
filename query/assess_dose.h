// How much of an acid or a base brings a formula to a pH.
#pragma once

#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "query/assess.h"

namespace query {

struct PhDose {
  kb::IngredientIx with = 0;
  bool up = false;
  double target = 0;
  double pct = 0;            // of the whole, as sold; 0: it is there already
  double low = 0, high = 0;  // the dose's own uncertainty: the pH's band times the buffer capacity
  std::string source;        // of the acid constant that it rests on
};

// target  pH, 0..14
// with    an acid or a base as sold; nullopt: one that the formula holds already, else citric acid or sodium hydroxide
// error   a sentence: no pH could be worked out, no constants are known for `with`, it moves the pH the other way, or more than
//         5 % of it would be needed
// Trust   as for the pH: add four fifths, measure, go on by the drop
tl::expected<PhDose, std::string> DoseToReach(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                              const Assessment& assessment, double target,
                                              std::optional<kb::IngredientIx> with = std::nullopt);

// "about 0.06 % citric acid (0.04 to 0.08) brings it to pH 5.2", and how to add it.
std::string DoseWords(const kb::Catalogue& catalogue, const PhDose& dose);
std::string DoseAdvice(const kb::Catalogue& catalogue, const PhDose& dose);

}  // namespace query
