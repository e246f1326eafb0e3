// An assessment, a label and a weighing sheet as text for people: short, worst first. Lines are wrapped at `width` columns.
#pragma once

#include <cstddef>
#include <string>

#include "query/assess.h"
#include "query/weigh.h"

namespace query {

// `bars`: the output is a terminal, draw the phases to scale.
std::string AssessmentText(const kb::Catalogue& catalogue, const kb::Formula& formula,
                           const Assessment& assessment, std::size_t width, bool bars);
std::string LabelText(const Assessment& assessment, std::size_t width);
std::string WeighText(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet,
                      std::size_t width);

}  // namespace query
