// Place: a form for strangers that asks the next best question.
#include <fmt/format.h>

#include <algorithm>

#include "server/page_parts.h"
#include "server/service_params.h"

namespace server {
namespace {

// Fields of the form, and the facts that they stand for.
struct Field {
  const char *name, *property;
};
constexpr Field kFields[] = {
    {"form", "form"},     {"in_water", "in_water"},   {"water_g_per_l", "water_g_per_l"},
    {"in_oil", "in_oil"}, {"melting_c", "melting_c"}, {"max_c", "max_c"},
    {"log_p", "log_p"},   {"charge", "charge"},       {"function", "function"},
    {"smiles", "smiles"}};

query::Params PlaceParams(const query::Params& given) {
  query::Params params;
  for (const auto& [name, value] : given.values) {
    if (value.empty()) continue;
    const auto field = std::find_if(std::begin(kFields), std::end(kFields),
                                    [&key = name](const Field& one) { return key == one.name; });
    if (field != std::end(kFields)) {
      params.values.emplace_back("described", fmt::format("{}={}", field->property, value));
    } else if (name == "name" || name == "kind" || name == "level" || name == "described") {
      params.values.emplace_back(name, value);
    }
  }
  return params;
}

// "clear, and clear after the hour: --described in_water=dissolves water_g_per_l=50"
Json ResultsView(const Json& results, const Pairs& asked) {
  Json out = Json::array();
  for (const Json& result : results) {
    const std::string text = result;
    const std::string mark = ": --described ";
    const std::size_t at = text.find(mark);
    if (at == std::string::npos) {
      out.push_back({{"sees", text}, {"href", ""}});
      continue;
    }
    Pairs next = asked;
    next.emplace_back("described", text.substr(at + mark.size()));
    out.push_back({{"sees", text.substr(0, at)}, {"href", Href("/place", next)}});
  }
  return out;
}

// "where does it melt (melting_c)?": the key is for the command line.
std::string WithoutKey(const kb::Catalogue& catalogue, std::string fact) {
  const std::size_t open = fact.rfind(" (");
  const std::size_t close = fact.rfind(')');
  if (open == std::string::npos || close == std::string::npos || close < open) return fact;
  const std::string_view key = std::string_view(fact).substr(open + 2, close - open - 2);
  if (catalogue.FindProperty(key)) fact.erase(open, close - open + 1);
  return fact;
}

void AddAnswer(const kb::Catalogue& catalogue, const Json& twin, const Pairs& asked, Json& view) {
  view["answer"] = twin;
  Json& answer = view["answer"];
  answer["where"] = PositionWords(twin.at("position").get<std::string>());
  answer["percent"] = fmt::format("{:.0f}", 100 * twin.at("confidence").get<double>());
  answer["confidence_bar"] = DrawShare(twin.at("confidence").get<double>(),
                                       fmt::format("{} % sure", answer["percent"].get<std::string>()));
  answer["temperature"] =
      fmt::format("{:g}\u2013{:g} \u00b0C", twin.at("min_c").get<double>(), twin.at("max_c").get<double>());
  for (Json& second : answer["second"]) {
    second["where"] = PositionWords(second.at("position").get<std::string>());
    second["percent"] = fmt::format("{:.0f}", 100 * second.value("share", 0.0));
  }
  Json asks = Json::array();
  for (const Json& ask : twin.at("ask")) {
    Json one = ask;
    one["fact"] = WithoutKey(catalogue, ask.at("fact").get<std::string>());
    one["results"] = ResultsView(ask.value("results", Json::array()), asked);
    if (asks.empty()) one["first"] = true;
    asks.push_back(std::move(one));
  }
  answer["ask"] = std::move(asks);
}

void AddFields(const kb::Catalogue& catalogue, const query::Params& params, Json& view) {
  for (const char* text : {"name", "level", "water_g_per_l", "melting_c", "max_c", "log_p", "smiles"})
    view["field"][text] = std::string(params.Get(text));
  view["kinds"] = KindChoices(params.Get("kind").empty() ? "leave-on/emulsion-ow" : params.Get("kind"));
  for (const char* property : {"form", "in_water", "in_oil", "charge"})
    view["choices"][property] = ChoicesOf(catalogue, property, params.Get(property));
  view["functions"] = FunctionChoices(catalogue, params.Get("function"));
  Json said = Json::array();
  for (const std::string& fact : params.All("described"))
    said.push_back({{"fact", fact}, {"words", Words(fact)}});
  view["said"] = std::move(said);
}

Answer PlacePage(const Context& context, const Question& question, const std::string&) {
  const auto params = ReadParams(question);
  if (!params) return params.error();
  const query::Params asked = PlaceParams(*params);
  const bool something = !asked.Get("name").empty() || !asked.Get("described").empty();
  Json view = Json::object();
  int status = 200;
  if (something) {
    const Told told = Tell(context, "place", asked);
    status = told.status;
    if (WantsJson(question)) return JsonAnswer(told.document, told.status);
    if (told.ok()) {
      Pairs pairs = question.query;
      AddAnswer(context.base.catalogue, told.document, pairs, view);
    } else {
      view["error"] = told.document.at("error");
    }
  } else if (WantsJson(question)) {
    return JsonAnswer({{"fields",
                        {"name", "kind", "level", "described", "form", "in_water", "water_g_per_l", "in_oil",
                         "melting_c", "max_c", "log_p", "charge", "function", "smiles"}}});
  }
  AddFields(context.base.catalogue, *params, view);
  return HtmlAnswer("place", view, {"place", "place", TwinOf(question), false, false}, status);
}

}  // namespace

void AddPlacePages(App& app) {
  AddPage(app, "/place", PlacePage);
}

}  // namespace server
