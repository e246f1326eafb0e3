#include "query/swap_verdict.h"

#include <fmt/format.h>

#include <algorithm>

namespace query {
namespace {

constexpr double kWeakSwap = 0.45;  // below that the best one is no drop-in

}  // namespace

std::string OwnLimit(const Catalogue& catalogue, const SwapAnswer& answer) {
  const auto names = LabelNames(catalogue, answer.missing);
  for (const LimitUse& use : answer.before.limits) {
    const bool its_own = std::find(names.begin(), names.end(), use.substance) != names.end();
    if (!its_own || (!use.prohibited && !use.over)) continue;
    const std::string where = fmt::format("{} Annex {}{}", use.jurisdiction, use.annex,
                                          use.entry.empty() ? "" : ", entry " + use.entry);
    return use.prohibited ? fmt::format("{} is not allowed here itself ({})", use.substance, where)
                          : fmt::format("{} is above its own limit of {:g} % ({})", use.substance,
                                        use.max_pct.value_or(0), where);
  }
  return "";
}

void GiveVerdict(const Catalogue& catalogue, const kb::Function& role, SwapAnswer& answer) {
  answer.verdict = "swap";
  if (std::string own = OwnLimit(catalogue, answer); !own.empty()) {
    answer.verdict = "swap-with-rework";
    answer.because = own + ": the formula has to change";
    return;
  }
  if (role.swap == "rework") {
    answer.verdict = "swap-with-rework";
    answer.because = role.swap_note;
    return;
  }
  if (answer.stand_ins.empty()) {
    answer.verdict = "do-not-swap";
    answer.because = "nothing that the base holds passes the rules: see what was ruled out, and why";
    return;
  }
  const StandIn& best = answer.stand_ins.front();
  const std::string& name = catalogue.at(best.blend.front().ingredient).name;
  if (best.score < kWeakSwap) {
    answer.verdict = "swap-with-rework";
    answer.because =
        fmt::format("nothing is close: the best, {}, is alike to {:.2f} only", name, best.likeness);
    return;
  }
  answer.because = fmt::format("{} plays the same part ({})", name, role.name);
}

}  // namespace query
