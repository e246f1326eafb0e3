#include "query/swap_blend.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
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
  // Of the least squares, each column with the heavy row under it: products of the columns, and with what is wanted.
  Eigen::MatrixXd products;
  Eigen::VectorXd targets;
};

Profiles Gather(const kb::chemistry::FattyAcidProfile& wanted, const std::vector<Oil>& oils) {
  std::map<kb::chemistry::FattyAcid, Eigen::Index> row;
  const auto add_rows = [&](const kb::chemistry::FattyAcidProfile& profile) {
    for (const auto& [acid, percent] : profile) row.try_emplace(acid, static_cast<Eigen::Index>(row.size()));
  };
  add_rows(wanted);
  for (const Oil& oil : oils) add_rows(*oil.acids);
  const auto size = static_cast<Eigen::Index>(row.size());
  const auto vector_of = [&](const kb::chemistry::FattyAcidProfile& profile) {
    Eigen::VectorXd out = Eigen::VectorXd::Zero(size);
    for (const auto& [acid, percent] : profile) out(row.at(acid)) = percent;
    const double sum = out.sum();
    return sum > 0 ? Eigen::VectorXd(out * (100 / sum)) : out;
  };
  Profiles out;
  out.wanted = vector_of(wanted);
  Eigen::MatrixXd columns(size, static_cast<Eigen::Index>(oils.size()));
  for (std::size_t i = 0; i < oils.size(); ++i) {
    out.oils.push_back(vector_of(*oils[i].acids));
    out.ids.push_back(oils[i].ingredient);
    columns.col(static_cast<Eigen::Index>(i)) = out.oils.back();
  }
  out.products = columns.transpose() * columns;
  out.products.array() += kSumRow * kSumRow;
  out.targets = columns.transpose() * out.wanted;
  out.targets.array() += kSumRow * kSumRow;
  return out;
}

double LikenessOf(const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  return 1 - (a - b).cwiseAbs().sum() / 200;
}

template <std::size_t kCount>
using Columns = std::array<std::size_t, kCount>;

// Least squares over exactly these columns with the sum held; false where a share comes out negative, because another active set
// has it, or where the columns are too much alike to tell shares apart.
template <std::size_t kCount>
bool Shares(const Profiles& profiles, const Columns<kCount>& columns, std::array<double, kCount>& shares) {
  constexpr double kTooAlike = 1e-12;  // of the greatest pivot
  constexpr auto kSize = static_cast<int>(kCount);
  Eigen::Matrix<double, kSize, kSize> a;
  Eigen::Matrix<double, kSize, 1> b;
  for (int i = 0; i < kSize; ++i) {
    const auto from = static_cast<Eigen::Index>(columns[static_cast<std::size_t>(i)]);
    b(i) = profiles.targets(from);
    for (int j = 0; j < kSize; ++j)
      a(i, j) = profiles.products(from, static_cast<Eigen::Index>(columns[static_cast<std::size_t>(j)]));
  }
  const Eigen::LDLT<Eigen::Matrix<double, kSize, kSize>> factors(a);
  const auto pivots = factors.vectorD();
  if (!(pivots.minCoeff() > kTooAlike * pivots.maxCoeff())) return false;
  const Eigen::Matrix<double, kSize, 1> x = factors.solve(b);
  for (int i = 0; i < kSize; ++i) {
    if (!(x(i) >= kLeastShare)) return false;
    shares[static_cast<std::size_t>(i)] = x(i) / x.sum();
  }
  return true;
}

template <std::size_t kCount>
void Try(const Profiles& profiles, const Columns<kCount>& columns, OilBlend& best) {
  std::array<double, kCount> shares{};
  if (!Shares(profiles, columns, shares)) return;
  Eigen::VectorXd mix = shares[0] * profiles.oils[columns[0]];
  for (std::size_t i = 1; i < kCount; ++i) mix += shares[i] * profiles.oils[columns[i]];
  const double likeness = LikenessOf(mix, profiles.wanted);
  // A third bottle has to earn its place.
  constexpr double kThird = 0.03;
  if (likeness <= best.likeness + (kCount == 3 && best.oils.size() == 2 ? kThird : 0)) return;
  Columns<kCount> order{};
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
  const auto wanted = FattyAcidsOf(catalogue, missing);
  if (!wanted) return std::nullopt;
  std::vector<kb::chemistry::FattyAcidProfile> profiles;
  profiles.reserve(oils.size());  // the oils point into it
  std::vector<Oil> known;
  for (const IngredientIx ix : oils) {
    auto profile = FattyAcidsOf(catalogue, ix);
    if (!profile) continue;
    profiles.push_back(std::move(*profile));
    known.push_back({ix, &profiles.back()});
  }
  return BestOilBlend(*wanted, known, gain);
}

std::optional<OilBlend> BestOilBlend(const kb::chemistry::FattyAcidProfile& wanted,
                                     const std::vector<Oil>& oils, double gain) {
  if (oils.size() < 2) return std::nullopt;
  const Profiles profiles = Gather(wanted, oils);
  OilBlend best;
  for (const Eigen::VectorXd& oil : profiles.oils)
    best.best_single = std::max(best.best_single, LikenessOf(oil, profiles.wanted));
  if (best.best_single + gain > 1) return std::nullopt;
  const std::size_t count = oils.size();
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) Try<2>(profiles, {i, j}, best);
  }
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      for (std::size_t k = j + 1; k < count; ++k) Try<3>(profiles, {i, j, k}, best);
    }
  }
  if (best.oils.empty() || best.likeness < best.best_single + gain) return std::nullopt;
  return best;
}

}  // namespace query
