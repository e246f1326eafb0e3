// Stand-ins of two or three where one is not enough: an oil blend that comes nearer to the missing one's fatty acids than any
// single oil does.
#pragma once

#include <optional>
#include <vector>

#include "query/facts.h"

namespace query {

struct OilBlend {
  std::vector<IngredientIx> oils;
  std::vector<double> shares;  // of the blend, sum 1, falling
  double likeness = 0;         // 1 less half the summed differences of the profiles, 0..1
  double best_single = 0;      // the same for the best of the oils alone
};

// The best blend of two or three of `oils` by non-negative least squares on the fatty-acid profile; nullopt where the missing one
// has no profile, fewer than two oils have one, or no blend comes nearer than the best single oil by `gain`.
//
//   minimise |A x - b|^2,  x >= 0,  sum x = 1     A: profiles of the oils, b: of the missing one, % of fatty acids
//
// Method  Lawson and Hanson, Solving Least Squares Problems, 1974, ch. 23 (recalled), for two or three columns: every active set is
//         tried, by its normal equations; the sum is kept by a heavy row
// Trust   the fatty acids only: what else is in an oil (unsaponifiables, colour, smell) is not blended
std::optional<OilBlend> BestOilBlend(const Catalogue& catalogue, IngredientIx missing,
                                     const std::vector<IngredientIx>& oils, double gain);

// The same for profiles that are at hand.
struct Oil {
  IngredientIx ingredient = 0;
  const kb::chemistry::FattyAcidProfile* acids = nullptr;  // not nullptr, not empty
};
std::optional<OilBlend> BestOilBlend(const kb::chemistry::FattyAcidProfile& wanted,
                                     const std::vector<Oil>& oils, double gain);

}  // namespace query
