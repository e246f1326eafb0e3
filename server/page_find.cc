// The front page: the box, filters with their counts, results.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "server/page_parts.h"
#include "server/service_params.h"
#include "server/shelf_json.h"

namespace server {
namespace {

constexpr std::size_t kShownValues = 8;  // of a facet; the others unfold
constexpr const char* kFacets[] = {"function", "phase", "solubility", "form",
                                   "charge",   "heat",  "origin",     "keep"};

bool HasPair(const Pairs& pairs, std::string_view name, std::string_view value) {
  return std::any_of(pairs.begin(), pairs.end(),
                     [&](const auto& pair) { return pair.first == name && pair.second == value; });
}

// The same question with one value more, or without it.
std::string Toggled(const Pairs& pairs, const std::string& name, const std::string& value) {
  Pairs other;
  for (const auto& pair : pairs) {
    if (pair.first == "limit" || (pair.first == name && pair.second == value)) continue;
    other.push_back(pair);
  }
  if (!HasPair(pairs, name, value)) other.emplace_back(name, value);
  return Href("/find", other);
}

Json FacetsView(const kb::Catalogue& catalogue, const Json& facets, const Pairs& asked) {
  Json out = Json::array();
  for (const char* name : kFacets) {
    if (!facets.contains(name)) continue;
    std::vector<std::pair<std::string, std::size_t>> values;
    for (const auto& [value, count] : facets.at(name).items())
      values.emplace_back(value, count.get<std::size_t>());
    std::stable_sort(values.begin(), values.end(),
                     [](const auto& a, const auto& b) { return a.second > b.second; });
    Json first = Json::array();
    Json more = Json::array();
    for (const auto& [value, count] : values) {
      const auto role = std::string_view(name) == "function" ? catalogue.FindFunction(value) : std::nullopt;
      const bool claim = std::string_view(name) == "keep";
      Json item = {{"name", role    ? catalogue.function(*role).name
                            : claim ? ClaimWords(value)
                                    : Words(value)},
                   {"count", count},
                   {"href", Toggled(asked, name, value)},
                   {"on", HasPair(asked, name, value)}};
      (first.size() < kShownValues || item["on"] ? first : more).push_back(std::move(item));
    }
    out.push_back({{"name", std::string(name) == "keep" ? "keeps the claim" : name},
                   {"first", std::move(first)},
                   {"more", std::move(more)}});
  }
  return out;
}

Json ChipsView(const Json& filters, const Pairs& asked) {
  Json out = Json::array();
  for (const Json& filter : filters) {
    const std::string text = filter.at("text");
    std::string href;
    if (filter.value("words", "") != "") {
      Pairs other = asked;
      for (auto& [name, value] : other) {
        if (name == "q") value = filter.at("without");
      }
      href = Href("/find", other);
    } else {
      // From the address: NAME:WORD, or the shelf.
      const std::string written = filter.at("filter");
      const std::size_t colon = written.find(':');
      for (const auto& [name, value] : asked) {
        const bool option = colon != std::string::npos && name == written.substr(0, colon) &&
                            written.substr(colon + 1) == value;
        if (option || (name == "filter" && value == written) || name == written)
          href = Toggled(asked, name, value);
      }
    }
    out.push_back({{"text", text}, {"href", href}});
  }
  return out;
}

Json ResultView(const Context& context, const Json& result, std::string_view function) {
  Json view = result;
  view["function"] = result.at("type") == "function";
  const std::string id = result.at("id");
  if (id.empty()) return view;
  view["href"] =
      fmt::format("/{}/{}", result.at("type") == "function" ? "function" : "ingredient", PercentEncoded(id));
  if (const auto ix = context.base.catalogue.FindId(id); ix && result.at("type") == "ingredient") {
    std::string role(function);
    if (role.empty() && !result.at("functions").empty()) role = result.at("functions").at(0);
    view["short"] = ShortFacts(context.base.catalogue, *ix, role);
    Json roles = Json::array();
    for (const Json& one : result.at("functions")) {
      const auto found = context.base.catalogue.FindFunction(one.get<std::string>());
      if (found && roles.size() < 4)
        roles.push_back({{"id", one}, {"name", context.base.catalogue.function(*found).name}});
    }
    view["roles"] = std::move(roles);
  }
  return view;
}

std::string GroupName(std::string group) {
  if (group == "ph") return "pH";
  group = Words(group);
  if (!group.empty() && group[0] >= 'a' && group[0] <= 'z')
    group[0] = static_cast<char>(group[0] - 'a' + 'A');
  return group;
}

Json Front(const Context& context) {
  const kb::Catalogue& catalogue = context.base.catalogue;
  std::map<std::string, Json> groups;
  for (const kb::Function& function : catalogue.functions()) {
    const auto ix = catalogue.FindFunction(function.id);
    Json& list = groups[function.group];
    if (list.is_null()) list = Json::array();
    list.push_back(
        {{"id", function.id}, {"name", function.name}, {"members", catalogue.Members(*ix).size()}});
  }
  Json functions = Json::array();
  for (auto& [group, list] : groups)
    functions.push_back({{"group", GroupName(group)}, {"functions", std::move(list)}});
  Json demos = Json::array();
  for (const kb::SavedFormula& formula : catalogue.formulas()) {
    if (formula.folder != "demo") continue;
    demos.push_back({{"id", formula.id}, {"name", FormulaName(formula)}});
  }
  return {{"ingredients", catalogue.ingredients().size()},
          {"functions", catalogue.functions().size()},
          {"groups", std::move(functions)},
          {"demos", std::move(demos)}};
}

void AddFields(const Context& context, const Question& question, Json& view) {
  view["q"] = std::string(question.Get("q"));
  view["shelf"] = context.shelf != nullptr;
  view["on_shelf"] = !question.Get("on_shelf").empty();
  // What is filtered by stays when the words change.
  Json kept = Json::array();
  for (const auto& [name, value] : question.query) {
    if (name != "q" && name != "limit" && name != "on_shelf" && !value.empty())
      kept.push_back({{"name", name}, {"value", value}});
  }
  view["kept"] = std::move(kept);
}

Answer FindPage(const Context& context, const Question& question, const std::string&) {
  auto params = ReadParams(question);
  if (!params) return params.error();
  std::erase_if(params->values, [](const auto& pair) { return pair.second.empty(); });
  const bool asked = std::any_of(params->values.begin(), params->values.end(), [](const auto& pair) {
    return pair.first != "on_shelf" && pair.first != "limit" && !pair.second.empty();
  });
  PageLook look{"", "find", TwinOf(question), true, false};
  if (!asked) {
    Json twin = Front(context);
    if (WantsJson(question)) return JsonAnswer(twin);
    AddFields(context, question, twin);
    return HtmlAnswer("front", twin, look);
  }
  if (auto refused = LimitToShelf(context, *params)) return *refused;
  Told told = Tell(context, "find", *params);
  if (!told.ok()) return Failed(told);
  told.document = Json::parse(OnlyOnShelf(context, *params, told.document.dump()));
  if (WantsJson(question)) return JsonAnswer(told.document, told.document["results"].empty() ? 404 : 200);
  Json& view = told.document;
  Json results = Json::array();
  const std::string function(question.Get("function"));
  for (const Json& result : view["results"]) results.push_back(ResultView(context, result, function));
  view["results"] = std::move(results);
  const Pairs pairs(params->values.begin(), params->values.end());
  Pairs shown = pairs;
  std::erase_if(shown, [](const auto& pair) { return pair.first == "shelf"; });
  view["chips"] = ChipsView(view["understood"]["filters"], shown);
  view["facets"] = FacetsView(context.base.catalogue, view["facets"], shown);
  if (view["total"].get<std::size_t>() > view["results"].size()) {
    Pairs more = shown;
    std::erase_if(more, [](const auto& pair) { return pair.first == "limit"; });
    more.emplace_back("limit", "200");
    view["more_href"] = Href("/find", more);
  }
  AddFields(context, question, view);
  look.title = question.Get("q").empty() ? "find" : std::string(question.Get("q"));
  return HtmlAnswer("find", view, look, view["results"].empty() ? 404 : 200);
}

}  // namespace

void AddFindPages(App& app) {
  AddPage(app, "/", FindPage);
  AddPage(app, "/find", FindPage);
}

}  // namespace server
