#include "query/sheet.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include "query/swap_rebalance.h"

namespace query {
namespace {

constexpr std::size_t kOnSheet = 3;
// A required HLB is known to about half a unit at best (it is found by trying a row of blends a unit apart), so that less than this
// is no news to a maker.
constexpr double kHlbNews = 0.3;

std::optional<double> Figure(const std::string& text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

bool IsNoNews(const Change& change) {
  if (change.topic == "phase-total") return true;
  if (change.topic != "hlb") return false;
  const auto before = Figure(change.before);
  const auto after = Figure(change.after);
  return before && after && std::abs(*after - *before) < kHlbNews - 1e-9;
}

std::size_t LineOf(const kb::Formula& formula, IngredientIx ix) {
  const auto found = std::find_if(formula.lines.begin(), formula.lines.end(),
                                  [&](const kb::FormulaLine& line) { return line.ingredient == ix; });
  return static_cast<std::size_t>(found - formula.lines.begin());
}

}  // namespace

Sheet MakeSheet(const Catalogue& catalogue, const kb::Formula& formula,
                const std::vector<std::string>& keep) {
  Sheet sheet;
  sheet.formula = formula;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    SwapQuestion question;
    question.formula = formula;
    question.setting = formula.name;
    question.line = i;
    question.keep = keep;
    question.limit = kOnSheet;
    SheetLine& line = sheet.lines.emplace_back();
    line.line = i;
    if (catalogue.at(formula.lines[i].ingredient).functions.empty()) {
      line.verdict = "do-not-swap";
      line.because = "the base does not say what it is for";
      continue;
    }
    SwapAnswer answer = Swap(catalogue, question);
    line.verdict = answer.verdict;
    line.because = answer.because;
    line.role = catalogue.function(answer.role).name;
    line.stand_ins = std::move(answer.stand_ins);
  }
  return sheet;
}

std::string ChangeThatMatters(const StandIn& stand_in) {
  const Change* best = nullptr;
  const auto rank = [](const Change& change) {
    if (change.severity != Severity::kNote) return static_cast<int>(change.severity);
    return change.topic == "ph" || change.topic == "heat" ? 2
           : change.topic == "feel"                       ? 3
           : change.topic == "hlb"                        ? 4
                                                          : 9;
  };
  for (const Change& change : stand_in.changes) {
    if (IsNoNews(change) || rank(change) == 9) continue;
    if (best == nullptr || rank(change) < rank(*best)) best = &change;
  }
  if (best != nullptr) return best->text;
  if (!stand_in.handling.empty()) return stand_in.handling.front();
  return "nothing that matters";
}

SeveralAnswer SwapSeveral(const Catalogue& catalogue, const SwapQuestion& question,
                          const std::vector<IngredientIx>& missing) {
  SeveralAnswer out;
  out.after = question.formula;
  for (const IngredientIx ix : missing) {
    SwapQuestion one = question;
    one.formula = out.after;
    one.line = LineOf(out.after, ix);
    one.also_missing = missing;
    one.rebalance = false;  // once, around all of them
    if (one.line == out.after.lines.size()) continue;
    out.each.push_back(Swap(catalogue, one));
    if (out.each.back().stand_ins.empty()) {
      out.complete = false;
    } else {
      out.after = out.each.back().stand_ins.front().after;
    }
  }
  if (question.rebalance) {
    RebalanceSeveral(catalogue, question.formula, out);
    return out;
  }
  out.changes = Diff(Assess(catalogue, question.formula), Assess(catalogue, out.after));
  return out;
}

}  // namespace query
