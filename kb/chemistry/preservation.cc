#include "kb/chemistry/preservation.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace kb::chemistry {
namespace {

struct Bounds {
  const char* name;
  double value, low, high;
};

// NaN fails every comparison, so it is caught here too.
bool Inside(const Bounds& b) {
  return b.value >= b.low && b.value <= b.high;
}

OutOfRange Outside(const Bounds& b) {
  return {fmt::format("{} is {}, expected {} to {}", b.name, b.value, b.low, b.high)};
}

constexpr double kGreatestMolarMass = 100000;
constexpr double kLeastMolarMass = 1;  // hydrogen
// A free acid weighs less than its salt, bar lithium and such; far above it, the caller has swapped the two.
constexpr double kSwapped = 1.2;
constexpr double kRounding = 1e-9;

}  // namespace

tl::expected<FreePreservative, OutOfRange> FreeInWater(const Partition& partition) {
  const std::array bounds = {
      Bounds{"overall concentration", partition.overall, 0, 100},
      Bounds{"oil to water ratio", partition.oil_to_water, 0, 1e4},
      Bounds{"oil/water partition coefficient", partition.oil_water, 0, 1e9},
      Bounds{"share undissociated", partition.undissociated, 0, 1},
      Bounds{"binding factor", partition.binding, 1, 1e6},
  };
  for (const Bounds& b : bounds) {
    if (!Inside(b)) return tl::unexpected(Outside(b));
  }
  const double into_oil = partition.undissociated * partition.oil_water;
  const double per_water = into_oil * partition.oil_to_water + partition.binding;
  FreePreservative free;
  free.in_water = partition.overall * (partition.oil_to_water + 1) / per_water;
  free.undissociated = free.in_water * partition.undissociated;
  free.in_oil = free.in_water * into_oil;
  free.share_free = 1 / per_water;
  return free;
}

Spectrum SpectrumUnion(std::span<const Spectrum> blend) {
  const auto best = [&](Rating Spectrum::*kingdom) {
    Rating found = blend.empty() ? Rating::kUnknown : Rating::kNone;
    for (const Spectrum& one : blend) {
      if (one.*kingdom == Rating::kUnknown && found == Rating::kNone) found = Rating::kUnknown;
      if (one.*kingdom > Rating::kNone) found = std::max(found, one.*kingdom);
    }
    return found;
  };
  return {best(&Spectrum::gram_positive), best(&Spectrum::gram_negative), best(&Spectrum::yeast),
          best(&Spectrum::mould)};
}

std::vector<Kingdom> Gaps(const Spectrum& spectrum, Rating least) {
  const std::array<std::pair<Kingdom, Rating>, 4> all = {{
      {Kingdom::kGramPositive, spectrum.gram_positive},
      {Kingdom::kGramNegative, spectrum.gram_negative},
      {Kingdom::kYeast, spectrum.yeast},
      {Kingdom::kMould, spectrum.mould},
  }};
  std::vector<Kingdom> gaps;
  for (const auto& [kingdom, rating] : all) {
    if (rating < least) gaps.push_back(kingdom);
  }
  return gaps;
}

tl::expected<double, OutOfRange> FreeAcidLevel(double salt_level, double salt_molar_mass,
                                               double acid_molar_mass, int acids_per_salt) {
  const std::array bounds = {
      Bounds{"level of the salt", salt_level, 0, 100},
      Bounds{"molar mass of the salt", salt_molar_mass, kLeastMolarMass, kGreatestMolarMass},
      Bounds{"molar mass of the acid", acid_molar_mass, kLeastMolarMass, kGreatestMolarMass},
      Bounds{"acid molecules in the salt", double(acids_per_salt), 1, 20},
  };
  for (const Bounds& b : bounds) {
    if (!Inside(b)) return tl::unexpected(Outside(b));
  }
  const double ratio = acids_per_salt * acid_molar_mass / salt_molar_mass;
  if (ratio > kSwapped) {
    return tl::unexpected(OutOfRange{fmt::format(
        "{} x {} g/mol of acid in {} g/mol of salt: the acid weighs more than the salt, are the two swapped?",
        acids_per_salt, acid_molar_mass, salt_molar_mass)});
  }
  return salt_level * ratio;
}

tl::expected<LimitUse, OutOfRange> AgainstLimit(std::span<const double> levels, double limit) {
  if (const Bounds b{"limit", limit, 0, 100}; !Inside(b) || limit == 0) return tl::unexpected(Outside(b));
  LimitUse use;
  for (const double level : levels) {
    if (const Bounds b{"level", level, 0, 100}; !Inside(b)) return tl::unexpected(Outside(b));
    use.total += level;
  }
  use.share = use.total / limit;
  use.over = use.share > 1 + kRounding;
  return use;
}

}  // namespace kb::chemistry
