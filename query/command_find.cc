// `find`: the box, its filters and facets.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/text.h"
#include "query/facts.h"
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

constexpr std::string_view kOptions[] = {"phase", "solubility", "form", "charge",
                                         "heat",  "origin",     "keep", "function"};

// The word that was meant: as it is written, or a function by any of its names. "" where it is none.
std::string KnownWord(const kb::Catalogue& catalogue, std::string_view name, const std::string& value,
                      const std::vector<std::string>& known) {
  if (std::find(known.begin(), known.end(), value) != known.end()) return value;
  const auto function = name == "function" ? catalogue.FindFunction(value) : std::nullopt;
  return function ? catalogue.function(*function).id : "";
}

Asked<bool> AddOption(const kb::Catalogue& catalogue, std::string_view name, const std::string& value,
                      FindQuestion& question) {
  const auto known = kb::FilterWords(catalogue, name);
  const std::string word = KnownWord(catalogue, name, value, *known);
  if (word.empty()) {
    return Bad(
        fmt::format("'{}' is no {}", value, name == "keep" ? "claim we know" : name), std::string(name),
        name == "function" ? "a function's id or name" : fmt::format("one of {}", fmt::join(*known, ", ")),
        kb::Nearest(value, *known, 3));
  }
  kb::SearchFilter filter;
  filter.name = name;
  filter.words = {word};
  question.filters.push_back(std::move(filter));
  return true;
}

// `filter`: the language of kb/search_filter.h, for facets and addresses.
Asked<bool> AddFilter(const kb::Catalogue& catalogue, const std::string& text, FindQuestion& question) {
  auto filter = kb::ParseSearchFilter(text);
  if (!filter) return Bad(filter.error(), "filter", "for example form:powder, -feel:greasy, ph<4", {});
  const auto known = kb::FilterWords(catalogue, filter->name);
  if (!known) {
    std::vector<std::string> names(std::begin(kOptions), std::end(kOptions));
    for (const kb::Property& property : catalogue.properties()) names.push_back(property.id);
    return Bad(fmt::format("'{}' is nothing to filter by", filter->name), "filter", "a property",
               kb::Nearest(filter->name, names, 3));
  }
  if (filter->comparator != 0 && !filter->number)
    return Bad(fmt::format("'{}' compares with no number", text), "filter", "for example ph<4", {});
  for (std::string& word : filter->words) {
    const std::string right = KnownWord(catalogue, filter->name, word, *known);
    if (right.empty()) {
      return Bad(fmt::format("'{}' is no word of {}", word, filter->name), "filter",
                 fmt::format("one of {}", fmt::join(*known, ", ")), kb::Nearest(word, *known, 3));
    }
    word = right;
  }
  question.filters.push_back(std::move(*filter));
  return true;
}

Asked<FindQuestion> ReadFind(const kb::Catalogue& catalogue, const Params& params) {
  FindQuestion question;
  for (const char* name : {"q", "name"}) {
    for (const std::string& word : params.All(name))
      question.words += (question.words.empty() ? "" : " ") + word;
  }
  for (const std::string_view name : kOptions) {
    for (const std::string& value : params.All(name)) {
      const auto added = AddOption(catalogue, name, value, question);
      if (!added) return tl::unexpected(added.error());
    }
  }
  for (const std::string& text : params.All("filter")) {
    const auto added = AddFilter(catalogue, text, question);
    if (!added) return tl::unexpected(added.error());
  }
  const auto limit = ReadNumber(params, "limit", 1, kMostShown);
  if (!limit) return tl::unexpected(limit.error());
  if (*limit) question.limit = static_cast<std::size_t>(**limit);
  question.typing = params.Get("typing") == "true" || params.Get("typing") == "1";
  if (kb::Fold(question.words).empty() && question.filters.empty()) {
    return Bad("nothing to look for", "q", "words, or a filter such as --function humectant", {});
  }
  return question;
}

Json ResultJson(const kb::Catalogue& catalogue, const Found& found) {
  if (found.type == FoundType::kInventory) {
    Json functions = Json::array();
    for (const std::string& name : kb::SplitTrimmed(found.entry.functions, ',')) {
      if (!name.empty()) functions.push_back(name);
    }
    return {
        {"type", "ingredient"},   {"id", ""},         {"inci", found.entry.inci}, {"name", found.entry.inci},
        {"functions", functions}, {"why", found.why}, {"working_data", false},    {"cas", found.entry.cas},
        {"ec", found.entry.ec}};
  }
  if (found.type == FoundType::kFunction) {
    const auto ix = static_cast<kb::FunctionIx>(found.ix);
    const kb::Function& function = catalogue.function(ix);
    return {{"type", "function"},
            {"id", function.id},
            {"inci", ""},
            {"name", function.name},
            {"functions", {function.id}},
            {"inventory", function.inventory},
            {"why", found.why},
            {"members", catalogue.Members(ix).size()}};
  }
  const kb::Ingredient& item = catalogue.at(found.ix);
  Json functions = Json::array();
  for (const kb::FunctionIx function : item.functions) functions.push_back(catalogue.function(function).id);
  return {{"type", "ingredient"},   {"id", item.id},    {"inci", item.inci},   {"name", item.name},
          {"functions", functions}, {"why", found.why}, {"working_data", true}};
}

Json AnswerJson(const kb::Catalogue& catalogue, const FindQuestion& question, const FindAnswer& answer) {
  Json filters = Json::array();
  for (const FilterTaken& taken : answer.filters) {
    filters.push_back({{"filter", kb::WriteSearchFilter(taken.filter)},
                       {"text", taken.text},
                       {"words", taken.words},
                       {"without", taken.without}});
  }
  Json results = Json::array();
  for (const Found& found : answer.results) results.push_back(ResultJson(catalogue, found));
  Json facets = Json::object();
  for (const FacetCount& item : answer.facets)
    facets[std::string(item.facet)][std::string(item.word)] = item.count;
  return {{"query", question.words},
          {"understood",
           {{"text", answer.text},
            {"corrected", answer.corrected},
            {"other_readings", answer.other_readings},
            {"question", answer.ask},
            {"some_words", answer.some_words},
            {"left_out", answer.left_out},
            {"filters", std::move(filters)}}},
          {"answer", answer.answer},
          {"total", answer.total},
          {"results", std::move(results)},
          {"facets", std::move(facets)}};
}

std::string FoundName(const kb::Catalogue& catalogue, const Found& found) {
  switch (found.type) {
    case FoundType::kFunction:
      return fmt::format("[{}]", catalogue.function(static_cast<kb::FunctionIx>(found.ix)).name);
    case FoundType::kInventory:
      return found.entry.inci;
    case FoundType::kIngredient:
      break;
  }
  return NameAndInci(catalogue, found.ix);
}

std::string UnderstoodText(const FindAnswer& answer, const Look& look) {
  std::string out;
  if (!answer.corrected.empty()) {
    std::string line = fmt::format("Taken for '{}'.", answer.corrected);
    if (!answer.other_readings.empty())
      line += fmt::format(" Or: {}.", fmt::join(answer.other_readings, ", "));
    out += Wrapped(line, look.width, 0);
  }
  std::vector<std::string> taken;
  for (const FilterTaken& filter : answer.filters) taken.push_back(filter.text);
  for (const std::string& name : answer.left_out) taken.push_back("without " + name);
  if (!taken.empty()) out += Wrapped(fmt::format("Only: {}.", fmt::join(taken, "; ")), look.width, 0);
  if (answer.some_words && !answer.results.empty())
    out += "Nothing holds all of the words; these hold some.\n";
  if (answer.ask == "swap" && !answer.answer.empty()) out += Wrapped(answer.answer, look.width, 0);
  return out;
}

std::string FindText(const kb::Catalogue& catalogue, const FindAnswer& answer, const Look& look) {
  std::string out = UnderstoodText(answer, look);
  if (answer.results.empty()) return out + "Nothing found.\n";
  for (const Found& found : answer.results) {
    out += Wrapped(FoundName(catalogue, found), look.width, 0);
    if (!found.why.empty()) out += Wrapped(found.why, look.width, 4);
  }
  if (answer.total > answer.results.size())
    out += fmt::format("{} of {}; --limit shows more.\n", answer.results.size(), answer.total);
  return out;
}

}  // namespace

Asked<Reply> AnswerFind(const Base& base, const Params& params, Want want, const Look& look) {
  auto question = ReadFind(base.catalogue, params);
  if (!question) return tl::unexpected(question.error());
  question->facets = want == Want::kJson;  // the text shows none
  const FindAnswer answer = base.finder->Find(base.Index(), *question);
  Reply reply;
  reply.found = !answer.results.empty();
  reply.body =
      want == Want::kText
          ? FindText(base.catalogue, answer, look)
          : AnswerJson(base.catalogue, *question, answer).dump(2, ' ', false, Json::error_handler_t::replace);
  return reply;
}

}  // namespace query
