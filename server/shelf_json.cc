#include "server/shelf_json.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "query/facts.h"

namespace server {
namespace {

using Json = nlohmann::json;

bool Asked(const query::Params& params) {
  const std::string_view value = params.Get("on_shelf");
  return value == "true" || value == "1";
}

std::set<std::string> InStock(const Context& context) {
  std::set<std::string> ids;
  for (const Jar& jar : context.shelf->All()) {
    if (jar.amount_g > 0) ids.insert(jar.ingredient);
  }
  return ids;
}

Json Maybe(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

}  // namespace

std::string ShelfJson(const kb::Catalogue& catalogue, const std::vector<Jar>& jars) {
  const std::string today = Today();
  Json all = Json::array();
  for (const Jar& jar : jars) {
    const auto known = catalogue.FindExact(jar.ingredient);
    all.push_back({{"number", jar.number},
                   {"id", jar.ingredient},
                   {"known", known.has_value()},
                   {"name", known ? catalogue.at(*known).name : jar.ingredient},
                   {"inci", known ? catalogue.at(*known).inci : ""},
                   {"amount_g", jar.amount_g},
                   {"cost_per_kg", Maybe(jar.cost_per_kg)},
                   {"lot", jar.lot},
                   {"opened", jar.opened},
                   {"best_before", jar.best_before},
                   {"low_below_g", Maybe(jar.low_below_g)},
                   {"note", jar.note},
                   {"low", RunningLow(jar, today)}});
  }
  return Json{{"jars", std::move(all)}, {"today", today}}.dump(2, ' ', false, Json::error_handler_t::replace);
}

std::optional<Answer> LimitToShelf(const Context& context, query::Params& params) {
  std::erase_if(params.values, [](const auto& value) { return value.first == "shelf"; });
  if (!Asked(params)) return std::nullopt;
  if (context.shelf == nullptr)
    return Refusal(400, "this server keeps no shelf", "on_shelf", "stillroom-server --shelf FILE");
  for (const std::string& id : InStock(context)) params.values.emplace_back("shelf", id);
  return std::nullopt;
}

std::string OnlyOnShelf(const Context& context, const query::Params& params, const std::string& found) {
  if (!Asked(params) || context.shelf == nullptr) return found;
  const std::set<std::string> ids = InStock(context);
  Json document = Json::parse(found);
  Json kept = Json::array();
  for (Json& result : document["results"]) {
    if (result["type"] == "ingredient" && ids.count(result["id"].get<std::string>()) != 0)
      kept.push_back(std::move(result));
  }
  document["total"] = kept.size();
  document["results"] = std::move(kept);
  document["facets"] = Json::object();  // they would count what was left out
  document["understood"]["filters"].push_back(
      {{"filter", "on_shelf"}, {"text", "on the shelf"}, {"words", ""}, {"without", document["query"]}});
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

std::optional<Cost> CostOf(const Context& context, const kb::Formula& formula) {
  if (context.shelf == nullptr) return std::nullopt;
  const std::vector<Jar> jars = context.shelf->All();
  Cost cost;
  bool priced = false;
  for (const kb::FormulaLine& line : formula.lines) {
    const kb::Ingredient& item = context.base.catalogue.at(line.ingredient);
    std::optional<double> dearest;
    for (const Jar& jar : jars) {
      if (jar.ingredient == item.id && jar.cost_per_kg)
        dearest = std::max(dearest.value_or(0), *jar.cost_per_kg);
    }
    priced = priced || dearest.has_value();
    if (!dearest && query::WaterShare(context.base.catalogue, line.ingredient) >= 1) dearest = 0;
    if (!dearest) {
      cost.unknown.push_back(item.name);
      continue;
    }
    cost.per_kg += *dearest * line.pct / 100;
    cost.covered_pct += line.pct;
  }
  if (!priced) return std::nullopt;
  return cost;
}

}  // namespace server
