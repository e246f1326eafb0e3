// The contract's JSON of an assessment, a label and a weighing sheet.
#pragma once

#include <string>

#include "query/assess.h"
#include "query/weigh.h"

namespace query {

std::string AssessmentJson(const kb::Catalogue& catalogue, const kb::Formula& formula,
                           const Assessment& assessment);
std::string LabelJson(const kb::Formula& formula, const Assessment& assessment);
std::string WeighJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet);

}  // namespace query
