#include "query/swap_rebalance.h"

#include <fmt/format.h>

#include <algorithm>

#include "query/assess_say.h"

namespace query {
namespace {

std::string MoveWords(const Catalogue& catalogue, const Rebalanced& rebalanced, const Move& move) {
  return fmt::format("{} {:.4g} % instead of {:.4g}",
                     catalogue.at(rebalanced.formula.lines[move.line].ingredient).name, move.after_pct,
                     move.before_pct);
}

// What a maker notices of the stand-in itself stays; the rest is reckoned anew.
void SayAgain(const Assessment& before, const Assessment& after, StandIn& item) {
  std::vector<Change> changes = Diff(before, after);
  for (Change& change : item.changes) {
    if (change.topic == "feel") changes.push_back(std::move(change));
  }
  item.changes = std::move(changes);
}

}  // namespace

void RebalanceAll(const Catalogue& catalogue, const kb::Formula& formula, SwapAnswer& answer) {
  for (StandIn& item : answer.stand_ins) {
    std::vector<IngredientIx> came;
    for (const BlendPart& part : item.blend) came.push_back(part.ingredient);
    item.rebalanced = Rebalance(catalogue, formula, answer.before, item.after, came);
    item.after = item.rebalanced->formula;
    SayAgain(answer.before, Assess(catalogue, item.after, Depth::kForDiff), item);
  }
}

void RebalanceSeveral(const Catalogue& catalogue, const kb::Formula& formula, SeveralAnswer& answer) {
  std::vector<IngredientIx> came;
  for (const SwapAnswer& one : answer.each) {
    if (one.stand_ins.empty()) continue;
    for (const BlendPart& part : one.stand_ins.front().blend) came.push_back(part.ingredient);
  }
  const Assessment before = Assess(catalogue, formula);
  answer.rebalanced = Rebalance(catalogue, formula, before, answer.after, came);
  answer.after = answer.rebalanced->formula;
  answer.changes = Diff(before, Assess(catalogue, answer.after));
}

std::vector<std::string> RebalanceWords(const Catalogue& catalogue, const Rebalanced& rebalanced) {
  std::vector<std::string> moved;
  std::string rest;
  for (const Move& move : rebalanced.moves) {
    if (move.balance) {
      rest = MoveWords(catalogue, rebalanced, move);
    } else {
      moved.push_back(MoveWords(catalogue, rebalanced, move));
    }
  }
  std::vector<std::string> out;
  out.push_back(
      "rebalanced: " + (moved.empty() ? std::string("nothing else has to move") : parts::Joined(moved)) +
      (rest.empty() ? "" : "; the balance: " + rest));
  std::vector<std::string> kept;
  for (const HeldDemand& demand : rebalanced.demands) {
    if (demand.met && demand.id != "total" && demand.id != "range") kept.push_back(demand.text);
  }
  if (!kept.empty()) out.push_back(fmt::format("kept: {}", fmt::join(kept, "; ")));
  for (const HeldDemand& demand : rebalanced.demands) {
    if (!demand.met) out.push_back("! cannot be kept: " + demand.text);
  }
  out.insert(out.end(), rebalanced.notes.begin(), rebalanced.notes.end());
  return out;
}

}  // namespace query
