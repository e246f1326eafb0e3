// `compare`: two to five side by side.
#include "query/service.h"

namespace query {

Asked<Reply> AnswerCompare(const Base&, const Params&, Want, const Look&) {
  return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion, "not yet", "compare", "", {}, {}});
}

}  // namespace query
