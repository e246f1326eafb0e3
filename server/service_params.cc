#include "server/service_params.h"

#include <fmt/format.h>

#include <algorithm>

#include "kb/text.h"
#include "query/service.h"
#include "server/router.h"

namespace server {
namespace {

bool IsText(std::string_view text) {
  return kb::IsUtf8(text) && text.find('\0') == std::string_view::npos;
}

}  // namespace

std::optional<Answer> TooLong(std::string_view table, std::size_t most_lines) {
  std::size_t lines = 0;
  while (!table.empty()) {
    const std::size_t end = std::min(table.find_first_of("\r\n"), table.size());
    if (end > 0 && table.front() != '#') ++lines;  // remarks cost nothing
    if (end > kLongestLine || lines > most_lines)
      return Refusal(400, end > kLongestLine ? "a line is too long" : "too many lines", "formula",
                     fmt::format("at most {} lines of at most {} bytes", most_lines, kLongestLine));
    table.remove_prefix(std::min(end + 1, table.size()));
  }
  return std::nullopt;
}

tl::expected<query::Params, Answer> ReadParams(const Question& question) {
  query::Params params;
  if (question.query.size() > kMostValues)
    return tl::unexpected(
        Refusal(400, "too many parameters", "address", fmt::format("at most {}", kMostValues)));
  for (const auto& [name, value] : question.query) {
    if (!IsText(name) || !IsText(value) || name.size() > kLongestValue ||
        (value.size() > kLongestValue && name != "formula")) {
      return tl::unexpected(Refusal(400, "a parameter is no text, or too long",
                                    IsText(name) ? name.substr(0, 40) : "address", "UTF-8 text below 4 kB"));
    }
    if (name == "formula") {
      if (auto refused = TooLong(value, kMostFormulaLines)) return tl::unexpected(std::move(*refused));
    }
    params.values.emplace_back(name, value);
  }
  return params;
}

tl::expected<query::Params, Answer> ReadParamsAndBody(const Question& question, std::size_t most_lines) {
  auto params = ReadParams(question);
  if (!params || question.method != "POST") return params;
  const std::string_view type =
      std::string_view(question.content_type).substr(0, question.content_type.find(';'));
  // curl names a form where nobody says otherwise; what it sends is the file all the same.
  if (!type.empty() && type != "text/csv" && type != "text/plain" && type != "application/octet-stream" &&
      type != "application/x-www-form-urlencoded") {
    return tl::unexpected(
        Refusal(415, "the body is no formula", "Content-Type", "text/csv: phase, ingredient, percent"));
  }
  if (!IsText(question.body))
    return tl::unexpected(Refusal(400, "the formula is no text", "body", "UTF-8 text, no zero bytes"));
  if (auto refused = TooLong(question.body, most_lines)) return tl::unexpected(std::move(*refused));
  params->formula_text = question.body;
  params->formula_name = "formula";
  return params;
}

Answer TroubleAnswer(const query::Trouble& trouble) {
  Answer answer;
  answer.status = trouble.kind == query::Trouble::Kind::kNothingFound ? 404 : 400;
  answer.body = query::TroubleJson(trouble);
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

}  // namespace server
