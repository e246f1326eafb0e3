#include "query/assess_parts.h"

namespace query::parts {

void AddSolubility(const Setting&, Assessment&) {}
void AddHeat(const Setting&, Assessment&) {}

}  // namespace query::parts
