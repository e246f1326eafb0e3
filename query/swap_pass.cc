#include "query/swap_pass.h"

#include <array>

namespace query {
namespace {

constexpr std::size_t kBlock = 256;  // rows whose sums stay in the nearest cache
// A solution or blend of the missing one itself: likely to be out of stock with it, unless it is seen on the shelf.
constexpr double kSameAgain = 0.55;

// How the other roles that the missing one plays here are served by one with these functions, 0..1.
double OtherRoles(const std::vector<Role>& roles, kb::FunctionIx role,
                  const std::vector<kb::FunctionIx>& functions) {
  double served = 0;
  double all = 0;
  for (const Role& other : roles) {
    if (other.function == role || other.weight < 0.1) continue;
    all += other.weight;
    const auto found = std::find(functions.begin(), functions.end(), other.function);
    if (found == functions.end()) continue;
    served += other.weight * std::max(0.5, 1 - 0.15 * static_cast<double>(found - functions.begin()));
  }
  return all > 0 ? served / all : 1;
}

}  // namespace

double ScoreOf(const Merit& merit, double factor) {
  return merit.trusted * merit.prior * factor * (0.8 + 0.2 * merit.others) * merit.at_hand *
         (merit.same ? kSameAgain : 1);
}

double Trusted(double likeness, double confidence) {
  return likeness * (0.5 + 0.5 * confidence);
}

CandidatePass::CandidatePass(const RuleSetting& setting, const RoleTable& table,
                             const std::vector<Role>& roles)
    : setting_(setting),
      table_(table),
      fits_(table.rows.size()),
      by_nature_(table.rows.size()),
      scores_(table.rows.size()) {
  FillTallies();
  FillOthers(roles);
  MarkSame();
  Run();
}

void CandidatePass::FillTallies() {
  const auto own_row = table_.RowOf(setting_.missing);
  for (const RoleColumn& column : table_.columns) {
    Showing own;
    if (!own_row) own = Show(setting_.catalogue, column.ruler, setting_.missing);
    const Showing& missing = own_row ? column.showings[column.place[*own_row]] : own;
    std::vector<Tally> tallies;
    tallies.reserve(column.showings.size());
    bool speaks = false;
    for (const Showing& showing : column.showings) {
      if (missing.possible && showing.possible) {
        tallies.push_back(
            TallyOf(column.ruler, missing, showing, Meet(column.ruler, missing, showing, setting_.ph)));
      } else {
        tallies.emplace_back();
      }
      speaks = speaks || tallies.back().all > 0;
    }
    if (speaks) tallies_.emplace_back(&column, std::move(tallies));
  }
}

void CandidatePass::FillOthers(const std::vector<Role>& roles) {
  others_.reserve(table_.functions.size());
  for (const auto& functions : table_.functions)
    others_.push_back(OtherRoles(roles, setting_.role_ix, functions));
}

void CandidatePass::MarkSame() {
  if (setting_.question.only_shelf) return;
  const std::string& inci = setting_.catalogue.at(setting_.missing).inci;
  const std::uint64_t hash = LabelHash(inci);
  for (std::uint32_t row = 0; row < table_.rows.size(); ++row) {
    if (table_.rows[row].label == hash && setting_.catalogue.at(table_.rows[row].ingredient).inci == inci)
      same_.push_back(row);
  }
  for (auto part =
           std::lower_bound(table_.parts.begin(), table_.parts.end(), std::pair(hash, std::uint32_t{0}));
       part != table_.parts.end() && part->first == hash; ++part) {
    const auto names = LabelNames(setting_.catalogue, table_.rows[part->second].ingredient);
    if (std::find(names.begin(), names.end(), inci) != names.end()) same_.push_back(part->second);
  }
  std::sort(same_.begin(), same_.end());
}

Tally CandidatePass::LikenessOf(std::uint32_t row) const {
  Tally out;
  for (const auto& [column, tallies] : tallies_) out.Add(tallies[column->place[row]]);
  return out;
}

Merit CandidatePass::MeritOf(std::uint32_t row) const {
  const RoleRow& item = table_.rows[row];
  const Tally likeness = LikenessOf(row);
  return {Trusted(likeness.value(), likeness.confidence()), item.prior, others_[item.functions], item.at_hand,
          std::binary_search(same_.begin(), same_.end(), row)};
}

void CandidatePass::Run() {
  std::array<Tally, kBlock> sums;
  auto same = same_.begin();
  for (std::size_t first = 0; first < table_.rows.size(); first += kBlock) {
    const std::size_t count = std::min(kBlock, table_.rows.size() - first);
    sums.fill({});
    for (const auto& [column, tallies] : tallies_) {
      const std::uint32_t* const place = column->place.data() + first;
      for (std::size_t i = 0; i < count; ++i) sums[i].Add(tallies[place[i]]);
    }
    for (std::size_t i = 0; i < count; ++i) {
      const auto row = static_cast<std::uint32_t>(first + i);
      const RoleRow& item = table_.rows[row];
      const Ruling ruling = Judge(setting_, item.ingredient, table_.facts[row], false);
      const bool is_same = same != same_.end() && *same == row;
      if (is_same) ++same;
      const Merit merit{Trusted(sums[i].value(), sums[i].confidence()), item.prior, others_[item.functions],
                        item.at_hand, is_same};
      fits_[row] = item.ingredient == setting_.missing ? Fit::kRuledOut : ruling.fit;
      by_nature_[row] = ruling.by_nature ? 1 : 0;
      scores_[row] = ScoreOf(merit, ruling.factor);
    }
  }
}

}  // namespace query
