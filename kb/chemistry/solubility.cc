#include "kb/chemistry/solubility.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <vector>

namespace kb::chemistry {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kZeroCelsius = 273.15;  // K
constexpr double kGasConstant = 8.314;   // J/(mol K)
constexpr double kWaldenEntropy = 56.5;  // J/(mol K), entropy of fusion of rigid molecules
constexpr double kBand = 0.15;           // see SolubilityAt
constexpr double kWideBand = 0.30;
constexpr double kSameCelsius = 1, kNearCelsius = 5;
constexpr double kRoomLow = 15, kRoomHigh = 30;  // C, where a figure of unsaid temperature is used

tl::unexpected<OutOfRange> Refuse(std::string what) {
  return tl::unexpected(OutOfRange{std::move(what)});
}

bool Within(double value, double low, double high) {
  return value >= low && value <= high;
}

struct ClassRow {
  SolubilityClass soluble;
  std::string_view name;
  SolubilityRange bounds;
};

// Ph. Eur. General Notices; the g/L are 1000 / parts.
constexpr std::array<ClassRow, 7> kClasses = {{
    {SolubilityClass::kVerySoluble, "very soluble", {1000, kInfinity}},
    {SolubilityClass::kFreelySoluble, "freely soluble", {100, 1000}},
    {SolubilityClass::kSoluble, "soluble", {1000.0 / 30, 100}},
    {SolubilityClass::kSparinglySoluble, "sparingly soluble", {10, 1000.0 / 30}},
    {SolubilityClass::kSlightlySoluble, "slightly soluble", {1, 10}},
    {SolubilityClass::kVerySlightlySoluble, "very slightly soluble", {0.1, 1}},
    {SolubilityClass::kPracticallyInsoluble, "practically insoluble", {0, 0.1}},
}};

const ClassRow& RowOf(SolubilityClass soluble) {
  const auto* row = std::ranges::find(kClasses, soluble, &ClassRow::soluble);
  // A value that is none of the enumerators says nothing, and the last row promises least.
  return row == kClasses.end() ? kClasses.back() : *row;
}

SolubilityRange Band(double solubility, double band) {
  return {solubility * (1 - band), solubility * (1 + band)};
}

// The hull of the bands of those points that lie within some distance; nullopt when none does.
std::optional<SolubilityRange> BandNear(std::span<const SolubilityPoint> points, double celsius,
                                        double distance, double band) {
  std::optional<SolubilityRange> hull;
  for (const SolubilityPoint& point : points) {
    if (!point.celsius || std::abs(*point.celsius - celsius) > distance) continue;
    const SolubilityRange one = Band(point.solubility, band);
    hull = hull ? SolubilityRange{std::min(hull->low, one.low), std::max(hull->high, one.high)} : one;
  }
  return hull;
}

// Between the nearest temperature below and the nearest above; nullopt when one side is missing.
std::optional<double> Interpolated(std::span<const SolubilityPoint> points, double celsius) {
  std::optional<SolubilityPoint> below, above;
  for (const SolubilityPoint& point : points) {
    if (!point.celsius) continue;
    if (*point.celsius <= celsius && (!below || *point.celsius > *below->celsius)) below = point;
    if (*point.celsius >= celsius && (!above || *point.celsius < *above->celsius)) above = point;
  }
  if (!below || !above) return std::nullopt;
  const double low = 1 / (*below->celsius + kZeroCelsius), high = 1 / (*above->celsius + kZeroCelsius);
  if (low == high) return below->solubility;
  const double share = (1 / (celsius + kZeroCelsius) - low) / (high - low);
  return std::exp(std::lerp(std::log(below->solubility), std::log(above->solubility), share));
}

std::optional<std::string> WhyBadRange(const SolubilityRange& range) {
  if (range.low >= 0 && std::isfinite(range.low) && range.high >= range.low) return std::nullopt;
  return fmt::format("solubility from {} to {} g/L, want 0 <= low <= high", range.low, range.high);
}

}  // namespace

std::string_view Name(SolubilityClass soluble) {
  return RowOf(soluble).name;
}

std::optional<SolubilityClass> ParseSolubilityClass(std::string_view name) {
  const auto same = [](std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, [](char x, char y) {
      return std::tolower(static_cast<unsigned char>(x)) == std::tolower(static_cast<unsigned char>(y));
    });
  };
  if (same(name, "insoluble")) return SolubilityClass::kPracticallyInsoluble;
  for (const ClassRow& row : kClasses) {
    if (same(name, row.name)) return row.soluble;
  }
  return std::nullopt;
}

SolubilityRange ClassBounds(SolubilityClass soluble) {
  return RowOf(soluble).bounds;
}

tl::expected<SolubilityClass, OutOfRange> ClassOf(double solubility) {
  if (!(solubility >= 0 && std::isfinite(solubility))) {
    return Refuse(fmt::format("solubility {} g/L, want 0 or more", solubility));
  }
  for (const ClassRow& row : kClasses) {
    if (solubility >= row.bounds.low) return row.soluble;
  }
  return SolubilityClass::kPracticallyInsoluble;
}

tl::expected<SolubilityAtTemperature, OutOfRange> SolubilityAt(std::span<const SolubilityPoint> points,
                                                               double celsius) {
  if (points.empty()) return Refuse("no solubility figure");
  if (!Within(celsius, -20, 150)) return Refuse(fmt::format("temperature {} C, want -20 to 150", celsius));
  std::optional<SolubilityRange> unsaid;  // from figures without temperature
  for (const SolubilityPoint& point : points) {
    if (!(point.solubility > 0 && std::isfinite(point.solubility))) {
      return Refuse(fmt::format("solubility {} g/L, want above 0", point.solubility));
    }
    if (point.celsius && !Within(*point.celsius, -20, 150)) {
      return Refuse(fmt::format("temperature {} C of a figure, want -20 to 150", *point.celsius));
    }
    if (point.celsius) continue;
    const SolubilityRange one = Band(point.solubility, kWideBand);
    unsaid = unsaid ? SolubilityRange{std::min(unsaid->low, one.low), std::max(unsaid->high, one.high)} : one;
  }
  if (const auto same = BandNear(points, celsius, kSameCelsius, kBand)) {
    return SolubilityAtTemperature{*same, SolubilityBasis::kAtThatTemperature};
  }
  if (const auto between = Interpolated(points, celsius)) {
    return SolubilityAtTemperature{Band(*between, kBand), SolubilityBasis::kInterpolated};
  }
  if (const auto near = BandNear(points, celsius, kNearCelsius, kWideBand)) {
    return SolubilityAtTemperature{*near, SolubilityBasis::kNearby};
  }
  if (unsaid && Within(celsius, kRoomLow, kRoomHigh)) {
    return SolubilityAtTemperature{*unsaid, SolubilityBasis::kNearby};
  }
  return Refuse(
      fmt::format("no solubility figure within {} C of {} C, nor one on either side", kNearCelsius, celsius));
}

tl::expected<Dissolution, OutOfRange> Dissolve(double solute, double solvent,
                                               const std::optional<SolubilityRange>& solubility) {
  if (!(solute >= 0 && std::isfinite(solute)))
    return Refuse(fmt::format("solute {} g, want 0 or more", solute));
  if (!(solvent > 0 && std::isfinite(solvent)))
    return Refuse(fmt::format("solvent {} mL, want above 0", solvent));
  const double litres = solvent / 1000;
  Dissolution result{DissolutionVerdict::kUnknown, solute / litres, {0, solute}};
  if (!solubility) return result;
  if (auto why = WhyBadRange(*solubility)) return Refuse(*std::move(why));
  result.undissolved_grams = {std::max(0.0, solute - solubility->high * litres),
                              std::max(0.0, solute - solubility->low * litres)};
  if (result.load <= solubility->low) {
    result.verdict = DissolutionVerdict::kDissolves;
    result.undissolved_grams = {0, 0};  // rounding must not leave a grain
  } else if (result.load > solubility->high) {
    result.verdict = DissolutionVerdict::kDoesNotDissolve;
  } else {
    result.verdict = DissolutionVerdict::kBorderline;
    result.undissolved_grams.low = 0;
  }
  return result;
}

tl::expected<Cooling, OutOfRange> OnCooling(double solute, double solvent,
                                            const std::optional<SolubilityRange>& hot,
                                            const std::optional<SolubilityRange>& cold) {
  const auto warm = Dissolve(solute, solvent, hot);
  if (!warm) return tl::unexpected(warm.error());
  const auto cool = Dissolve(solute, solvent, cold);
  if (!cool) return tl::unexpected(cool.error());
  // Best case: the least had dissolved hot, and the most stays dissolved cold.
  const double least = std::max(0.0, cool->undissolved_grams.low - warm->undissolved_grams.high);
  const double most = std::max(0.0, cool->undissolved_grams.high - warm->undissolved_grams.low);
  return Cooling{*warm, *cool, {least, most}, least > 0, most > 0};
}

tl::expected<double, OutOfRange> IdealSolubility(double melting, double celsius) {
  if (!Within(melting, -50, 400)) return Refuse(fmt::format("melting point {} C, want -50 to 400", melting));
  if (!Within(celsius, -20, 150)) return Refuse(fmt::format("temperature {} C, want -20 to 150", celsius));
  if (celsius >= melting) return 1.0;
  return std::exp(-kWaldenEntropy * (melting - celsius) / (kGasConstant * (celsius + kZeroCelsius)));
}

tl::expected<double, OutOfRange> GramsPer100Grams(double mole_fraction, double solute_molar_mass,
                                                  double solvent_molar_mass) {
  if (!(mole_fraction >= 0 && mole_fraction < 1)) {
    return Refuse(fmt::format("mole fraction {}, want 0 to below 1", mole_fraction));
  }
  for (const double mass : {solute_molar_mass, solvent_molar_mass}) {
    if (!Within(mass, 10, 5000)) return Refuse(fmt::format("molar mass {} g/mol, want 10 to 5000", mass));
  }
  return 100 * mole_fraction * solute_molar_mass / ((1 - mole_fraction) * solvent_molar_mass);
}

}  // namespace kb::chemistry
