#include "query/find_swap.h"

#include <fmt/format.h>

#include <algorithm>

#include "query/find_why.h"
#include "query/request.h"
#include "query/swap.h"

namespace query {
namespace {

constexpr std::size_t kStandIns = 8;

std::string KindFor(const kb::Catalogue& catalogue, kb::IngredientIx missing, const Reading& reading) {
  std::string form;
  for (const kb::SearchFilter& wish : reading.wants) {
    if (wish.name == "suits" && form.empty()) form = wish.words.front();
  }
  if (form.empty()) form = catalogue.Choice(missing, "suits");
  if (form.empty()) return "";
  const bool rinsed = form == "surfactant" || form == "conditioner";
  return (rinsed ? "rinse-off/" : "leave-on/") + form;
}

std::string Why(const kb::Catalogue& catalogue, const SwapAnswer& answer, const StandIn& item) {
  std::string out =
      fmt::format("Stands in for {} as {} at {:g} %: likeness {:.2f}", catalogue.at(answer.missing).name,
                  catalogue.function(answer.role).name, item.level_pct, item.likeness);
  if (item.blend.size() > 1) {
    out += ", with";
    for (std::size_t i = 1; i < item.blend.size(); ++i)
      out += fmt::format("{} {} {:g} %", i == 1 ? "" : ",", catalogue.at(item.blend[i].ingredient).name,
                         item.blend[i].level_pct);
  }
  out += ".";
  if (item.fit == Fit::kFitsWithAChange && !item.reasons.empty())
    out += " " + FirstSentence(item.reasons.front());
  return out;
}

}  // namespace

SwapLines StandInsFor(const kb::Catalogue& catalogue, kb::IngredientIx missing, const Reading& reading) {
  SwapLines out;
  Params params;
  params.values = {{"name", catalogue.at(missing).id}, {"limit", std::to_string(kStandIns)}};
  if (const std::string kind = KindFor(catalogue, missing, reading); !kind.empty())
    params.values.emplace_back("kind", kind);
  for (const Reading::Filter& item : reading.filters) {
    if (item.filter.name == "keep" && !item.filter.negative && item.filter.words.size() == 1)
      params.values.emplace_back("keep", item.filter.words.front());
  }
  const auto asked = ReadSwapQuestion(catalogue, params);
  if (!asked) return out;
  const SwapAnswer answer = Swap(catalogue, asked->question);
  out.never = answer.verdict == "do-not-swap";
  std::string verdict = answer.verdict;
  std::replace(verdict.begin(), verdict.end(), '-', ' ');
  // A search names no formula of the maker's own: of stand-ins much alike the one that is likelier at hand goes first.
  constexpr double kCommon = 0.05;  // of the score, a step of commonness
  constexpr double kChange = 0.1;   // off the score of what fits only with a change
  std::vector<StandIn> ordered = answer.stand_ins;
  const auto key = [&](const StandIn& item) {
    return item.score - (item.fit == Fit::kFitsWithAChange ? kChange : 0) +
           kCommon *
               catalogue.Number(item.blend.front().ingredient, "commonness").value_or(kb::Range{}).mid();
  };
  std::stable_sort(ordered.begin(), ordered.end(),
                   [&](const StandIn& a, const StandIn& b) { return key(a) > key(b); });
  for (const StandIn& item : ordered) {
    const kb::IngredientIx lead = item.blend.front().ingredient;
    // Another grade of the same substance is no alternative to it.
    if (catalogue.at(lead).inci == catalogue.at(missing).inci) continue;
    const bool there = std::any_of(out.stand_ins.begin(), out.stand_ins.end(),
                                   [&](const SwapLine& line) { return line.ingredient == lead; });
    if (!there && lead != missing) out.stand_ins.push_back({lead, Why(catalogue, answer, item)});
  }
  // What the swap itself says of a plain "swap" names its own first; here another may go first.
  std::string because = answer.because;
  if (answer.verdict == "swap" && !out.stand_ins.empty())
    because = fmt::format("First of the stand-ins: {}", catalogue.at(out.stand_ins.front().ingredient).name);
  out.answer = fmt::format("{} in {}: {}.{}{}", catalogue.at(missing).name, answer.setting, verdict,
                           because.empty() ? "" : " ", because);
  if (out.answer.back() != '.') out.answer += '.';
  return out;
}

}  // namespace query
