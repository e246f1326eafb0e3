#include "query/swap_json.h"

#include <fmt/format.h>

#include <cmath>

#include "query/swap_rebalance.h"

namespace query {
namespace {

using Json = nlohmann::json;

double Round(double value, double step) {
  return std::round(value / step) * step;
}

Json BlendJson(const Catalogue& catalogue, const std::vector<BlendPart>& blend) {
  Json out = Json::array();
  for (const BlendPart& part : blend) {
    const kb::Ingredient& item = catalogue.at(part.ingredient);
    out.push_back({{"id", item.id}, {"inci", item.inci}, {"name", item.name}, {"level_pct", part.level_pct}});
  }
  return out;
}

Json ComparedJson(const std::vector<Compared>& compared) {
  Json out = Json::array();
  for (const Compared& one : compared) {
    out.push_back({{"property", one.property},
                   {"weight", one.weight},
                   {"missing", one.missing},
                   {"stand_in", one.stand_in},
                   {"likeness", one.likeness ? Json(Round(*one.likeness, 0.001)) : Json(nullptr)}});
  }
  return out;
}

}  // namespace

Json ChangesJson(const std::vector<Change>& changes) {
  Json out = Json::array();
  for (const Change& change : changes) {
    out.push_back({{"topic", change.topic},
                   {"severity", SeverityName(change.severity)},
                   {"text", change.text},
                   {"before", change.before},
                   {"after", change.after},
                   {"unit", change.unit}});
  }
  return out;
}

Json RebalancedJson(const Catalogue& catalogue, const Rebalanced& rebalanced) {
  Json moves = Json::array();
  for (const Move& move : rebalanced.moves) {
    const kb::Ingredient& item = catalogue.at(rebalanced.formula.lines[move.line].ingredient);
    moves.push_back({{"id", item.id},
                     {"inci", item.inci},
                     {"name", item.name},
                     {"before_pct", move.before_pct},
                     {"after_pct", move.after_pct},
                     {"balance", move.balance}});
  }
  Json demands = Json::array();
  for (const HeldDemand& demand : rebalanced.demands) {
    demands.push_back({{"demand", demand.id},
                       {"met", demand.met},
                       {"before", demand.before},
                       {"after", demand.after},
                       {"text", demand.text}});
  }
  return {{"met", rebalanced.met()},       {"moves", std::move(moves)},
          {"demands", std::move(demands)}, {"notes", rebalanced.notes},
          {"cost", rebalanced.cost},       {"words", RebalanceWords(catalogue, rebalanced)}};
}

Json StandInJson(const Catalogue& catalogue, const StandIn& item, std::size_t rank) {
  const kb::Ingredient& lead = catalogue.at(item.blend.front().ingredient);
  Json partners = Json::array();
  for (const Partner& partner : item.partners) {
    const kb::Ingredient& other = catalogue.at(partner.ingredient);
    partners.push_back({{"id", other.id},
                        {"inci", other.inci},
                        {"level_pct", partner.level_pct},
                        {"in_formula", partner.level_pct <= 0},
                        {"because", partner.because}});
  }
  Json out = {{"rank", rank},
              {"blend", BlendJson(catalogue, item.blend)},
              {"id", lead.id},
              {"inci", lead.inci},
              {"name", lead.name},
              {"level_pct", item.level_pct},
              {"level_because", item.level_because},
              {"likeness", Round(item.likeness, 0.001)},
              {"confidence", Round(item.confidence, 0.001)},
              {"fit", FitName(item.fit)},
              {"reasons", item.reasons},
              {"partners", std::move(partners)},
              {"compared", ComparedJson(item.compared)},
              {"changes", ChangesJson(item.changes)},
              {"handling", item.handling},
              {"cautions", item.cautions},
              {"sources", item.sources},
              {"formula", kb::WriteFormula(catalogue, item.after)}};
  if (item.rebalanced) out["rebalanced"] = RebalancedJson(catalogue, *item.rebalanced);
  return out;
}

Json RuledOutJson(const Catalogue& catalogue, const std::vector<RuledOut>& ruled_out) {
  Json out = Json::array();
  for (const RuledOut& item : ruled_out) {
    const kb::Ingredient& other = catalogue.at(item.ingredient);
    out.push_back({{"id", other.id}, {"inci", other.inci}, {"name", other.name}, {"because", item.because}});
  }
  return out;
}

std::string BlendWords(const Catalogue& catalogue, const StandIn& item) {
  std::string out;
  for (const BlendPart& part : item.blend) {
    out += fmt::format("{}{} {:g} %", out.empty() ? "" : " + ", catalogue.at(part.ingredient).name,
                       part.level_pct);
  }
  return out;
}

}  // namespace query
