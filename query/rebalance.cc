#include "query/rebalance.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "query/assess_say.h"
#include "query/least_change.h"
#include "query/rebalance_lines.h"
#include "query/rebalance_ph.h"

namespace query {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kBalanceWeight = 1e-3;  // the balance line is there to be moved
constexpr double kLeastLeft = 0.5;       // of a line: less would be leaving it out by degrees
constexpr double kCovered = 0.7;         // of the oil phase, as Assess asks before it speaks of a gap
constexpr double kRounding = 1e-6;       // of sums that are the same by different ways
constexpr double kSeen = 0.05;           // % or HLB: what rounding to what can be weighed may do
constexpr int kMostRounds = 8;           // of the programme with T reckoned anew: two or three are usual

// Prices of a shortfall: each so much dearer than the next that it is given up last.
constexpr double kLimitGives = 1e6;
constexpr double kEmulsifierGives = 1e4;
constexpr double kOilGives = 1e2;
constexpr double kFluidGives = 10;
constexpr double kHlbGives = 0.1;  // a unit of HLB

bool Contains(const std::vector<IngredientIx>& list, IngredientIx ix) {
  return std::find(list.begin(), list.end(), ix) != list.end();
}

// The level before the swap of each line after it: the same ingredient, counted from the top; nullopt for what came in.
std::vector<std::optional<double>> LevelsBefore(const kb::Formula& before, const kb::Formula& after) {
  std::vector<bool> taken(before.lines.size(), false);
  std::vector<std::optional<double>> out;
  for (const kb::FormulaLine& line : after.lines) {
    std::optional<double>& level = out.emplace_back();
    for (std::size_t i = 0; i < before.lines.size() && !level; ++i) {
      if (taken[i] || before.lines[i].ingredient != line.ingredient) continue;
      taken[i] = true;
      level = before.lines[i].pct;
    }
  }
  return out;
}

// HLB given less HLB asked for; nullopt where HLB does not speak.
std::optional<double> Gap(const Emulsion& emulsion) {
  if (!emulsion.applies || emulsion.covered_share < kCovered) return std::nullopt;
  return *emulsion.provided_hlb - *emulsion.required_hlb;
}

class Balancing {
 public:
  Balancing(const Catalogue& catalogue, const kb::Formula& before, const Assessment& assessed,
            const kb::Formula& after, const std::vector<IngredientIx>& stand_in,
            const RebalanceSettings& settings)
      : catalogue_(catalogue),
        before_(assessed),
        stand_in_(stand_in),
        settings_(settings),
        formula_(after),
        swapped_levels_(Levels()),
        swapped_(Assess(catalogue, after, Depth::kForDiff)),
        shares_(SharesOf(catalogue, after)),
        before_shares_(SharesOf(catalogue, before).lines),
        levels_before_(LevelsBefore(before, after)),
        balance_(after.BalanceLine(catalogue)) {
    for (std::size_t i = 0; i < before.lines.size(); ++i) {
      const kb::FormulaLine& line = before.lines[i];
      before_levels_.push_back(line.pct);
      const bool stays =
          std::any_of(after.lines.begin(), after.lines.end(),
                      [&](const kb::FormulaLine& other) { return other.ingredient == line.ingredient; });
      if (stays) continue;
      acid_went_ = acid_went_ || SetsPh(line.ingredient);
      oil_went_ = oil_went_ || (before_shares_[i].oils > 0 && !before_shares_[i].emulsifier);
    }
    const auto gap_before = Gap(before_.emulsion);
    hlb_ = gap_before && Gap(swapped_.emulsion);
    if (hlb_) {
      gap_low_ = std::min(*gap_before, 0.0) - settings.hlb_tolerance;
      gap_high_ = std::max(*gap_before, 0.0) + settings.hlb_tolerance;
      required_ = *swapped_.emulsion.required_hlb;
    }
    for (std::size_t i = 0; i < formula_.lines.size(); ++i) bounds_.push_back(BoundOf(i));
  }

  Rebalanced Run() {
    if (!Solve()) {
      demands_.push_back({"total", false, before_.total_pct, swapped_.total_pct,
                          "what has to stay makes more than 100 %, or less: nothing was moved"});
      return Out();
    }
    HoldPh();
    Round();
    Judge();
    return Out();
  }

 private:
  bool IsStandIn(std::size_t i) const {
    return Contains(stand_in_, formula_.lines[i].ingredient) && !formula_.lines[i].rest;
  }

  LevelBound BoundOf(std::size_t i) const {
    const kb::FormulaLine& line = formula_.lines[i];
    const LineShares& share = shares_.lines[i];
    if (balance_ == i) {
      const double start = levels_before_[i].value_or(line.pct);
      return {start, 0, 100, Weight(start, true)};
    }
    const double start = IsStandIn(i) ? line.pct : levels_before_[i].value_or(line.pct);
    const auto usual = UsualHere(catalogue_, formula_, i);
    const bool with_water = swapped_.composition.water > 0;
    if (IsStandIn(i) || start <= 0 || !usual || (share.moves_ph && with_water) || (share.emulsifier && !hlb_))
      return {start, start, start, 0};
    return {start, std::min(start, std::max(usual->low, kLeastLeft * start)), std::max(start, usual->high),
            Weight(start, false)};
  }

  static double Weight(double start, bool balance) {
    return balance ? kBalanceWeight / std::max(start, 1.0) : start > 0 ? 1 / start : 0;
  }

  double Sum(double LineShares::*of, const std::vector<double>& levels) const {
    double sum = 0;
    for (std::size_t i = 0; i < levels.size(); ++i) sum += shares_.lines[i].*of * levels[i];
    return sum;
  }

  std::vector<double> Levels() const {
    std::vector<double> out;
    for (const kb::FormulaLine& line : formula_.lines) out.push_back(line.pct);
    return out;
  }

  LinearDemand DemandOn(double LineShares::*of, double level, double gives) const {
    LinearDemand demand{{}, level, level, gives};
    for (const LineShares& line : shares_.lines) demand.of.push_back(line.*of);
    return demand;
  }

  // Between what it was and what the swap made of it: going back is allowed, going the other way is not.
  LinearDemand BetweenOn(double LineShares::*of, double gives) const {
    const double was = OfBefore(of);
    const double is = Sum(of, swapped_levels_);
    LinearDemand demand = DemandOn(of, 0, gives);
    demand.low = std::min(was, is) - kRounding;
    demand.high = std::max(was, is) + kRounding;
    return demand;
  }

  double OfBefore(double LineShares::*of) const {
    double sum = 0;
    for (std::size_t i = 0; i < before_shares_.size(); ++i) sum += before_shares_[i].*of * before_levels_[i];
    return sum;
  }

  double Allowed(std::size_t row) const {
    const LimitUse* was = FindLimit(before_, shares_.limits[row]);
    return std::max(shares_.limits[row].most, was == nullptr ? 0.0 : was->pct);
  }

  // sum m_i (HLB_i - T - g): above 0 the emulsifiers give more than T + g.
  LinearDemand HlbDemand(double gap, bool at_least) const {
    const double mass = std::max(Sum(&LineShares::provided, Levels()), 1e-3);
    LinearDemand demand{{}, at_least ? 0 : -kNever, at_least ? kNever : 0, kHlbGives / mass};
    for (const LineShares& line : shares_.lines)
      demand.of.push_back(line.provided_of - (required_ + gap) * line.provided);
    return demand;
  }

  std::vector<LinearDemand> Demands() const {
    std::vector<LinearDemand> out;
    out.push_back({std::vector<double>(shares_.lines.size(), 1.0), 100, 100, 0});
    for (std::size_t row = 0; row < shares_.limits.size(); ++row) {
      LinearDemand demand{{}, -kNever, Allowed(row), kLimitGives};
      for (const LineShares& line : shares_.lines) demand.of.push_back(line.limits[row]);
      out.push_back(std::move(demand));
    }
    if (!KeepsOils()) return out;
    out.push_back(DemandOn(&LineShares::oils, OilsAsked(), kOilGives));
    out.push_back(BetweenOn(&LineShares::body, 0));
    out.push_back(BetweenOn(&LineShares::fluid, kFluidGives));
    if (!hlb_) return out;
    out.push_back(DemandOn(&LineShares::provided, EmulsifiersSwapped(), kEmulsifierGives));
    out.push_back(HlbDemand(gap_low_, true));
    out.push_back(HlbDemand(gap_high_, false));
    return out;
  }

  bool KeepsOils() const { return kb::IsEmulsion(formula_.kind.form) && before_.composition.oils > 0; }

  // As before the swap; but where an oil went and what came in is none, its part is played without oil, and the others do not
  // make up for it.
  double OilsAsked() const {
    double came = 0;
    for (std::size_t i = 0; i < formula_.lines.size(); ++i)
      came += IsStandIn(i) ? shares_.lines[i].oils * formula_.lines[i].pct : 0;
    return came > 0 || !oil_went_ ? before_.composition.oils
                                  : std::min(before_.composition.oils, swapped_.composition.oils);
  }

  double EmulsifiersSwapped() const {
    double sum = 0;
    for (const EmulsionPart& part : swapped_.emulsion.provided_parts) sum += part.pct;
    return sum;
  }

  // The programme, until the required HLB that it rests on is that of its own answer.
  bool Solve() {
    for (int round = 0; round < kMostRounds; ++round) {
      const auto answer = LeastChange(bounds_, Demands());
      if (!answer) return false;
      for (std::size_t i = 0; i < formula_.lines.size(); ++i) formula_.lines[i].pct = answer->levels[i];
      if (!hlb_) break;
      const double known = Sum(&LineShares::required, answer->levels);
      const double now = known > 0 ? Sum(&LineShares::required_of, answer->levels) / known : required_;
      if (std::abs(now - required_) < 1e-6) break;
      required_ = now;
    }
    return true;
  }

  // Moves the dose of an acid or base where the pH went further than the estimate can be trusted, and solves again around it.
  void HoldPh() {
    const PhQuestion question{catalogue_, before_.ph, formula_.target_ph, settings_.ph_tolerance};
    for (int round = 0; round < kMostRounds && PhMoved(question, formula_); ++round) {
      const auto dose = DoseInFormula(question, formula_, balance_, DoseLines());
      if (!dose) return;
      const double start = bounds_[dose->line].start;
      bounds_[dose->line] = {dose->pct, dose->pct, dose->pct, 0};
      if (!Solve()) {
        bounds_[dose->line] = {start, start, start, 0};
        Solve();
        return;
      }
      ph_line_ = dose->line;
    }
  }

  bool SetsPh(IngredientIx ix) const {
    return parts::IsMainly(catalogue_, ix, {"acidifier", "alkaliser", "buffer"});
  }

  // What sets the pH: the stand-in where it takes the place of an acid or a base, then those of the formula; each with the most that
  // the law leaves room for.
  std::vector<DoseLine> DoseLines() const {
    std::vector<DoseLine> out;
    for (const bool of_stand_in : {true, false}) {
      for (std::size_t i = 0; i < formula_.lines.size(); ++i) {
        const kb::FormulaLine& line = formula_.lines[i];
        if (IsStandIn(i) != of_stand_in || balance_ == i || line.pct <= 0) continue;
        if (!SetsPh(line.ingredient) || (of_stand_in && !acid_went_)) continue;
        double most = 100;
        for (std::size_t row = 0; row < shares_.limits.size(); ++row) {
          const double share = shares_.lines[i].limits[row];
          if (share > 0) most = std::min(most, line.pct + std::max(0.0, Allowed(row) - Counted(row)) / share);
        }
        out.push_back({i, most});
      }
    }
    return out;
  }

  double Counted(std::size_t row) const {
    double sum = 0;
    for (std::size_t i = 0; i < formula_.lines.size(); ++i)
      sum += shares_.lines[i].limits[row] * formula_.lines[i].pct;
    return sum;
  }

  // To what can be weighed. A line that a limit counts is rounded down, and all are where rounding up would overdraw the balance.
  void Round() {
    std::optional<std::size_t> rest = balance_;
    for (std::size_t i = 0; i < bounds_.size() && !balance_; ++i) {
      const bool movable = bounds_[i].high > bounds_[i].low;
      if (movable && (!rest || formula_.lines[i].pct > formula_.lines[*rest].pct)) rest = i;
    }
    if (!rest) return;
    const std::vector<double> exact = Levels();
    for (const bool down : {false, true}) {
      double others = 0;
      for (std::size_t i = 0; i < exact.size(); ++i) {
        if (i == *rest) continue;
        formula_.lines[i].pct = Rounded(i, exact[i], down);
        others += formula_.lines[i].pct;
      }
      formula_.lines[*rest].pct = 100 - others;
      if (100 - others >= 0) return;
    }
    formula_.lines[*rest].pct = std::max(0.0, formula_.lines[*rest].pct);
  }

  double Rounded(std::size_t i, double level, bool down) const {
    const LevelBound& bound = bounds_[i];
    const bool dosed = ph_line_ == i;
    if (!dosed && std::abs(level - bound.start) < 1e-6) return bound.start;
    const double step = level >= 1 ? 0.01 : level >= 0.1 ? 0.001 : 0.0001;
    const auto& limits = shares_.lines[i].limits;
    down = down || std::any_of(limits.begin(), limits.end(), [](double share) { return share > 0; });
    const double rounded = step * (down ? std::floor(level / step + 1e-6) : std::round(level / step));
    return dosed ? rounded : std::clamp(rounded, bound.low, bound.high);
  }

  // By the assessment of what came out, not by the programme's own word.
  void Judge() {
    const Assessment now = Assess(catalogue_, formula_, Depth::kForDiff);
    demands_.push_back({"total", std::abs(now.total_pct - 100) < kb::kTotalTolerance, before_.total_pct,
                        now.total_pct, "the whole stays at 100 %"});
    demands_.push_back({"range", true, 0, 0, "each line that moves stays in its usual range"});
    JudgeLimits(now);
    if (KeepsOils()) {
      JudgeOils(now);
      JudgeHlb(now);
    }
    JudgePh(now);
  }

  void JudgeLimits(const Assessment& now) {
    bool met = true;
    for (std::size_t row = 0; row < shares_.limits.size(); ++row) {
      const LimitUse* use = FindLimit(now, shares_.limits[row]);
      if (use == nullptr || use->pct <= Allowed(row) + 1e-6) continue;
      met = false;
      demands_.push_back(
          {"limit", false, Allowed(row), use->pct,
           fmt::format("{} stands at {} %, and {} % is allowed ({})", use->substance, parts::Figure(use->pct),
                       parts::Figure(Allowed(row)), shares_.limits[row].where)});
    }
    if (met && !shares_.limits.empty())
      demands_.push_back({"limit", true, 0, 0, "what the law allows is kept to"});
  }

  void JudgeOils(const Assessment& now) {
    const double old_oils = OilsAsked();
    const double new_oils = now.composition.oils;
    const bool met = std::abs(new_oils - old_oils) <= kSeen;
    demands_.push_back(
        {"oil-phase", met, old_oils, new_oils,
         met ? fmt::format("the oils stay at {:.2f} %", new_oils)
             : fmt::format("the oils go from {:.2f} to {:.2f} %: the other oils are at the end of their "
                           "usual ranges",
                           old_oils, new_oils)});
  }

  void JudgeHlb(const Assessment& now) {
    if (!hlb_) {
      const Emulsion& of = Gap(before_.emulsion) ? swapped_.emulsion : before_.emulsion;
      notes_.push_back(
          fmt::format("HLB is not held, and the emulsifiers stay as they are: {}",
                      of.applies ? "the required HLB is known for too little of the oil phase" : of.because));
      return;
    }
    double emulsifiers = 0;
    for (const EmulsionPart& part : now.emulsion.provided_parts) emulsifiers += part.pct;
    const bool kept = std::abs(emulsifiers - EmulsifiersSwapped()) <= kSeen;
    demands_.push_back({"emulsifier", kept, EmulsifiersSwapped(), emulsifiers,
                        kept ? fmt::format("the emulsifiers stay at {:.2f} %", emulsifiers)
                             : fmt::format("the emulsifiers go from {:.2f} to {:.2f} %", EmulsifiersSwapped(),
                                           emulsifiers)});
    const double gap = *Gap(now.emulsion);
    const bool met = gap >= gap_low_ - kSeen && gap <= gap_high_ + kSeen;
    std::string text = fmt::format("the oil phase asks for HLB {:.1f}, the emulsifiers give {:.1f}",
                                   *now.emulsion.required_hlb, *now.emulsion.provided_hlb);
    if (!met) {
      text += fmt::format("; before it was {:.1f} and {:.1f}: ", *before_.emulsion.required_hlb,
                          *before_.emulsion.provided_hlb);
      text +=
          Movable(&LineShares::provided) < 2
              ? fmt::format("it takes a second emulsifier of {} HLB beside it", gap > 0 ? "lower" : "higher")
              : "the emulsifiers are at the end of their usual ranges";
    }
    demands_.push_back({"hlb", met, *Gap(before_.emulsion), gap, std::move(text)});
  }

  std::size_t Movable(double LineShares::*of) const {
    std::size_t count = 0;
    for (std::size_t i = 0; i < bounds_.size(); ++i)
      count += shares_.lines[i].*of > 0 && bounds_[i].high > bounds_[i].low ? 1U : 0U;
    return count;
  }

  void JudgePh(const Assessment& now) {
    const PhQuestion question{catalogue_, before_.ph, formula_.target_ph, settings_.ph_tolerance};
    if (!before_.ph.estimate || !now.ph.estimate) {
      if (now.composition.water > 0)
        notes_.push_back("the pH is not held: " +
                         (before_.ph.estimate ? now.ph.because : before_.ph.because));
      return;
    }
    const bool met = !PhMoved(question, formula_);
    std::string text =
        fmt::format("the pH is reckoned at {:.1f}, before at {:.1f}", *now.ph.estimate, *before_.ph.estimate);
    if (formula_.target_ph) text += fmt::format(", the target is {:.3g}", *formula_.target_ph);
    if (!met) text += "; " + DoseOutside(question, formula_, now);
    demands_.push_back({"ph", met, *before_.ph.estimate, *now.ph.estimate, std::move(text)});
  }

  Rebalanced Out() {
    Rebalanced out;
    for (std::size_t i = 0; i < formula_.lines.size(); ++i) {
      const double now = formula_.lines[i].pct;
      const double was = IsStandIn(i) ? swapped_levels_[i] : levels_before_[i].value_or(swapped_levels_[i]);
      if (std::abs(now - was) < 1e-9) continue;
      out.moves.push_back({i, was, now, balance_ == i});
      if (!IsStandIn(i)) out.cost += Weight(was, balance_ == i) * std::abs(now - was);
    }
    out.formula = std::move(formula_);
    out.demands = std::move(demands_);
    out.notes = std::move(notes_);
    return out;
  }

  const Catalogue& catalogue_;
  const Assessment& before_;
  const std::vector<IngredientIx>& stand_in_;
  RebalanceSettings settings_;
  kb::Formula formula_;
  std::vector<double> swapped_levels_;
  Assessment swapped_;
  FormulaShares shares_;
  std::vector<LineShares> before_shares_;
  std::vector<double> before_levels_;                 // of the formula before, line by line
  std::vector<std::optional<double>> levels_before_;  // before the swap, of the lines that are there after it
  std::optional<std::size_t> balance_;
  std::vector<LevelBound> bounds_;
  bool oil_went_ = false;   // what the swap took out was an oil, and not an emulsifier that came in one
  bool acid_went_ = false;  // what the swap took out set the pH
  bool hlb_ = false;
  double gap_low_ = 0, gap_high_ = 0, required_ = 0;
  std::optional<std::size_t> ph_line_;
  std::vector<HeldDemand> demands_;
  std::vector<std::string> notes_;
};

}  // namespace

bool Rebalanced::met() const {
  return std::all_of(demands.begin(), demands.end(), [](const HeldDemand& one) { return one.met; });
}

Rebalanced Rebalance(const Catalogue& catalogue, const kb::Formula& before, const Assessment& assessed,
                     const kb::Formula& after, const std::vector<IngredientIx>& stand_in,
                     const RebalanceSettings& settings) {
  return Balancing(catalogue, before, assessed, after, stand_in, settings).Run();
}

}  // namespace query
