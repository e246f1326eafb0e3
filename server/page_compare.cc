// Compare: two to five ingredients side by side, property by property.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "server/page_parts.h"
#include "server/service_params.h"

namespace server {
namespace {

constexpr std::size_t kMost = 5;

// Everything that the record says of one property, the most trusted first.
Json CellOf(const Json& ingredient, const std::string& property) {
  Json values = Json::array();
  for (const Json& fact : ingredient.at("facts")) {
    if (fact.at("property") != property) continue;
    std::string when;
    for (const char* part : {"key", "function", "context"}) {
      if (fact.contains(part) && fact.at(part) != "")
        when += (when.empty() ? "" : ", ") + Words(fact.at(part).get<std::string>());
    }
    values.push_back({{"value", FactValue(fact)},
                      {"when", when},
                      {"standing", fact.at("standing")},
                      {"source_title", fact.value("source_title", "")}});
  }
  return {{"values", values}};
}

Json RowsOf(const kb::Catalogue& catalogue, const Json& ingredients) {
  Json rows = Json::array();
  for (const kb::Property& property : catalogue.properties()) {
    if (property.id == "commonness" || property.id == "claim" || property.id == "tip" ||
        property.id == "about")
      continue;
    Json cells = Json::array();
    std::size_t known = 0;
    bool different = false;
    for (const Json& ingredient : ingredients) {
      Json cell = CellOf(ingredient, property.id);
      if (!cell["values"].empty()) ++known;
      if (!cells.empty() && cell["values"] != cells.back()["values"]) different = true;
      cells.push_back(std::move(cell));
    }
    if (known == 0) continue;
    rows.push_back({{"label", PropertyLabel(property.id)},
                    {"help", property.help},
                    {"cells", cells},
                    {"different", different}});
  }
  return rows;
}

Answer ComparePage(const Context& context, const Question& question, const std::string&) {
  const auto params = ReadParams(question);
  if (!params) return params.error();
  std::vector<std::string> names = params->All("name");
  if (names.size() > kMost) names.resize(kMost);
  Json twin = {{"names", names}, {"ingredients", Json::array()}};
  for (const std::string& name : names) {
    query::Params one;
    one.values = {{"name", name}};
    Told told = Tell(context, "show", one);
    if (told.ok() && told.document.value("type", "") != "ingredient") {
      told = {Json::parse(
                  Refusal(400, fmt::format("'{}' is a function", name), "name", "the name of an ingredient")
                      .body),
              400};
    }
    if (!told.ok()) return Failed(told);
    twin["ingredients"].push_back(told.document);
  }
  query::Params all;
  for (const std::string& name : names) all.values.emplace_back("name", name);
  if (names.size() >= 2) {
    const Told told = Tell(context, "compare", all);
    if (told.ok()) twin["compare"] = told.document;
  }
  if (WantsJson(question)) return JsonAnswer(twin);
  Json view = twin;
  view["rows"] = RowsOf(context.base.catalogue, twin["ingredients"]);
  Json boxes = Json::array();
  for (std::size_t i = 0; i < kMost; ++i)
    boxes.push_back({{"number", i + 1}, {"name", i < names.size() ? names[i] : ""}});
  view["boxes"] = std::move(boxes);
  return HtmlAnswer("compare", view, {"compare", "compare", TwinOf(question), false, false});
}

}  // namespace

void AddComparePages(App& app) {
  AddPage(app, "/compare", ComparePage);
}

}  // namespace server
