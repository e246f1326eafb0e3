#include <nlohmann/json.hpp>

#include "indexer/report.h"

namespace indexer {
namespace {

using Json = nlohmann::json;

Json ToJson(const Standings& standings) {
  Json out = {{"total", standings.total()}};
  for (const kb::Standing standing :
       {kb::Standing::kOwn, kb::Standing::kPublished, kb::Standing::kCommonPractice, kb::Standing::kEstimate,
        kb::Standing::kMemory}) {
    const std::string name(kb::StandingName(standing));
    out["count"][name] = standings.count[static_cast<std::size_t>(standing)];
    out["share"][name] = standings.share(standing);
  }
  return out;
}

Json ToJson(const FunctionReport& function) {
  Json asked = Json::array();
  for (const Asked& item : function.asked) {
    asked.push_back({{"property", item.property},
                     {"need", item.required ? "required" : "wanted"},
                     {"held", item.held},
                     {"missing", item.missing}});
  }
  return {
      {"id", function.id}, {"members", function.members}, {"main_for", function.main_for}, {"asked", asked}};
}

}  // namespace

std::string ReportJson(const Report& report) {
  const Counts& c = report.counts;
  Json functions = Json::array();
  for (const FunctionReport& function : report.functions) functions.push_back(ToJson(function));
  Json properties = Json::array();
  for (const PropertyReport& property : report.properties) {
    properties.push_back({{"id", property.id},
                          {"group", property.group},
                          {"ingredients", property.ingredients},
                          {"claims", ToJson(property.claims)}});
  }
  const Json out = {{"counts",
                     {{"ingredients", c.ingredients},
                      {"functions", c.functions},
                      {"claims", c.claims},
                      {"numeric_claims", c.numeric_claims},
                      {"properties", c.properties},
                      {"sources", c.sources},
                      {"limits", c.limits},
                      {"conflicts", c.conflicts}}},
                    {"numbers", ToJson(report.numbers)},
                    {"rules", {{"rules", report.rules.rules}, {"served", report.rules.served}}},
                    {"repeats", {{"claims", report.repeats.claims}, {"published", report.repeats.published}}},
                    {"computed", report.computed},
                    {"numeric_claims", ToJson(report.numeric)},
                    {"figures",
                     {{"all", ToJson(report.figures.all)},
                      {"claims", ToJson(report.figures.claims)},
                      {"limits", ToJson(report.figures.limits)},
                      {"composition", ToJson(report.figures.composition)},
                      {"shares_in_names", report.figures.named},
                      {"molar_masses_from_formula", report.figures.from_formula}}},
                    {"advice", ToJson(report.advice)},
                    {"judgements", ToJson(report.judgements)},
                    {"all_claims", ToJson(report.all)},
                    {"properties", properties},
                    {"functions", functions}};
  return out.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace indexer
