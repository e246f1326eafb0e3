#include "query/least_change.h"

#include <fmt/format.h>
#include <glpk.h>

#include <cmath>
#include <limits>

namespace query {
namespace {

constexpr double kMet = 1e-7;       // a shortfall below that is the solver's rounding
constexpr double kRoom = 1e-8;      // left to a shortfall that is held while the change is made least
constexpr int kMostPivots = 20000;  // a formula takes tens; this only bounds a fault

// GLPK keeps one environment a thread: made here, and freed with everything in it.
class Environment {
 public:
  Environment() {
    glp_init_env();
    glp_term_out(GLP_OFF);
  }
  ~Environment() { glp_free_env(); }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
};

// Columns: for each level what it goes up and what it goes down, then for each demand what it lacks and what it has too much of.
class Programme {
 public:
  Programme(const std::vector<LevelBound>& levels, const std::vector<LinearDemand>& demands)
      : levels_(levels), demands_(demands), problem_(glp_create_prob()) {
    glp_set_obj_dir(problem_, GLP_MIN);
    glp_add_cols(problem_, 2 * static_cast<int>(levels.size() + demands.size()));
    for (std::size_t i = 0; i < levels.size(); ++i) {
      SetRange(Up(i), levels[i].high - levels[i].start);
      SetRange(Down(i), levels[i].start - levels[i].low);
    }
    if (!demands.empty()) glp_add_rows(problem_, static_cast<int>(demands.size()));
    for (std::size_t r = 0; r < demands.size(); ++r) AddRow(r);
  }
  ~Programme() { glp_delete_prob(problem_); }
  Programme(const Programme&) = delete;
  Programme& operator=(const Programme&) = delete;

  // The least price of what falls short; false where a demand that never gives cannot be met.
  bool LeastShortfall() {
    for (std::size_t i = 0; i < levels_.size(); ++i) SetCost(Up(i), 0), SetCost(Down(i), 0);
    for (std::size_t r = 0; r < demands_.size(); ++r) {
      const double most = demands_[r].gives > 0 ? std::numeric_limits<double>::infinity() : 0;
      for (const int column : {Lacks(r), Exceeds(r)}) {
        SetRange(column, most);
        SetCost(column, demands_[r].gives);
      }
    }
    return Solve();
  }

  // The least change with no more shortfall than the last solution had.
  bool LeastCost() {
    for (std::size_t i = 0; i < levels_.size(); ++i) {
      SetCost(Up(i), levels_[i].weight);
      SetCost(Down(i), levels_[i].weight);
    }
    for (std::size_t r = 0; r < demands_.size(); ++r) {
      for (const int column : {Lacks(r), Exceeds(r)}) {
        const double held = glp_get_col_prim(problem_, column);
        SetRange(column, held > kMet ? held + kRoom : 0);
        SetCost(column, 0);
      }
    }
    return Solve();
  }

  LeastChangeAnswer Answer() const {
    LeastChangeAnswer out;
    for (std::size_t i = 0; i < levels_.size(); ++i) {
      const double up = glp_get_col_prim(problem_, Up(i));
      const double down = glp_get_col_prim(problem_, Down(i));
      out.levels.push_back(levels_[i].start + up - down);
      out.cost += levels_[i].weight * std::abs(up - down);
    }
    for (std::size_t r = 0; r < demands_.size(); ++r) {
      const double by = glp_get_col_prim(problem_, Lacks(r)) + glp_get_col_prim(problem_, Exceeds(r));
      out.short_by.push_back(by > kMet ? by : 0);
    }
    return out;
  }

 private:
  static int Column(std::size_t pair, int which) { return static_cast<int>(2 * pair) + which; }
  int Up(std::size_t level) const { return Column(level, 1); }
  int Down(std::size_t level) const { return Column(level, 2); }
  int Lacks(std::size_t demand) const { return Column(levels_.size() + demand, 1); }
  int Exceeds(std::size_t demand) const { return Column(levels_.size() + demand, 2); }

  void SetRange(int column, double most) {
    if (std::isinf(most)) {
      glp_set_col_bnds(problem_, column, GLP_LO, 0, 0);
    } else {
      glp_set_col_bnds(problem_, column, most > 0 ? GLP_DB : GLP_FX, 0, std::max(most, 0.0));
    }
  }
  void SetCost(int column, double cost) { glp_set_obj_coef(problem_, column, cost); }

  void AddRow(std::size_t r) {
    const LinearDemand& demand = demands_[r];
    double now = 0;
    std::vector<int> columns = {0};  // GLPK counts from 1
    std::vector<double> values = {0};
    const auto put = [&](int column, double value) {
      columns.push_back(column);
      values.push_back(value);
    };
    for (std::size_t i = 0; i < levels_.size(); ++i) {
      now += demand.of[i] * levels_[i].start;
      if (demand.of[i] != 0) put(Up(i), demand.of[i]), put(Down(i), -demand.of[i]);
    }
    put(Lacks(r), 1);
    put(Exceeds(r), -1);
    const int row = static_cast<int>(r) + 1;
    glp_set_mat_row(problem_, row, static_cast<int>(columns.size()) - 1, columns.data(), values.data());
    const bool least = !std::isinf(demand.low);
    const bool most = !std::isinf(demand.high);
    const int kind = least && most ? (demand.low == demand.high ? GLP_FX : GLP_DB)
                     : least       ? GLP_LO
                     : most        ? GLP_UP
                                   : GLP_FR;
    glp_set_row_bnds(problem_, row, kind, least ? demand.low - now : 0, most ? demand.high - now : 0);
  }

  bool Solve() {
    glp_smcp settings;
    glp_init_smcp(&settings);
    settings.msg_lev = GLP_MSG_OFF;
    settings.it_lim = kMostPivots;
    settings.tol_bnd = settings.tol_dj = 1e-9;
    glp_std_basis(problem_);
    return glp_simplex(problem_, &settings) == 0 && glp_get_status(problem_) == GLP_OPT;
  }

  const std::vector<LevelBound>& levels_;
  const std::vector<LinearDemand>& demands_;
  glp_prob* problem_;
};

// GLPK ends the program on such input, so none of it gets there.
std::string WhatIsWrong(const std::vector<LevelBound>& levels, const std::vector<LinearDemand>& demands) {
  if (levels.empty()) return "no levels";
  for (std::size_t i = 0; i < levels.size(); ++i) {
    const LevelBound& one = levels[i];
    if (!std::isfinite(one.low) || !std::isfinite(one.high) ||
        !(one.low <= one.start && one.start <= one.high)) {
      return fmt::format("level {}: {} does not lie in {} to {}", i, one.start, one.low, one.high);
    }
    if (!std::isfinite(one.weight) || one.weight < 0)
      return fmt::format("level {}: weight {}, want 0 or more", i, one.weight);
  }
  for (std::size_t r = 0; r < demands.size(); ++r) {
    const LinearDemand& one = demands[r];
    if (one.of.size() != levels.size())
      return fmt::format("demand {} speaks of {} levels, and there are {}", r, one.of.size(), levels.size());
    for (const double of : one.of) {
      if (!std::isfinite(of)) return fmt::format("demand {}: {} is no number to work with", r, of);
    }
    const bool upside_down = std::isinf(one.low) && one.low > 0;
    if (!(one.low <= one.high) || upside_down || (std::isinf(one.high) && one.high < 0))
      return fmt::format("demand {}: {} to {} is no range", r, one.low, one.high);
    if (!std::isfinite(one.gives) || one.gives < 0)
      return fmt::format("demand {}: price {}, want 0 or more", r, one.gives);
  }
  return "";
}

}  // namespace

tl::expected<LeastChangeAnswer, std::string> LeastChange(const std::vector<LevelBound>& levels,
                                                         const std::vector<LinearDemand>& demands) {
  if (std::string wrong = WhatIsWrong(levels, demands); !wrong.empty())
    return tl::unexpected(std::move(wrong));
  const Environment environment;
  Programme programme(levels, demands);
  if (!programme.LeastShortfall())
    return tl::unexpected(std::string("the demands that never give cannot all be met"));
  if (!programme.LeastCost()) return tl::unexpected(std::string("the least change was not found"));
  return programme.Answer();
}

}  // namespace query
