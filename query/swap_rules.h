// The rules that a candidate has to pass before it is ranked.
//
// A rule reads numbers and marks that were taken from a record once (RuleFacts), so that thousands can be judged; the record itself
// is looked into only for the words, where they are wanted.
#pragma once

#include <concepts>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "query/swap.h"

namespace query {

struct Ruling {
  Fit fit = Fit::kFits;
  double factor = 1;                 // what a change costs in the ranking
  std::vector<std::string> reasons;  // the first one decided; empty where no words are wanted
  bool worded = true;
  bool by_nature = false;  // ruled out by its nature (product, charge, side): nobody would try it
  // Where the product's pH goes for it, because the old one was there for the missing one.
  std::optional<double> ph_to;

  // `because` gives the text, and is called only where it is wanted. The first reason against it is kept.
  template <std::invocable Because>
  void RuleOut(const Because& because) {
    if (fit == Fit::kRuledOut) return;
    reasons.clear();
    fit = Fit::kRuledOut;
    if (worded) reasons.push_back(because());
  }
  template <std::invocable Because>
  void Change(double cost, const Because& because) {
    if (fit == Fit::kRuledOut) return;
    fit = Fit::kFitsWithAChange;
    factor *= cost;
    if (worded) reasons.push_back(because());
  }
};

// What the rules read of one ingredient, for one role.
struct RuleFacts {
  std::uint32_t prohibited = 0;  // a bit a kind of product, see KindBit
  std::uint32_t suits = 0;       // a bit a form of product
  std::uint32_t suits_not = 0;   // a bit a form, and one a use behind them
  bool suits_said = false;
  Side side = Side::kUnknown;
  bool dry = false;                                     // powder, crystals, flakes
  bool in_heated_oil = false, in_heated_water = false;  // phases in which it usually goes
  double water = 0;                                     // 0..1
  std::vector<std::vector<std::uint16_t>>
      same;                            // of each property of role.same but the side: places of its choices
  std::vector<std::uint16_t> unmet;    // places of requirements of the role that it does not meet
  std::vector<std::uint16_t> burdens;  // places of claims whose burden lies on it
  std::optional<kb::Range> window;     // pH of the product
  std::optional<double> most_c;        // the greatest temperature that it stands, C
};
RuleFacts RuleFactsOf(const Catalogue& catalogue, const kb::Function& role, IngredientIx ix);
std::uint32_t KindBit(kb::Kind kind);

struct RuleSetting {
  RuleSetting(const Catalogue& catalogue_read, const SwapQuestion& asked, kb::FunctionIx role_taken,
              IngredientIx gone, const Assessment& assessed, std::optional<double> heat);

  const Catalogue& catalogue;
  const SwapQuestion& question;
  kb::FunctionIx role_ix;
  const kb::Function& role;
  IngredientIx missing;
  std::optional<double> ph;            // of the formula, target or estimate
  std::optional<double> heat_c;        // what the missing ingredient's phase is heated to
  std::optional<double> required_hlb;  // of the formula's oil phase
  bool ph_was_for_missing;             // the pH was set for the missing one, and may move without it
  RuleFacts missing_facts;
  const kb::ClaimStates& claims;
  std::vector<std::optional<std::size_t>>
      keep;                         // places of the claims to keep; nullopt: there is no such claim
  std::vector<IngredientIx> shelf;  // rising
};

// Rules that need no second assessment: kind of product, side, what must meet, requirements of the role, pH window, claims, shelf,
// limits that forbid it outright. `facts` are those of the candidate for the setting's role.
Ruling Judge(const RuleSetting& setting, IngredientIx candidate, const RuleFacts& facts, bool worded);
Ruling Judge(const RuleSetting& setting, IngredientIx candidate);

}  // namespace query
