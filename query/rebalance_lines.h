// What each line of a formula brings to what a rebalancing keeps: the coefficients of its linear programme.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "query/assess.h"
#include "query/facts.h"

namespace query {

// All masses are % of the whole for 1 % of the line.
struct LineShares {
  double oils = 0;                       // what an emulsifier has to carry
  double fluid = 0, body = 0;            // of it, what is liquid at 25 C, and what gives body
  double required = 0, required_of = 0;  // lipids of known required HLB, and their mass times it
  double provided = 0, provided_of = 0;  // nonionic emulsifiers of known HLB, and their mass times it
  bool emulsifier = false;               // any emulsifier at all
  bool moves_ph = false;       // an acid, a base or a salt of one, or one whose constants are not known
  std::vector<double> limits;  // as each row of LimitRows counts it
};

// One row of the law that binds this formula.
struct LimitRow {
  std::string key;
  std::string substance, where;  // for people
  double most = 0;               // %, as the row counts it; 0 where prohibited
};

struct FormulaShares {
  std::vector<LineShares> lines;  // as in the formula
  std::vector<LimitRow> limits;
};

// By the rooms of Assess themselves, one line at a time, so that both reckon alike. Everything here is a sum over the lines, and so
// linear: kind, name and use of the formula decide which rows of the law bind, and no level does.
FormulaShares SharesOf(const Catalogue& catalogue, const kb::Formula& formula);

// The same row in an assessment; nullptr where nothing in that formula falls under it.
const LimitUse* FindLimit(const Assessment& assessment, const LimitRow& row);

// Usual range of what a line does in its formula; nullopt where it is not known.
std::optional<kb::Range> UsualHere(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line);

}  // namespace query
