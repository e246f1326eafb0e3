#include "query/roles.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace query {
namespace {

constexpr double kRankFall = 0.45;
constexpr double kUnusualForm = 0.2;
constexpr double kAtHome =
    1.5;  // a function that belongs to this kind of product speaks before one that fits anywhere
constexpr double kSupplyFloor = 0.6;
constexpr double kUnknownLevel = 0.8;  // no usual range known: neither for nor against

struct LevelFit {
  double factor = kUnknownLevel;
  std::string words;
};

LevelFit FitOfLevel(const Catalogue& catalogue, kb::IngredientIx ix, const kb::Function& function,
                    kb::Kind kind, double pct) {
  std::optional<kb::Range> range;
  for (const kb::Fact& fact : catalogue.Facts(ix, "use_pct")) {
    if (fact.function == function.id) {
      range = UsualLevel(catalogue, ix, function.id, kind);
      break;
    }
  }
  if (!range) return {kUnknownLevel, "no usual level is known for it"};
  if (range->contains(pct)) {
    return {1, fmt::format("{:.3g} % lies in its usual {:g}-{:g} %", pct, range->low, range->high)};
  }
  const double edge = pct < range->low ? range->low : range->high;
  const double distance = std::abs(std::log(std::max(pct, 1e-6) / std::max(edge, 1e-6)));
  return {std::exp(-0.8 * distance),
          fmt::format("{:.3g} % is {} its usual {:g}-{:g} %", pct, pct < range->low ? "below" : "above",
                      range->low, range->high)};
}

// Who else has this function among its first two, by level.
double SupplyShare(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line,
                   kb::FunctionIx function) {
  double all = 0;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    const auto rank = catalogue.FunctionRank(formula.lines[i].ingredient, function);
    if (i == line || (rank && *rank <= 1)) all += formula.lines[i].pct;
  }
  return all > 0 ? formula.lines[line].pct / all : 1;
}

}  // namespace

std::vector<Role> RolesOf(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line) {
  const kb::FormulaLine& item = formula.lines[line];
  const std::vector<kb::FunctionIx>& functions = catalogue.at(item.ingredient).functions;
  std::vector<Role> roles;
  double sum = 0;
  for (std::size_t rank = 0; rank < functions.size(); ++rank) {
    const kb::Function& function = catalogue.function(functions[rank]);
    // That it may not be used is the law's word, not a part that it plays; alone it is all that is known.
    if (function.id == "prohibited" && functions.size() > 1) continue;
    const LevelFit level = FitOfLevel(catalogue, item.ingredient, function, formula.kind, item.pct);
    const bool anywhere = function.forms.empty();
    const bool usual = anywhere || std::find(function.forms.begin(), function.forms.end(),
                                             kb::FormName(formula.kind.form)) != function.forms.end();
    const double supply = SupplyShare(catalogue, formula, line, functions[rank]);
    Role role;
    role.function = functions[rank];
    role.weight = 1 / (1 + kRankFall * static_cast<double>(rank)) * level.factor *
                  (anywhere ? 1
                   : usual  ? kAtHome
                            : kUnusualForm) *
                  (kSupplyFloor + (1 - kSupplyFloor) * supply);
    role.because = rank == 0 ? "its main function" : fmt::format("number {} of its functions", rank + 1);
    role.because += "; " + level.words;
    if (!usual) role.because += fmt::format("; unusual in a {}", kb::KindWords(formula.kind));
    if (supply > 0.95) {
      role.because += fmt::format("; the only {} here", function.name);
    } else {
      role.because += fmt::format("; {:.0f} % of what plays the part here", 100 * supply);
    }
    sum += role.weight;
    roles.push_back(std::move(role));
  }
  for (Role& role : roles) role.weight /= sum;
  std::stable_sort(roles.begin(), roles.end(),
                   [](const Role& a, const Role& b) { return a.weight > b.weight; });
  return roles;
}

}  // namespace query
