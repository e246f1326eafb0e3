// Questions over HTTP as the commands take them.
#pragma once

#include <tl/expected.hpp>

#include "query/request.h"
#include "server/exchange.h"

namespace server {

inline constexpr std::size_t kLongestValue = 4096;  // bytes of one parameter; a name has fifty
inline constexpr std::size_t kMostValues = 200;

// The address's parameters, checked: UTF-8 without NUL, not too long, not too many. The error is an answer.
tl::expected<query::Params, Answer> ReadParams(const Question& question);

// The same with the body as the formula, where the method is POST: text/csv, text/plain or no type at all.
tl::expected<query::Params, Answer> ReadParamsAndBody(const Question& question);

// 400 or 404 with the contract's error document.
Answer TroubleAnswer(const query::Trouble& trouble);

}  // namespace server
