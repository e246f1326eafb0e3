// `swap`: the question read, answered, and written as JSON or as text.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/render.h"
#include "query/service.h"
#include "query/swap_json.h"
#include "query/swap_rebalance.h"

namespace query {
namespace {

using Json = nlohmann::json;

double Round(double value) {
  return std::round(value * 1000) / 1000;
}

std::string SwapJson(const Catalogue& catalogue, const SwapAnswer& answer, const SwapAsked& asked) {
  const kb::Ingredient& missing = catalogue.at(answer.missing);
  Json roles = Json::array();
  for (const Role& role : answer.roles) {
    const kb::Function& function = catalogue.function(role.function);
    roles.push_back({{"function", function.id},
                     {"name", function.name},
                     {"weight", Round(role.weight)},
                     {"because", role.because},
                     {"taken", role.function == answer.role}});
  }
  Json stand_ins = Json::array();
  for (std::size_t i = 0; i < answer.stand_ins.size(); ++i) {
    stand_ins.push_back(StandInJson(catalogue, answer.stand_ins[i], i + 1));
  }
  Json setting = {{"kind", kb::KindName(asked.question.formula.kind)},
                  {"typical", answer.typical},
                  {"text", answer.setting}};
  if (!answer.typical) setting["formula"] = answer.setting;
  Json document = {
      {"missing",
       {{"id", missing.id}, {"inci", missing.inci}, {"name", missing.name}, {"level_pct", answer.level_pct}}},
      {"setting", std::move(setting)},
      {"roles", std::move(roles)},
      {"role", catalogue.function(answer.role).id},
      {"verdict", answer.verdict},
      {"because", answer.because},
      {"stand_ins", std::move(stand_ins)},
      {"ruled_out", RuledOutJson(catalogue, answer.ruled_out)}};
  if (!asked.taken_for.empty()) document["taken_for"] = asked.taken_for;
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

constexpr std::size_t kChangesShown = 9;
constexpr std::size_t kHandlingShown = 4;
constexpr std::size_t kCautionsShown = 3;

void StandInText(const Catalogue& catalogue, const StandIn& item, std::size_t rank, const Look& look,
                 std::string& out) {
  out += fmt::format("\n{}. {}   likeness {:.2f}, known {:.0f} %, {}\n", rank, BlendWords(catalogue, item),
                     item.likeness, 100 * item.confidence,
                     item.fit == Fit::kFits ? "fits" : "fits with a change");
  out += Wrapped("level: " + item.level_because, look.width, 5);
  for (const std::string& reason : item.reasons) out += Wrapped("change: " + reason, look.width, 5);
  if (item.rebalanced) {
    for (const std::string& words : RebalanceWords(catalogue, *item.rebalanced))
      out += Wrapped(words, look.width, 5);
  }
  std::size_t shown = 0;
  for (const Change& change : item.changes) {
    if (change.topic != "phase-total" && shown >= kChangesShown) break;
    const std::string_view mark = change.severity == Severity::kStop   ? "! "
                                  : change.severity == Severity::kWarn ? "* "
                                                                       : "- ";
    out += Wrapped(std::string(mark) + change.text, look.width, 5);
    if (change.topic != "phase-total") ++shown;
  }
  for (std::size_t i = 0; i < std::min(item.handling.size(), kHandlingShown); ++i) {
    out += Wrapped("do: " + item.handling[i], look.width, 5);
  }
  for (std::size_t i = 0; i < std::min(item.cautions.size(), kCautionsShown); ++i) {
    out += Wrapped("caution: " + item.cautions[i], look.width, 5);
  }
}

std::string SwapText(const Catalogue& catalogue, const SwapAnswer& answer, const SwapAsked& asked,
                     const Look& look) {
  std::string out;
  if (!asked.taken_for.empty()) out += fmt::format("Taken for {}.\n", asked.taken_for);
  out += Wrapped(fmt::format("Out of stock: {}, {:g} % in {}", NameAndInci(catalogue, answer.missing),
                             answer.level_pct, answer.setting),
                 look.width, 0);
  for (const Role& role : answer.roles) {
    if (role.weight < 0.08 && role.function != answer.role) continue;
    out += Wrapped(fmt::format("{} as {} ({:.0f} %): {}", role.function == answer.role ? ">" : " ",
                               catalogue.function(role.function).name, 100 * role.weight, role.because),
                   look.width, 2);
  }
  std::string verdict = answer.verdict;
  std::replace(verdict.begin(), verdict.end(), '-', ' ');
  out += Wrapped(fmt::format("Verdict: {}. {}", verdict, answer.because), look.width, 0);
  for (std::size_t i = 0; i < answer.stand_ins.size(); ++i) {
    StandInText(catalogue, answer.stand_ins[i], i + 1, look, out);
  }
  if (!answer.ruled_out.empty()) out += "\nRuled out, nearest first:\n";
  for (const RuledOut& item : answer.ruled_out) {
    out += Wrapped(fmt::format("- {}: {}", catalogue.at(item.ingredient).name, item.because), look.width, 2);
  }
  return out;
}

}  // namespace

Asked<Reply> AnswerSwap(const Base& base, const Params& params, Want want, const Look& look) {
  if (params.Get("sheet") == "true") return AnswerSheet(base, params, want, look);
  if (params.All("name").size() > 1) return AnswerSeveral(base, params, want, look);
  const auto asked = ReadSwapQuestion(base.catalogue, params);
  if (!asked) return tl::unexpected(asked.error());
  const SwapAnswer answer = Swap(base.catalogue, asked->question);
  Reply reply;
  reply.found = !answer.stand_ins.empty() || answer.verdict == "do-not-swap";
  reply.body = want == Want::kJson ? SwapJson(base.catalogue, answer, *asked)
                                   : SwapText(base.catalogue, answer, *asked, look);
  return reply;
}

}  // namespace query
