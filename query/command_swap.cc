// `swap`: the question read, answered, and written as JSON or as text.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/render.h"
#include "query/service.h"
#include "query/swap_json.h"
#include "query/swap_rebalance.h"
#include "query/swap_tips.h"

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
constexpr std::size_t kHandlingShown = 5;
constexpr std::size_t kCautionsShown = 3;
constexpr std::size_t kToBuy = 4;  // named where the shelf has nothing

std::string_view Mark(Severity severity) {
  return severity == Severity::kStop ? "! " : severity == Severity::kWarn ? "* " : "- ";
}

// A caution that holds for whatever is chosen is said once, below the last of them.
bool HoldsForAll(const SwapAnswer& answer, const std::string& caution) {
  return answer.stand_ins.size() > 1 &&
         std::all_of(answer.stand_ins.begin(), answer.stand_ins.end(), [&](const StandIn& item) {
           return std::find(item.cautions.begin(), item.cautions.end(), caution) != item.cautions.end();
         });
}

// Phase totals first, those that move; where none does, one line says so.
void PhasesText(const StandIn& item, const Look& look, std::string& out) {
  std::string still;
  bool moved = false;
  for (const Change& change : item.changes) {
    if (change.topic != "phase-total") continue;
    if (change.before == change.after) {
      // "phase A (heated oil) stays at 22.00 %": what stands before the verb names it.
      const std::string name = change.text.substr(0, change.text.find(" stays"));
      still += fmt::format("{}{} {} %", still.empty() ? "" : ", ", name, change.after);
    } else {
      moved = true;
      out += Wrapped("- " + change.text, look.width, 5);
    }
  }
  if (!still.empty())
    out += Wrapped(fmt::format("- {}: {}", moved ? "unchanged" : "no phase changes its weight", still),
                   look.width, 5);
}

void ChangesText(const StandIn& item, const Look& look, std::string& out) {
  PhasesText(item, look, out);
  std::size_t shown = 0;
  for (const Change& change : item.changes) {
    if (change.topic == "phase-total") continue;
    if (shown >= kChangesShown) break;
    out += Wrapped(std::string(Mark(change.severity)) + change.text, look.width, 5);
    ++shown;
  }
}

// A reason that a change tells again, with what to do about it, is not said twice.
bool IsToldAsChange(const StandIn& item, const std::string& reason) {
  return std::any_of(item.changes.begin(), item.changes.end(), [&](const Change& change) {
    if (change.text.rfind(reason, 0) == 0) return true;
    return change.topic == "claim" && change.severity == Severity::kWarn &&
           reason.rfind("the formula stops", 0) == 0;
  });
}

void StandInText(const Catalogue& catalogue, const SwapAnswer& answer, const StandIn& item, std::size_t rank,
                 const Look& look, std::string& out) {
  out += fmt::format("\n{}. {}   likeness {:.2f}, known {:.0f} %, {}\n", rank, BlendWords(catalogue, item),
                     item.likeness, 100 * item.confidence,
                     item.fit == Fit::kFits ? "fits" : "fits with a change");
  out += Wrapped("level: " + item.level_because, look.width, 5);
  for (const std::string& reason : item.reasons) {
    if (!IsToldAsChange(item, reason)) out += Wrapped("change: " + reason, look.width, 5);
  }
  if (item.rebalanced) {
    for (const std::string& words : RebalanceWords(catalogue, *item.rebalanced))
      out += Wrapped(words, look.width, 5);
  }
  ChangesText(item, look, out);
  std::vector<std::string> tips;
  for (const BlendPart& part : item.blend) {
    for (std::string& tip : TipsFor(catalogue, item.after, answer.missing, part.ingredient))
      tips.push_back(std::move(tip));
  }
  for (std::size_t i = 0; i < std::min(item.handling.size(), kHandlingShown); ++i) {
    const std::string& text = item.handling[i];
    const bool tip = std::find(tips.begin(), tips.end(), text) != tips.end();
    out += Wrapped((tip ? "know: " : "do: ") + text, look.width, 5);
  }
  std::size_t cautions = 0;
  for (const std::string& caution : item.cautions) {
    if (HoldsForAll(answer, caution) || cautions++ >= kCautionsShown) continue;
    out += Wrapped("caution: " + caution, look.width, 5);
  }
}

void RuledOutText(const Catalogue& catalogue, const SwapAnswer& answer, const SwapAsked& asked,
                  const Look& look, std::string& out) {
  constexpr std::string_view kNotThere = "not on the shelf";  // of most of the base: no news
  std::string list;
  for (const RuledOut& item : answer.ruled_out) {
    const auto& asked_for = asked.question.why_not;
    if (item.because == kNotThere &&
        std::find(asked_for.begin(), asked_for.end(), item.ingredient) == asked_for.end())
      continue;
    list += Wrapped(fmt::format("- {}: {}", catalogue.at(item.ingredient).name, item.because), look.width, 2);
  }
  if (!list.empty()) out += "\nRuled out, nearest first:\n" + list;
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
    StandInText(catalogue, answer, answer.stand_ins[i], i + 1, look, out);
  }
  if (!answer.stand_ins.empty()) {
    for (const std::string& caution : answer.stand_ins.front().cautions) {
      if (HoldsForAll(answer, caution))
        out += "\n" + Wrapped("Whichever you take: " + caution, look.width, 0);
    }
  }
  RuledOutText(catalogue, answer, asked, look, out);
  return out;
}

// Where the shelf has nothing: what would do it, to be bought.
std::string ToBuy(const Catalogue& catalogue, SwapQuestion question) {
  question.only_shelf = false;
  question.limit = kToBuy;
  const SwapAnswer answer = Swap(catalogue, question);
  std::string out;
  for (const StandIn& item : answer.stand_ins) out += (out.empty() ? "" : ", ") + BlendWords(catalogue, item);
  return out;
}

}  // namespace

Asked<Reply> AnswerSwap(const Base& base, const Params& params, Want want, const Look& look) {
  if (params.Get("sheet") == "true") return AnswerSheet(base, params, want, look);
  if (params.All("name").size() > 1) return AnswerSeveral(base, params, want, look);
  const auto asked = ReadSwapQuestion(base.catalogue, params);
  if (!asked) return tl::unexpected(asked.error());
  SwapAnswer answer = Swap(base.catalogue, asked->question);
  if (asked->question.only_shelf && answer.verdict == "do-not-swap" && answer.stand_ins.empty() &&
      base.catalogue.function(answer.role).swap != "never") {
    const std::string to_buy = ToBuy(base.catalogue, asked->question);
    answer.because = asked->question.shelf.empty() ? "the shelf is empty: enter what you have in stock first"
                                                   : "nothing on the shelf can take the part over";
    if (!to_buy.empty()) answer.because += "; to be had elsewhere, nearest first: " + to_buy;
  }
  Reply reply;
  reply.found = !answer.stand_ins.empty() || answer.verdict == "do-not-swap";
  reply.body = want == Want::kJson ? SwapJson(base.catalogue, answer, *asked)
                                   : SwapText(base.catalogue, answer, *asked, look);
  return reply;
}

}  // namespace query
