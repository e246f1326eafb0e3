// `find`: the box, its filters and facets.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/text.h"
#include "query/find.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

using Json = nlohmann::json;

tl::unexpected<Trouble> Bad(std::string what, std::string where, std::string expected,
                            std::vector<std::string> nearest) {
  return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                std::move(what),
                                std::move(where),
                                std::move(expected),
                                std::move(nearest),
                                {}});
}

struct Option {
  std::string_view name, prefix, property;
};

constexpr Option kOptions[] = {{"phase", kb::index::kPhase, "phase"},
                               {"form", kb::index::kForm, "form"},
                               {"charge", kb::index::kCharge, "charge"}};

void AddFilter(FindQuestion& question, std::string_view prefix, std::string_view name,
               const std::string& value) {
  question.filter.terms.push_back(kb::index::Term(prefix, value));
  question.filters.push_back(fmt::format("{} {}", name, value));
}

Asked<FindQuestion> ReadFind(const kb::Catalogue& catalogue, const Params& params) {
  FindQuestion question;
  for (const std::string& word : params.All("q"))
    question.words += (question.words.empty() ? "" : " ") + word;
  for (const Option& option : kOptions) {
    const auto& choices = catalogue.properties()[*catalogue.FindProperty(option.property)].choices;
    for (const std::string& value : params.All(option.name)) {
      if (std::find(choices.begin(), choices.end(), value) == choices.end()) {
        return Bad(fmt::format("'{}' is no {}", value, option.name), std::string(option.name),
                   fmt::format("one of {}", fmt::join(choices, ", ")), kb::Nearest(value, choices, 3));
      }
      AddFilter(question, option.prefix, option.name, value);
    }
  }
  const std::vector<std::string> sides = {"water", "oil", "both", "neither"};
  for (const std::string& value : params.All("solubility")) {
    if (std::find(sides.begin(), sides.end(), value) == sides.end()) {
      return Bad(fmt::format("'{}' is no solubility", value), "solubility",
                 "one of water, oil, both, neither", {});
    }
    AddFilter(question, kb::index::kSolubility, "solubility", value);
  }
  for (const std::string& value : params.All("function")) {
    const auto function = catalogue.FindFunction(value);
    if (!function) {
      std::vector<std::string> ids;
      for (const kb::Function& known : catalogue.functions()) ids.push_back(known.id);
      return Bad(fmt::format("no function named '{}'", value), "function", "a function's id or name",
                 kb::Nearest(value, ids, 3));
    }
    AddFilter(question, kb::index::kFunction, "function", catalogue.function(*function).id);
  }
  auto keep = ReadClaims(catalogue, params);
  if (!keep) return tl::unexpected(keep.error());
  for (const std::string& claim : *keep) AddFilter(question, kb::index::kClaimKept, "keep", claim);
  const auto limit = ReadNumber(params, "limit", 1, kMostCounted);
  if (!limit) return tl::unexpected(limit.error());
  if (*limit) question.limit = static_cast<std::size_t>(**limit);
  if (kb::Fold(question.words).empty() && question.filter.terms.empty()) {
    return Bad("nothing to look for", "q", "words, or a filter such as --function humectant", {});
  }
  return question;
}

Json ResultJson(const kb::Catalogue& catalogue, const Found& found) {
  if (found.item.is_function) {
    const kb::Function& function = catalogue.function(static_cast<kb::FunctionIx>(found.item.ix));
    return {{"type", "function"},    {"id", function.id},          {"inci", ""},
            {"name", function.name}, {"functions", {function.id}}, {"inventory", function.inventory},
            {"why", found.why}};
  }
  const kb::Ingredient& item = catalogue.at(found.item.ix);
  Json functions = Json::array();
  for (const kb::FunctionIx function : item.functions) functions.push_back(catalogue.function(function).id);
  return {{"type", "ingredient"},
          {"id", item.id},
          {"inci", item.inci},
          {"name", item.name},
          {"functions", std::move(functions)},
          {"why", found.why}};
}

std::string FindText(const kb::Catalogue& catalogue, const FindAnswer& answer, const Look& look) {
  std::string out;
  if (!answer.corrected.empty())
    out += fmt::format("Nothing for '{}'; taken for '{}'.\n", answer.text, answer.corrected);
  if (answer.results.empty()) return out + "Nothing found.\n";
  for (const Found& found : answer.results) {
    const std::string name =
        found.item.is_function
            ? fmt::format("[{}]", catalogue.function(static_cast<kb::FunctionIx>(found.item.ix)).name)
            : NameAndInci(catalogue, found.item.ix);
    out += Wrapped(name, look.width, 0);
    if (!found.why.empty()) out += Wrapped(found.why, look.width, 4);
  }
  if (answer.total > answer.results.size())
    out += fmt::format("{} of {}; --limit shows more.\n", answer.results.size(), answer.total);
  return out;
}

}  // namespace

Asked<Reply> AnswerFind(const Base& base, const Params& params, Want want, const Look& look) {
  const auto question = ReadFind(base.catalogue, params);
  if (!question) return tl::unexpected(question.error());
  const FindAnswer answer = Find(base.catalogue, base.Index(), *question);
  Reply reply;
  reply.found = !answer.results.empty();
  if (want == Want::kText) {
    reply.body = FindText(base.catalogue, answer, look);
    return reply;
  }
  Json results = Json::array();
  for (const Found& found : answer.results) results.push_back(ResultJson(base.catalogue, found));
  const Json document = {
      {"query", question->words},
      {"understood",
       {{"text", answer.text}, {"corrected", answer.corrected}, {"filters", question->filters}}},
      {"total", answer.total},
      {"results", std::move(results)},
      {"facets", answer.facets}};
  reply.body = document.dump(2, ' ', false, Json::error_handler_t::replace);
  return reply;
}

}  // namespace query
