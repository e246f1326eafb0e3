// The pass over everybody who could play the role: who is ruled out, and in which order the others come. Numbers alone; the words
// are made later, by the same rules, for the few that are shown.
#pragma once

#include <algorithm>
#include <cstdint>
#include <utility>
#include <vector>

#include "query/role_table.h"

namespace query {

// What a ranking goes by, apart from what the rules cost.
//   trusted  likeness, lowered where little is known: what is not known is taken as a poor match, not as none
struct Merit {
  double trusted = 0;  // 0..1
  double prior = 1;    // 0..1, see RoleRow
  double others = 1;   // 0..1: how the other roles of the missing one are served
  double at_hand = 1;  // 0..1
  bool same = false;   // a solution or blend of the missing one itself, likely to be out of stock with it
};
// 0..1; `factor` is what the rules cost, 0..1.
double ScoreOf(const Merit& merit, double factor);
double Trusted(double likeness, double confidence);

class CandidatePass {
 public:
  // Keeps the references.
  CandidatePass(const RuleSetting& setting, const RoleTable& table, const std::vector<Role>& roles);

  const RoleTable& table() const { return table_; }
  // Of each row of the table; the missing one itself is ruled out.
  const std::vector<Fit>& fits() const { return fits_; }
  // Is a row ruled out by its nature, see Ruling::by_nature?
  bool ByNature(std::uint32_t row) const { return by_nature_[row] != 0; }
  const std::vector<double>& scores() const { return scores_; }
  bool IsMissing(std::uint32_t row) const { return table_.rows[row].ingredient == setting_.missing; }
  Tally LikenessOf(std::uint32_t row) const;
  Merit MeritOf(std::uint32_t row) const;

  // At most `most` of the rows that `wanted` takes, falling score, of equals the first ingredient.
  template <class Wanted>
  std::vector<std::uint32_t> Best(std::size_t most, const Wanted& wanted) const {
    std::vector<std::uint32_t> best;  // a heap with the last of them on top
    if (most == 0) return best;
    const auto before = [this](std::uint32_t a, std::uint32_t b) {
      return scores_[a] != scores_[b] ? scores_[a] > scores_[b] : a < b;
    };
    for (std::uint32_t row = 0; row < scores_.size(); ++row) {
      if (best.size() == most && !(scores_[row] > scores_[best.front()])) continue;
      if (IsMissing(row) || !wanted(row)) continue;
      if (best.size() == most) {
        std::pop_heap(best.begin(), best.end(), before);
        best.pop_back();
      }
      best.push_back(row);
      std::push_heap(best.begin(), best.end(), before);
    }
    std::sort_heap(best.begin(), best.end(), before);
    return best;
  }

 private:
  void FillTallies();
  void FillOthers(const std::vector<Role>& roles);
  void MarkSame();
  void Run();

  const RuleSetting& setting_;
  const RoleTable& table_;
  // Of each column that speaks of the missing one: what each showing adds to the likeness.
  std::vector<std::pair<const RoleColumn*, std::vector<Tally>>> tallies_;
  std::vector<double> others_;       // of each list of functions
  std::vector<std::uint32_t> same_;  // rows, rising
  std::vector<Fit> fits_;
  std::vector<std::uint8_t> by_nature_;  // 0 or 1
  std::vector<double> scores_;
};

}  // namespace query
