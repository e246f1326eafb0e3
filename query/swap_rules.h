// The rules that a candidate has to pass before it is ranked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "query/swap.h"

namespace query {

struct Ruling {
  Fit fit = Fit::kFits;
  double factor = 1;                 // what a change costs in the ranking
  std::vector<std::string> reasons;  // the first one decided
  std::optional<double>
      ph_to;  // where the product's pH goes for it, because the old one was there for the missing one

  void RuleOut(std::string because) {
    if (fit != Fit::kRuledOut) reasons.clear();
    fit = Fit::kRuledOut;
    reasons.push_back(std::move(because));
  }
  void Change(std::string because, double cost) {
    if (fit == Fit::kRuledOut) return;
    fit = Fit::kFitsWithAChange;
    factor *= cost;
    reasons.push_back(std::move(because));
  }
};

struct RuleSetting {
  const Catalogue& catalogue;
  const SwapQuestion& question;
  const kb::Function& role;
  IngredientIx missing;
  std::optional<double> ph;      // of the formula, target or estimate
  std::optional<double> heat_c;  // what the missing ingredient's phase is heated to
};

// Rules that need no second assessment: kind of product, side, what must meet, requirements of the role, pH window, claims, shelf,
// limits that forbid it outright.
Ruling Judge(const RuleSetting& setting, IngredientIx candidate);

}  // namespace query
