// After a swap, the least change to the other lines that keeps what the formula was: the last step of a swap, on request.
//
// Without it the balance line (water, q.s.) takes up whatever the swap leaves over. That keeps the total and nothing else: a stand-in
// at another level leaves the oil phase larger or smaller, one of another required HLB leaves the emulsifiers where the old oil
// wanted them. Rebalancing moves the other lines as little as will keep
//
//   total       100 %
//   range       each line in the usual range of what it does here, or as far outside it as it was; none below half of what it was
//   limit       what the law allows of a substance, or as far above it as the formula was
//   emulsifier  in an emulsion, the emulsifiers together as the swap left them
//   oil-phase   in an emulsion, what the emulsifier has to carry (oils, butters, waxes, fatty alcohols) as before the swap; where
//               something that is no oil takes an oil's part, as the swap left it
//   hlb         where HLB speaks for the emulsion before and after, the gap between the HLB that the emulsifiers give and the one that
//               the oils ask for: as it was, or nearer to none
//   ph          as the estimate was before; where the formula names a target, that or nearer to the target
//
// Least change  sum over the other lines of |new - old| / old: the change as a part of the line's own level. 0.1 % more of a
//               preservative used at 1 % counts as much as 0.8 % more of an oil used at 8 %, since a maker chose both levels to within
//               about the same part of them. A sum of absolute changes moves few lines and leaves the others alone, so that few
//               lines of a batch sheet have to be written anew. The balance line counts a thousandth of that: it is there to be moved.
// Linear        total, ranges, limits, emulsifiers and oils are sums over the lines. HLB is a quotient: with the required HLB T of
//               the oil phase and the gap g that is allowed, sum over the emulsifiers of m_i (HLB_i - T - g) has to lie on the right
//               side of 0, which is the alligation of the pair and linear while T stands. T is reckoned anew from the answer and the
//               programme solved again until it stands still. The oils set T and are not moved for its sake, as at the bench, where
//               emulsifiers are fitted to the oils.
// Oils          what is liquid at 25 C and what gives body (butters, waxes, fatty alcohols) are watched apart: either may go back to what
//               it was, and none beyond, so that no wax makes up for an oil; only liquid oils give way where the body cannot.
// Held          what is not linear stays where it is: every line that takes part in the acid-base equilibrium, emulsifiers where HLB
//               does not speak for them, lines whose usual level is not known, and the stand-in itself.
// pH            by the solver, outside the programme: where the swap moves the estimate further than it can be trusted, the dose of an
//               acid or a base that the formula holds is searched for the old pH, the stand-in's own if it came for one, and the programme
//               solved again around it. Nothing is put in that was not there: what would be needed is said.
// Not met       where demands cannot all be met, the answer keeps the total, then gives up in this order, as little as it must: hlb,
//               oil-phase, emulsifier, limit. Each demand says whether it is met; none is dropped in silence.
// Rounded       to what can be weighed: 0.01 %, below 1 % to 0.001 %. The balance line takes the rest.
// Trust         no further than the figures: required HLB to about 1 (kb/chemistry/hlb.h), the pH as it says. A first formula for a
//               trial batch.
// Source        griffin-1949 for HLB; the weighting, the half and the order are ours
// Pure          safe from any thread (query/least_change.h)
#pragma once

#include <string>
#include <vector>

#include "kb/formula.h"
#include "query/assess.h"
#include "query/facts.h"

namespace query {

struct RebalanceSettings {
  double hlb_tolerance = 0.5;  // a difference below 0.5 means nothing: kb/chemistry/hlb.h
  double ph_tolerance = 0.15;  // nobody sets it closer by the sum
};

// A line that ends at another level than before the swap.
struct Move {
  std::size_t line = 0;  // in Rebalanced::formula
  double before_pct = 0, after_pct = 0;
  bool balance = false;  // it takes up what is left
};

struct HeldDemand {
  std::string id;  // total, range, limit, emulsifier, oil-phase, hlb, ph
  bool met = true;
  double before = 0,
         after = 0;  // %, HLB or pH; for a limit the most allowed and what there is; 0 and 0 for range
  std::string text;  // for people
};

struct Rebalanced {
  kb::Formula formula;
  std::vector<Move> moves;          // in the formula's order
  std::vector<HeldDemand> demands;  // those that the formula makes
  std::vector<std::string> notes;   // what was not asked for, and why
  double cost = 0;                  // the sum of changes, as above

  bool met() const;
};

// before     the formula before the swap, and its assessment
// after      the formula with the stand-in in it, made up to 100 %
// stand_in   the ingredients that came in; their lines stay as they are
Rebalanced Rebalance(const Catalogue& catalogue, const kb::Formula& before, const Assessment& assessed,
                     const kb::Formula& after, const std::vector<IngredientIx>& stand_in,
                     const RebalanceSettings& settings = {});

}  // namespace query
