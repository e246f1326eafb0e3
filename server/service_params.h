// Questions over HTTP as the commands take them.
#pragma once

#include <optional>
#include <string_view>
#include <tl/expected.hpp>

#include "query/request.h"
#include "server/exchange.h"

namespace server {

inline constexpr std::size_t kLongestValue = 4096;  // bytes of one parameter; a name has fifty
inline constexpr std::size_t kMostValues = 200;
// Every line with a name that is not known is searched for its nearest: many at once would keep the others waiting.
inline constexpr std::size_t kMostFormulaLines = 200;
inline constexpr std::size_t kMostShelfLines = 1000;
inline constexpr std::size_t kLongestLine = 1000;  // bytes

// The address's parameters, checked: UTF-8 without NUL, not too long, not too many. The error is an answer.
tl::expected<query::Params, Answer> ReadParams(const Question& question);

// The same with the body as the formula, where the method is POST: text/csv, text/plain or no type at all.
tl::expected<query::Params, Answer> ReadParamsAndBody(const Question& question,
                                                      std::size_t most_lines = kMostFormulaLines);

// Why a table of comma-separated values is not read at all: too many lines, or one too long.
std::optional<Answer> TooLong(std::string_view table, std::size_t most_lines);

// 400 or 404 with the contract's error document.
Answer TroubleAnswer(const query::Trouble& trouble);

}  // namespace server
