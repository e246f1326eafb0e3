// Cards: an ingredient or a function, with every fact, where it comes from and how far to trust it.
#include <fmt/format.h>

#include <algorithm>

#include "kb/text.h"
#include "server/page_parts.h"
#include "server/service_params.h"
#include "server/shelf.h"

namespace server {
namespace {

struct Group {
  const char *id, *name;
};
constexpr Group kGroups[] = {{"identity", "What it is"},
                             {"solubility", "What it dissolves in"},
                             {"heat", "Heat"},
                             {"making", "How it goes in"},
                             {"ph", "pH"},
                             {"charge", "Charge and salt"},
                             {"emulsifier", "As an emulsifier"},
                             {"oil", "Among oils"},
                             {"thickener", "As a thickener"},
                             {"humectant", "As a humectant"},
                             {"preservative", "As a preservative"},
                             {"surfactant", "As a surfactant"},
                             {"active", "As an active"},
                             {"cautions", "Cautions"}};

Json FactView(const kb::Catalogue& catalogue, const Json& fact) {
  const std::string id = fact.at("property");
  const auto property = catalogue.FindProperty(id);
  std::string when;
  const auto add = [&](const std::string& text) {
    if (!text.empty()) when += (when.empty() ? "" : ", ") + text;
  };
  if (fact.contains("key"))
    add(fact.at("key") == "all" ? "any product" : Words(fact.at("key").get<std::string>()));
  if (fact.contains("function")) {
    const auto role = catalogue.FindFunction(fact.at("function").get<std::string>());
    add("as " + (role ? catalogue.function(*role).name : fact.at("function").get<std::string>()));
  }
  add(Words(fact.value("context", "")));
  const std::string basis = fact.value("basis", "");
  if (basis == "class" || basis == "function") add("a rule of its " + basis);
  if (basis == "computed") add("computed");
  const std::string standing = fact.at("standing");
  return {{"label", PropertyLabel(id)},
          {"help", property ? catalogue.properties()[*property].help : ""},
          {"value", FactValue(fact)},
          {"when", when},
          {"note", fact.value("note", "")},
          {"standing", standing},
          {"mark", standing == "common practice" ? "practice" : standing},
          {"source", fact.value("source", "")},
          {"source_title", fact.value("source_title", "")},
          {"at", fact.value("at", "")}};
}

// Numbers that are drawn; their rows are not written again below.
bool IsDrawn(std::string_view property) {
  return property == "use_pct" || property == "ph_use" || property == "ph_active" || property == "ph_stable";
}

std::pair<double, double> RangeOf(const Json& fact) {
  if (fact.contains("low")) return {fact.at("low").get<double>(), fact.at("high").get<double>()};
  const double value = fact.at("value").is_number() ? fact.at("value").get<double>() : 0;
  return {value, value};
}

Json Drawn(const kb::Catalogue& catalogue, const Json& facts, bool levels) {
  double most = 0;
  for (const Json& fact : facts) {
    if (fact.at("property") == "use_pct") most = std::max(most, RangeOf(fact).second);
  }
  Json out = Json::array();
  for (const Json& fact : facts) {
    const std::string property = fact.at("property");
    if (!IsDrawn(property) || (property == "use_pct") != levels) continue;
    Json row = FactView(catalogue, fact);
    const auto [low, high] = RangeOf(fact);
    const std::string words = fmt::format("{} {} {}", row["label"].get<std::string>(),
                                          row["value"].get<std::string>(), row["when"].get<std::string>());
    row["svg"] = levels ? DrawAxis({{low, high, "use"}}, 0, RoundUp(most), words)
                        : DrawAxis({{low, high, property == "ph_stable" ? "stable" : "use"}}, 0, 14, words);
    out.push_back(std::move(row));
  }
  return out;
}

// The claims of one property: what safety assessments report, what approved medicines hold at most, what makes a drug of it in
// the United States.
Json ClaimsOf(std::string_view property, const kb::Catalogue& catalogue, const Json& facts) {
  Json out = Json::array();
  for (const Json& fact : facts) {
    if (fact.at("property") == property) out.push_back(FactView(catalogue, fact));
  }
  return out;
}

Json GroupsView(const kb::Catalogue& catalogue, const Json& facts) {
  Json out = Json::array();
  for (const Group& group : kGroups) {
    Json rows = Json::array();
    for (const Json& fact : facts) {
      const std::string id = fact.at("property");
      const auto property = catalogue.FindProperty(id);
      if (!property || catalogue.properties()[*property].group != group.id) continue;
      if (IsDrawn(id) || id == "about" || id == "commonness") continue;
      rows.push_back(FactView(catalogue, fact));
    }
    if (!rows.empty()) out.push_back({{"name", group.name}, {"facts", std::move(rows)}});
  }
  return out;
}

Json ClaimsView(const Json& claims) {
  Json kept = Json::array();
  Json broken = Json::array();
  Json unknown = Json::array();
  for (const auto& [id, claim] : claims.items()) {
    const std::string state = claim.at("state");
    Json item = {{"name", ClaimWords(id)}, {"because", claim.at("because")}, {"state", state}};
    (state == "kept" ? kept : state == "broken" ? broken : unknown).push_back(std::move(item));
  }
  return {{"kept", kept}, {"broken", broken}, {"unknown", unknown}};
}

Json LimitsView(const Json& limits) {
  Json out = Json::array();
  for (const Json& limit : limits) {
    Json row = limit;
    const std::string jurisdiction = limit.value("jurisdiction", "");
    row["where"] = fmt::format("{} {}{}/{}", jurisdiction, jurisdiction == "EU" ? "Annex " : "",
                               limit.value("annex", ""), limit.value("entry", ""));
    row["max"] = limit.at("prohibited").get<bool>() ? std::string("not allowed")
                 : limit.at("max_pct").is_null()    ? std::string("a condition")
                                                 : fmt::format("{:g} %", limit.at("max_pct").get<double>());
    out.push_back(std::move(row));
  }
  return out;
}

Json FunctionsView(const kb::Catalogue& catalogue, const Json& ids) {
  Json out = Json::array();
  for (const Json& id : ids) {
    const auto found = catalogue.FindFunction(id.get<std::string>());
    out.push_back({{"id", id}, {"name", found ? catalogue.function(*found).name : id.get<std::string>()}});
  }
  return out;
}

Json StockView(const Context& context, const std::string& id) {
  Json out = Json::array();
  if (context.shelf == nullptr) return out;
  for (const Jar& jar : context.shelf->All()) {
    if (jar.ingredient == id)
      out.push_back({{"amount", jar.amount_g},
                     {"lot", jar.lot},
                     {"best_before", jar.best_before},
                     {"low", RunningLow(jar, Today())}});
  }
  return out;
}

// Where it goes and what stands in for it, in a typical product of the kind asked for.
void AddAnswers(const Context& context, const std::string& id, const std::string& kind, Json& twin) {
  query::Params params;
  params.values = {{"name", id}, {"kind", kind}};
  std::erase_if(params.values, [](const auto& pair) { return pair.second.empty(); });
  const Told place = Tell(context, "place", params);
  twin["place"] = place.ok() ? place.document : Json(nullptr);
  params.values.emplace_back("limit", "3");
  const Told swap = Tell(context, "swap", params);
  twin["swap"] = swap.ok() ? swap.document : Json(nullptr);
}

Json IngredientView(const Context& context, const Json& twin, const std::string& kind) {
  const kb::Catalogue& catalogue = context.base.catalogue;
  const Json& facts = twin.at("facts");
  Json view = twin;
  for (const Json& fact : facts) {
    if (fact.at("property") == "about" && !view.contains("about")) view["about"] = FactView(catalogue, fact);
  }
  view["levels"] = Drawn(catalogue, facts, true);
  view["windows"] = Drawn(catalogue, facts, false);
  view["reported"] = ClaimsOf("reported_max_pct", catalogue, facts);
  view["medicines"] = ClaimsOf("topical_max_pct", catalogue, facts);
  view["drugs"] = ClaimsOf("us_otc_pct", catalogue, facts);
  view["groups"] = GroupsView(catalogue, facts);
  view["roles"] = FunctionsView(catalogue, twin.at("functions"));
  view["claim_states"] = ClaimsView(twin.at("claims"));
  view["limit_rows"] = LimitsView(twin.at("limits"));
  view["stock"] = StockView(context, twin.at("id").get<std::string>());
  view["kinds"] = KindChoices(kind.empty() ? "leave-on/emulsion-ow" : kind);
  if (twin.at("place").is_object()) {
    view["place"]["where"] = PositionWords(twin["place"]["position"].get<std::string>());
    view["place"]["percent"] = fmt::format("{:.0f}", 100 * twin["place"]["confidence"].get<double>());
    view["place"]["level_pct"] = fmt::format("{:.3g}", twin["place"].value("level_pct", 0.0));
    view["place"]["temperature"] = fmt::format("{:g}\u2013{:g} \u00b0C", twin["place"]["min_c"].get<double>(),
                                               twin["place"]["max_c"].get<double>());
  }
  if (twin.at("swap").is_object()) {
    Json stand_ins = Json::array();
    for (const Json& one : twin["swap"]["stand_ins"]) stand_ins.push_back(StandInView(one));
    view["swap"]["stand_ins"] = std::move(stand_ins);
    view["swap"]["missing"]["level_pct"] =
        fmt::format("{:.3g}", twin["swap"]["missing"].value("level_pct", 0.0));
    view["swap"]["setting_text"] = twin["swap"]["setting"].value("text", "");
  }
  return view;
}

Answer IngredientPage(const Context& context, const Question& question, const std::string& word) {
  const auto given = ReadParams(question);
  if (!given) return given.error();
  query::Params params;
  params.values = {{"name", word}};
  const auto exact = context.base.catalogue.FindId(word);
  Told told = exact ? Tell(context, "show", params) : Told{{}, 404};
  if (!exact) {
    query::Trouble trouble;
    trouble.what = "no such ingredient";
    trouble.where = kb::Fold(word);
    trouble.expected = "the id of an ingredient";
    trouble.nearest = context.base.catalogue.NearestNames(word, 3);
    told.document = Json::parse(query::TroubleJson(trouble));
  }
  if (!told.ok()) return Failed(told);
  const std::string kind(question.Get("kind"));
  AddAnswers(context, word, kind, told.document);
  if (WantsJson(question)) return JsonAnswer(told.document);
  return HtmlAnswer("ingredient", IngredientView(context, told.document, kind),
                    {told.document["name"].get<std::string>(), "find", TwinOf(question), false, false});
}

Answer FunctionPage(const Context& context, const Question& question, const std::string& word) {
  const kb::Catalogue& catalogue = context.base.catalogue;
  const auto found = catalogue.FindFunction(word);
  if (!found) {
    return Refusal(404, "no such function", kb::Fold(word), "the id of a function; see the front page");
  }
  query::Params params;
  params.values = {{"name", catalogue.function(*found).name}};
  Told told = Tell(context, "show", params);
  if (told.ok() && told.document.at("type") != "function") {
    params.values = {{"name", word}};  // an ingredient of that very name; the id leads to the function
    told = Tell(context, "show", params);
  }
  if (!told.ok()) return Failed(told);
  if (WantsJson(question)) return JsonAnswer(told.document);
  Json& view = told.document;
  std::stable_sort(view["members"].begin(), view["members"].end(), [&](const Json& a, const Json& b) {
    const auto common = [&](const Json& item) {
      const auto ix = catalogue.FindId(item.at("id").get<std::string>());
      const auto number = ix ? catalogue.Number(*ix, "commonness") : std::nullopt;
      return number ? number->mid() : 0;
    };
    return common(a) > common(b);
  });
  for (Json& member : view["members"]) {
    const auto ix = catalogue.FindId(member.at("id").get<std::string>());
    member["short"] = ix ? ShortFacts(catalogue, *ix, catalogue.function(*found).id) : Json::array();
  }
  view["count"] = view["members"].size();
  return HtmlAnswer("function", view, {view.value("name", ""), "find", TwinOf(question), false, false});
}

}  // namespace

void AddCardPages(App& app) {
  AddPage(app, "/ingredient/{id}", IngredientPage);
  AddPage(app, "/function/{id}", FunctionPage);
}

}  // namespace server
