#include "query/assess_parts.h"

namespace query::parts {

void AddConflicts(const Setting&, Assessment&) {}

}  // namespace query::parts
