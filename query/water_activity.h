// How far polyols and sugars lower the activity of a formula's water.
#pragma once

#include <optional>
#include <vector>

#include "query/assess.h"

namespace query {

// The activity that it does not exceed, 0..1, by Norrish's constants where they are known and by Raoult's law (K = 0, which
// lowers it less) for other polyols, glycols and sugars whose molar mass is known. nullopt where there is no water or nothing
// that counts. Salts are not seen: with them it is lower still.
std::optional<double> WaterActivityAtMost(const kb::Catalogue& catalogue,
                                          const std::vector<Substance>& substances, double water_pct);

}  // namespace query
