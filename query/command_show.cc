// `show`: everything that is known of an ingredient or a function, with where it comes from.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/text.h"
#include "query/facts.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

using Json = nlohmann::json;

Json FactJson(const kb::Catalogue& catalogue, const kb::Fact& fact) {
  const kb::Property& property = catalogue.properties()[fact.property];
  Json out = {{"property", property.id},
              {"unit", property.unit},
              {"context", fact.context},
              {"source", catalogue.source(fact.source).key},
              {"source_title", catalogue.source(fact.source).title},
              {"at", fact.at},
              {"standing", kb::StandingName(fact.standing)},
              {"note", fact.note}};
  if (!fact.key.empty()) out["key"] = fact.key;
  if (!fact.function.empty()) out["function"] = fact.function;
  if (fact.at_c) out["at_c"] = *fact.at_c;
  if (!fact.number) {
    out["value"] = fact.text;
  } else if (fact.number->low == fact.number->high) {
    out["value"] = fact.number->low;
  } else {
    out["low"] = fact.number->low;
    out["high"] = fact.number->high;
  }
  return out;
}

Json IngredientJson(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const kb::Ingredient& item = catalogue.at(ix);
  Json functions = Json::array();
  for (const kb::FunctionIx function : item.functions) functions.push_back(catalogue.function(function).id);
  Json composition = Json::array();
  for (const kb::Component& part : item.composition) {
    composition.push_back({{"id", part.ingredient ? catalogue.at(*part.ingredient).id : ""},
                           {"inci", part.inci},
                           {"pct", part.pct},
                           {"source", catalogue.source(part.source).key}});
  }
  Json facts = Json::array();
  for (const kb::Fact& fact : item.facts) facts.push_back(FactJson(catalogue, fact));
  Json limits = Json::array();
  for (const std::string& name : LabelNames(catalogue, ix)) {
    for (const kb::Limit* limit : catalogue.LimitsOf(name)) {
      limits.push_back({{"substance", name},
                        {"jurisdiction", limit->jurisdiction},
                        {"annex", limit->annex},
                        {"entry", limit->entry},
                        {"max_pct", limit->max_pct ? Json(*limit->max_pct) : Json(nullptr)},
                        {"expressed_as", limit->expressed_as},
                        {"scope", limit->scope},
                        {"conditions", limit->conditions},
                        {"prohibited", limit->prohibited},
                        {"source", limit->source}});
    }
  }
  Json claims = Json::object();
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    const ClaimAnswer answer = KeepsClaim(catalogue, ix, rule.id);
    claims[rule.id] = {{"state", ClaimStateName(answer.state)}, {"because", answer.because}};
  }
  return {{"type", "ingredient"},   {"id", item.id},
          {"inci", item.inci},      {"name", item.name},
          {"also", item.also},      {"cas", item.cas},
          {"ec", item.ec},          {"label_names", item.label_names},
          {"functions", functions}, {"composition", composition},
          {"facts", facts},         {"limits", limits},
          {"claims", claims}};
}

Json FunctionJson(const kb::Catalogue& catalogue, kb::FunctionIx ix) {
  const kb::Function& function = catalogue.function(ix);
  Json members = Json::array();
  for (const kb::IngredientIx member : catalogue.Members(ix)) {
    members.push_back({{"id", catalogue.at(member).id},
                       {"inci", catalogue.at(member).inci},
                       {"name", catalogue.at(member).name}});
  }
  return {{"type", "function"},
          {"id", function.id},
          {"name", function.name},
          {"also", function.also},
          {"inventory", function.inventory},
          {"card",
           {{"what", function.card.what},
            {"choose", function.card.choose},
            {"levels", function.card.levels},
            {"wrong", function.card.wrong},
            {"sources", function.card.sources}}},
          {"members", members}};
}

std::string ValueWords(const kb::Property& property, const kb::Fact& fact) {
  std::string out = fact.key.empty() ? "" : fact.key + " ";
  if (!fact.number) {
    out += fact.text;
  } else {
    out += fact.number->low == fact.number->high
               ? fmt::format("{:g}", fact.number->low)
               : fmt::format("{:g}-{:g}", fact.number->low, fact.number->high);
    if (property.unit != "1" && !property.unit.empty()) out += " " + property.unit;
  }
  if (fact.at_c) out += fmt::format(" at {:g} C", *fact.at_c);
  if (!fact.function.empty()) out += " as " + fact.function;
  if (!fact.context.empty()) out += " (" + fact.context + ")";
  return out;
}

std::string IngredientText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  const kb::Ingredient& item = catalogue.at(ix);
  std::string out = Wrapped(NameAndInci(catalogue, ix), look.width, 0);
  if (!item.also.empty()) out += Wrapped(fmt::format("also: {}", fmt::join(item.also, ", ")), look.width, 0);
  if (!item.cas.empty()) out += Wrapped(fmt::format("CAS {}", fmt::join(item.cas, ", ")), look.width, 0);
  std::string functions;
  for (const kb::FunctionIx function : item.functions) {
    functions += (functions.empty() ? "" : ", ") + catalogue.function(function).name;
  }
  out += Wrapped("functions: " + functions, look.width, 0);
  for (const kb::Component& part : item.composition)
    out += Wrapped(fmt::format("{:g} % {}", part.pct, part.inci), look.width, 2);
  out += '\n';
  std::string_view last;
  for (const kb::Fact& fact : item.facts) {
    const kb::Property& property = catalogue.properties()[fact.property];
    std::string name = property.id;
    std::replace(name.begin(), name.end(), '_', ' ');
    if (property.id == last) name = std::string(name.size(), ' ');
    last = property.id;
    out += Wrapped(fmt::format("{}: {}{}  [{}, {}{}]", name, ValueWords(property, fact),
                               fact.note.empty() ? "" : "; " + fact.note, kb::StandingName(fact.standing),
                               catalogue.source(fact.source).key, fact.at.empty() ? "" : ", " + fact.at),
                   look.width, 0);
  }
  return out;
}

std::string FunctionText(const kb::Catalogue& catalogue, kb::FunctionIx ix, const Look& look) {
  const kb::Function& function = catalogue.function(ix);
  std::string out = function.name + "\n";
  for (const std::string& text :
       {function.card.what, function.card.choose, function.card.levels, function.card.wrong}) {
    if (!text.empty()) out += Wrapped(text, look.width, 2);
  }
  out += "members:\n";
  for (const kb::IngredientIx member : catalogue.Members(ix))
    out += Wrapped(NameAndInci(catalogue, member), look.width, 2);
  return out;
}

}  // namespace

Asked<Reply> AnswerShow(const Base& base, const Params& params, Want want, const Look& look) {
  const kb::Catalogue& catalogue = base.catalogue;
  const std::string_view name = params.Get("name");
  const bool exact = catalogue.FindExact(name).has_value();
  if (const auto function = catalogue.FindFunction(name); function && !exact) {
    return Reply{want == Want::kJson
                     ? FunctionJson(catalogue, *function).dump(2, ' ', false, Json::error_handler_t::replace)
                     : FunctionText(catalogue, *function, look),
                 true};
  }
  const auto found = ReadIngredient(catalogue, name, "name");
  if (!found) return tl::unexpected(found.error());
  if (want == Want::kText) {
    std::string text =
        found->corrected ? fmt::format("Taken for {}.\n", catalogue.at(found->ingredient).name) : "";
    return Reply{text + IngredientText(catalogue, found->ingredient, look), true};
  }
  Json document = IngredientJson(catalogue, found->ingredient);
  if (found->corrected) document["taken_for"] = catalogue.at(found->ingredient).name;
  return Reply{document.dump(2, ' ', false, Json::error_handler_t::replace), true};
}

}  // namespace query
