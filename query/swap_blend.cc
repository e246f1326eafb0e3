#include "query/swap_blend.h"

#include <Eigen/Dense>
#include <algorithm>
#include <map>
#include <numeric>

#include "kb/chemistry/fatty_acids.h"

namespace query {
namespace {

constexpr double kSumRow = 1e3;       // weight of "shares add up to 1" against percentages
constexpr double kLeastShare = 0.08;  // a smaller part is not worth a second bottle

struct Profiles {
  Eigen::VectorXd wanted;
  std::vector<Eigen::VectorXd> oils;
  std::vector<IngredientIx> ids;
};

std::optional<Profiles> Gather(const Catalogue& catalogue, IngredientIx missing,
                               const std::vector<IngredientIx>& oils) {
  const auto wanted = FattyAcidsOf(catalogue, missing);
  if (!wanted) return std::nullopt;
  std::vector<std::pair<IngredientIx, kb::chemistry::FattyAcidProfile>> known;
  std::map<kb::chemistry::FattyAcid, Eigen::Index> row;
  const auto add_rows = [&](const kb::chemistry::FattyAcidProfile& profile) {
    for (const auto& [acid, percent] : profile) row.try_emplace(acid, static_cast<Eigen::Index>(row.size()));
  };
  add_rows(*wanted);
  for (const IngredientIx ix : oils) {
    if (auto profile = FattyAcidsOf(catalogue, ix)) {
      add_rows(*profile);
      known.emplace_back(ix, std::move(*profile));
    }
  }
  const auto size = static_cast<Eigen::Index>(row.size());
  const auto vector_of = [&](const kb::chemistry::FattyAcidProfile& profile) {
    Eigen::VectorXd out = Eigen::VectorXd::Zero(size);
    for (const auto& [acid, percent] : profile) out(row.at(acid)) = percent;
    const double sum = out.sum();
    return sum > 0 ? Eigen::VectorXd(out * (100 / sum)) : out;
  };
  Profiles out{vector_of(*wanted), {}, {}};
  for (const auto& [ix, profile] : known) {
    out.oils.push_back(vector_of(profile));
    out.ids.push_back(ix);
  }
  return out;
}

double LikenessOf(const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  return 1 - (a - b).cwiseAbs().sum() / 200;
}

// Least squares over exactly these columns with the sum held; empty where a share comes out negative: another active set has it.
std::vector<double> Shares(const Profiles& profiles, const std::vector<std::size_t>& columns) {
  const auto count = static_cast<Eigen::Index>(columns.size());
  Eigen::MatrixXd a(profiles.wanted.size() + 1, count);
  Eigen::VectorXd b(profiles.wanted.size() + 1);
  for (Eigen::Index j = 0; j < count; ++j) {
    a.col(j).head(profiles.wanted.size()) = profiles.oils[columns[static_cast<std::size_t>(j)]];
    a(profiles.wanted.size(), j) = kSumRow;
  }
  b.head(profiles.wanted.size()) = profiles.wanted;
  b(profiles.wanted.size()) = kSumRow;
  const Eigen::VectorXd x = a.colPivHouseholderQr().solve(b);
  std::vector<double> out;
  for (Eigen::Index j = 0; j < count; ++j) {
    if (x(j) < kLeastShare) return {};
    out.push_back(x(j) / x.sum());
  }
  return out;
}

void Try(const Profiles& profiles, const std::vector<std::size_t>& columns, OilBlend& best) {
  const std::vector<double> shares = Shares(profiles, columns);
  if (shares.empty()) return;
  Eigen::VectorXd mix = Eigen::VectorXd::Zero(profiles.wanted.size());
  for (std::size_t i = 0; i < columns.size(); ++i) mix += shares[i] * profiles.oils[columns[i]];
  const double likeness = LikenessOf(mix, profiles.wanted);
  // A third bottle has to earn its place.
  constexpr double kThird = 0.03;
  if (likeness <= best.likeness + (columns.size() == 3 && best.oils.size() == 2 ? kThird : 0)) return;
  std::vector<std::size_t> order(columns.size());
  std::iota(order.begin(), order.end(), 0);
  std::sort(order.begin(), order.end(), [&](std::size_t i, std::size_t j) { return shares[i] > shares[j]; });
  best.likeness = likeness;
  best.oils.clear();
  best.shares.clear();
  for (const std::size_t i : order) {
    best.oils.push_back(profiles.ids[columns[i]]);
    best.shares.push_back(shares[i]);
  }
}

}  // namespace

std::optional<OilBlend> BestOilBlend(const Catalogue& catalogue, IngredientIx missing,
                                     const std::vector<IngredientIx>& oils, double gain) {
  const auto profiles = Gather(catalogue, missing, oils);
  if (!profiles || profiles->oils.size() < 2) return std::nullopt;
  OilBlend best;
  for (const Eigen::VectorXd& oil : profiles->oils)
    best.best_single = std::max(best.best_single, LikenessOf(oil, profiles->wanted));
  const std::size_t count = profiles->oils.size();
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) Try(*profiles, {i, j}, best);
  }
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      for (std::size_t k = j + 1; k < count; ++k) Try(*profiles, {i, j, k}, best);
    }
  }
  if (best.oils.empty() || best.likeness < best.best_single + gain) return std::nullopt;
  return best;
}

}  // namespace query
