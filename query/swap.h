// The substitution finder: what stands in for an ingredient, at what level, and what the swap changes.
//
// A swap is an edit of a formula; what it changes is the difference of two assessments, so the explanation cannot disagree with
// the calculation. No ingredient is named in this code: roles, rules and what is compared come from data/.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "kb/formula.h"
#include "query/assess.h"
#include "query/diff.h"
#include "query/likeness.h"
#include "query/rebalance.h"
#include "query/roles.h"

namespace query {

struct SwapQuestion {
  kb::Formula formula;  // the setting; holds the missing ingredient in line `line`
  std::size_t line = 0;
  std::string setting;              // its name, for people
  bool typical = false;             // a typical formula of ours, because none was given
  std::string role;                 // function id; "" lets the formula decide
  std::vector<std::string> keep;    // claims
  std::vector<IngredientIx> shelf;  // only these, where `only_shelf`
  bool only_shelf = false;
  std::vector<IngredientIx> also_missing;  // neither offered nor taken as a partner
  std::vector<IngredientIx> why_not;       // to be answered for whatever happens
  std::size_t limit = 8;                   // stand-ins wanted
  bool rebalance = false;                  // move the other lines too: query/rebalance.h
};

struct BlendPart {
  IngredientIx ingredient = 0;
  double level_pct = 0;
};

struct Partner {
  IngredientIx ingredient = 0;
  double level_pct = 0;  // 0: already in the formula
  std::string because;
};

enum class Fit { kFits, kFitsWithAChange, kRuledOut };
std::string_view FitName(Fit fit);  // "fits", "fits-with-a-change", "ruled-out"

struct StandIn {
  std::vector<BlendPart> blend;         // the lead first
  double level_pct = 0;                 // of the lead
  double likeness = 0, confidence = 0;  // 0..1
  double score = 0;                     // what the ranking went by
  Fit fit = Fit::kFits;
  std::vector<std::string> reasons;  // why it fits, or what the change is
  std::string level_because;
  std::vector<Partner> partners;
  std::vector<Compared> compared;
  std::vector<Change> changes;
  std::vector<std::string> handling, cautions, sources;
  kb::Formula after;  // rebalanced where that was asked for
  std::optional<Rebalanced> rebalanced;
};

struct RuledOut {
  IngredientIx ingredient = 0;
  std::string because;
};

struct SwapAnswer {
  IngredientIx missing = 0;
  double level_pct = 0;
  std::string setting;
  bool typical = false;
  std::vector<Role> roles;
  kb::FunctionIx role = 0;
  std::string verdict;  // swap, swap-with-rework, do-not-swap
  std::string because;
  std::vector<StandIn> stand_ins;
  std::vector<RuledOut> ruled_out;  // those most like it, and every one asked for
  Assessment before;                // as deep as a difference needs
};

// Pure. The question's line must exist; its ingredient must have at least one function.
SwapAnswer Swap(const Catalogue& catalogue, const SwapQuestion& question);

// --- the steps, open for tests ---

// Level of a stand-in by the law of the role, % of the whole; `because` says which law and what was clipped.
struct Level {
  double pct = 0;
  std::string because;
  bool clipped = false;
  bool beyond = false;  // reckoned, and far more than anyone uses: too weak for the part
};
Level LevelFor(const Catalogue& catalogue, const kb::Function& role, IngredientIx missing, double missing_pct,
               IngredientIx stand_in, kb::Kind kind, std::optional<double> ph);

// The formula with line `line` replaced by the blend; the balance line takes up the difference.
kb::Formula Replace(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line,
                    const std::vector<BlendPart>& blend);

// Puts an ingredient into a formula that lacks it: in the place of the lines that play its main role, or as a new line in the
// phase that suits it. Returns the line's index.
std::size_t PutIn(const Catalogue& catalogue, kb::Formula& formula, IngredientIx ingredient,
                  std::optional<double> level_pct, std::string_view role);

}  // namespace query
