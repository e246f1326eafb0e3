// The bench: what its pages share. Includes the JSON library: for .cc files only.
#pragma once

#include "kb/formula.h"
#include "server/page_parts.h"

namespace server {

// Addresses that grow longer are answered to a POST instead.
inline constexpr std::size_t kLongestAddress = 7000;

// The question's formula as text: `formula`, else a demo or a typical one of ours by `demo`; nullopt where there is none.
std::optional<std::string> BenchFormula(const Context& context, const query::Params& params);

// The parameters with the formula where the commands look for it.
query::Params WithFormula(const query::Params& params, const std::string& text);

// A posted form as the address that says the same, where that is short enough; else the question itself, filled from the form.
tl::expected<Question, Answer> FromForm(const Question& question);

// Mistakes in their lines, each with links that put the nearest names in.
Json ComplaintsView(const Json& error, const std::string& text, const Pairs& others);

// The assessment for people.
Json CheckView(const Context& context, const Json& check, const std::optional<kb::Formula>& formula);

}  // namespace server
