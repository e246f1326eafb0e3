#include "query/assess_parts.h"

namespace query::parts {

void AddPreservation(const Setting&, Assessment&) {}

}  // namespace query::parts
