#include "kb/chemistry/fatty_acids.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <numeric>
#include <set>
#include <tuple>

namespace kb::chemistry {
namespace {

constexpr double kCarbon = 12.011, kHydrogen = 1.008, kOxygen = 15.999;  // g/mol, IUPAC 2021
constexpr double kIodine = 253.809;                                      // I2, g/mol
constexpr double kPotassiumHydroxide = 56106;                            // mg/mol
constexpr double kGlycerolLessThreeWater = 38.049;                       // 92.094 - 3 * 18.015, g/mol
constexpr double kLeastSum = 90;                                         // see IodineValue

tl::unexpected<OutOfRange> Refuse(std::string what) {
  return tl::unexpected(OutOfRange{std::move(what)});
}

// What is left to read of one shorthand.
class Reader {
 public:
  explicit Reader(std::string_view text) : rest_(text) {}

  bool AtEnd() const { return rest_.empty(); }

  void Skip(std::string_view any_of) {
    const auto n = rest_.find_first_not_of(any_of);
    rest_.remove_prefix(std::min(n, rest_.size()));
  }

  bool Take(std::string_view word) {
    if (rest_.size() < word.size()) return false;
    const auto same = [](char a, char b) { return std::tolower(static_cast<unsigned char>(a)) == b; };
    if (!std::equal(word.begin(), word.end(), rest_.begin(), [&](char w, char r) { return same(r, w); })) {
      return false;
    }
    rest_.remove_prefix(word.size());
    return true;
  }

  // One or two digits; three or more are no number of this shorthand.
  std::optional<int> Number() {
    std::size_t n = 0;
    while (n < rest_.size() && std::isdigit(static_cast<unsigned char>(rest_[n]))) ++n;
    if (n == 0 || n > 2) return std::nullopt;
    int value = 0;
    for (std::size_t i = 0; i < n; ++i) value = 10 * value + (rest_[i] - '0');
    rest_.remove_prefix(n);
    return value;
  }

 private:
  std::string_view rest_;
};

// Takes one mark; false when none fits or the same was there before.
bool TakeMark(Reader& in, FattyAcid& acid, bool& cis) {
  for (const std::string_view word : {"omega", "n", "w"}) {
    if (!in.Take(word)) continue;
    in.Skip("-");
    const auto omega = in.Number();
    if (!omega || acid.omega) return false;
    acid.omega = omega;
    return true;
  }
  if (in.Take("(oh)")) {
    if (acid.hydroxyls != 0) return false;
    const auto many = in.Number();
    acid.hydroxyls = many.value_or(1);
    return acid.hydroxyls >= 1 && acid.hydroxyls <= 2;
  }
  if (in.Take("oh")) return std::exchange(acid.hydroxyls, acid.hydroxyls + 1) == 0;
  if (in.Take("conjugated") || in.Take("conj")) return !std::exchange(acid.conjugated, true);
  if (in.Take("trans")) return !cis && !std::exchange(acid.trans, true);
  if (in.Take("cis")) return !acid.trans && !std::exchange(cis, true);
  return false;
}

std::optional<std::string> WhyImpossible(const FattyAcid& acid, bool cis) {
  if (acid.carbons < 4 || acid.carbons > 36) return fmt::format("{} carbons, want 4 to 36", acid.carbons);
  if (acid.double_bonds > 6) return fmt::format("{} double bonds, want 0 to 6", acid.double_bonds);
  // The acid carbon takes part in none, and each double bond takes two of the others.
  if (2 * acid.double_bonds > acid.carbons - 1) return "more double bonds than the chain holds";
  if (acid.omega) {
    if (acid.double_bonds == 0) return "an omega class without a double bond";
    // Two carbons a double bond when conjugated, three when a CH2 stands between.
    const int step = acid.conjugated ? 2 : 3;
    if (*acid.omega < 1 || *acid.omega + step * (acid.double_bonds - 1) > acid.carbons - 2) {
      return fmt::format("omega class {} does not fit the chain", *acid.omega);
    }
  }
  if (acid.conjugated && acid.double_bonds < 2) return "conjugation with fewer than two double bonds";
  if ((acid.trans || cis) && acid.double_bonds == 0) return "cis or trans without a double bond";
  return std::nullopt;
}

// Checks each share, and the sum against [low, high].
tl::expected<double, OutOfRange> SumWithin(const FattyAcidProfile& profile, double low, double high) {
  if (profile.empty()) return Refuse("the profile is empty");
  double sum = 0;
  for (const auto& [acid, share] : profile) {
    if (!(share >= 0 && share <= 100)) {
      return Refuse(fmt::format("{} is {} %, want 0 to 100", ToString(acid), share));
    }
    sum += share;
  }
  if (!(sum > 0 && sum >= low && sum <= high)) {
    return Refuse(fmt::format("the profile sums to {:.6g} %, want {:g} to {:g}", sum, low, high));
  }
  return sum;
}

constexpr double kMostSum = 101;  // see Completeness

}  // namespace

tl::expected<FattyAcid, OutOfRange> ParseFattyAcid(std::string_view text) {
  const auto refuse = [&](std::string_view why) {
    // A long text is shown by its start: the message is for a person.
    return Refuse(fmt::format("'{}' is no fatty acid: {}", text.substr(0, 40), why));
  };
  constexpr std::string_view kBetween = " -.";
  Reader in(text);
  in.Skip(" ");
  in.Take("c");
  FattyAcid acid;
  const auto carbons = in.Number();
  if (!carbons || !in.Take(":")) return refuse("want carbons:double bonds, as in C18:1");
  const auto double_bonds = in.Number();
  if (!double_bonds) return refuse("want the number of double bonds after the colon");
  acid.carbons = *carbons;
  acid.double_bonds = *double_bonds;
  bool cis = false;
  for (in.Skip(kBetween); !in.AtEnd(); in.Skip(kBetween)) {
    if (!TakeMark(in, acid, cis)) return refuse("want n3, OH, conj, cis or trans after it, each once");
  }
  if (const auto why = WhyImpossible(acid, cis)) return refuse(*why);
  return acid;
}

std::string ToString(const FattyAcid& acid) {
  std::string text = fmt::format("C{}:{}", acid.carbons, acid.double_bonds);
  if (acid.omega) text += fmt::format("n{}", *acid.omega);
  if (acid.hydroxyls == 1) text += "-OH";
  if (acid.hydroxyls > 1) text += fmt::format("-(OH){}", acid.hydroxyls);
  if (acid.conjugated) text += " conj";
  if (acid.trans) text += " trans";
  return text;
}

double MolarMass(const FattyAcid& acid) {
  return acid.carbons * kCarbon + (2 * acid.carbons - 2 * acid.double_bonds) * kHydrogen +
         (2 + acid.hydroxyls) * kOxygen;
}

tl::expected<double, OutOfRange> Completeness(const FattyAcidProfile& profile) {
  return SumWithin(profile, 0, kMostSum);
}

tl::expected<FattyAcidProfile, OutOfRange> Normalized(const FattyAcidProfile& profile) {
  return SumWithin(profile, 50, 150).map([&](double sum) {
    FattyAcidProfile scaled = profile;
    for (auto& [acid, share] : scaled) share *= 100 / sum;
    return scaled;
  });
}

tl::expected<double, OutOfRange> IodineValue(const FattyAcidProfile& profile) {
  return SumWithin(profile, kLeastSum, kMostSum).map([&](double) {
    double value = 0;
    for (const auto& [acid, share] : profile) {
      value += share * 3 * acid.double_bonds * kIodine / (3 * MolarMass(acid) + kGlycerolLessThreeWater);
    }
    return value;
  });
}

tl::expected<double, OutOfRange> SaponificationValue(const FattyAcidProfile& profile) {
  return SumWithin(profile, kLeastSum, kMostSum).map([&](double sum) {
    double moles = 0;
    for (const auto& [acid, share] : profile) moles += share / MolarMass(acid);
    return 3 * kPotassiumHydroxide / (3 * sum / moles + kGlycerolLessThreeWater);
  });
}

tl::expected<Saturation, OutOfRange> SaturationOf(const FattyAcidProfile& profile) {
  return Completeness(profile).map([&](double) {
    Saturation result;
    for (const auto& [acid, share] : profile) {
      if (acid.double_bonds == 0) {
        result.saturated += share;
      } else if (acid.double_bonds == 1) {
        result.monounsaturated += share;
      } else {
        result.polyunsaturated += share;
      }
    }
    return result;
  });
}

tl::expected<Oxidizability, OutOfRange> OxidizabilityOf(const FattyAcidProfile& profile) {
  if (const auto sum = Completeness(profile); !sum) return tl::unexpected(sum.error());
  constexpr std::array<double, 7> kRate = {0, 1, 10, 20, 40, 80, 160};  // by double bonds; see the header
  Oxidizability result{};
  double rated = 0;
  for (const auto& [acid, share] : profile) {
    if (acid.double_bonds < 0 || acid.double_bonds >= static_cast<int>(kRate.size())) {
      return Refuse(fmt::format("{} double bonds, want 0 to 6", acid.double_bonds));
    }
    if (acid.conjugated) {
      if (share > 0) result.unrated.push_back(acid);
      continue;
    }
    rated += share;
    result.value += share * kRate[static_cast<std::size_t>(acid.double_bonds)];
  }
  if (!(rated > 0)) return Refuse("no acid of the profile has a rate of oxidation");
  result.value /= rated;
  return result;
}

tl::expected<std::vector<std::size_t>, OutOfRange> RankByOxidizability(
    std::span<const FattyAcidProfile> profiles) {
  std::vector<double> values;
  for (const FattyAcidProfile& profile : profiles) {
    const auto one = OxidizabilityOf(profile);
    if (!one) return Refuse(fmt::format("profile {}: {}", values.size(), one.error().what));
    values.push_back(one->value);
  }
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  return order;
}

namespace {

std::uint32_t KinKey(const FattyAcid& acid) {
  return static_cast<std::uint32_t>(acid.carbons) << 16U |
         static_cast<std::uint32_t>(acid.double_bonds) << 8U |
         static_cast<std::uint32_t>(acid.hydroxyls) << 2U | (acid.conjugated ? 2U : 0U) |
         (acid.trans ? 1U : 0U);
}

// Differences of the acids of one kin, omega class by omega class.
double KinDifference(std::span<const std::pair<int, double>> a, std::span<const std::pair<int, double>> b) {
  double sum = 0;
  std::size_t j = 0;
  for (const auto& [omega, share] : a) {
    for (; j < b.size() && b[j].first < omega; ++j) sum += b[j].second;
    const bool shared = j < b.size() && b[j].first == omega;
    sum += std::abs(shared ? share - b[j].second : share);
    if (shared) ++j;
  }
  for (; j < b.size(); ++j) sum += b[j].second;
  return sum;
}

}  // namespace

tl::expected<ReadyProfile, OutOfRange> MakeReady(const FattyAcidProfile& profile) {
  const auto normalized = Normalized(profile);
  if (!normalized) return tl::unexpected(normalized.error());
  struct Part {
    std::uint32_t key;
    int omega;
    double share;
  };
  std::vector<Part> parts;
  for (const auto& [acid, share] : *normalized)
    parts.push_back({KinKey(acid), acid.omega.value_or(-1), share});
  std::stable_sort(parts.begin(), parts.end(), [](const Part& a, const Part& b) {
    return std::pair(a.key, a.omega) < std::pair(b.key, b.omega);
  });
  ReadyProfile out;
  for (const Part& part : parts) {
    if (out.kin.empty() || out.kin.back().key != part.key)
      out.kin.push_back({part.key, false, 0, static_cast<std::uint32_t>(out.shares.size()), 0});
    ReadyProfile::Kin& kin = out.kin.back();
    kin.unsaid = kin.unsaid || (part.omega < 0 && part.share > 0);
    kin.sum += part.share;
    ++kin.count;
    out.shares.emplace_back(part.omega, part.share);
  }
  return out;
}

double DistanceOf(const ReadyProfile& a, const ReadyProfile& b) {
  double sum = 0;
  std::size_t j = 0;
  for (const ReadyProfile::Kin& kin : a.kin) {
    for (; j < b.kin.size() && b.kin[j].key < kin.key; ++j) sum += b.kin[j].sum;
    if (j == b.kin.size() || b.kin[j].key != kin.key) {
      sum += kin.sum;
      continue;
    }
    const ReadyProfile::Kin& other = b.kin[j++];
    // Acids for which one of the two does not say the omega class.
    sum += kin.unsaid || other.unsaid ? std::abs(kin.sum - other.sum)
                                      : KinDifference(std::span(a.shares).subspan(kin.first, kin.count),
                                                      std::span(b.shares).subspan(other.first, other.count));
  }
  for (; j < b.kin.size(); ++j) sum += b.kin[j].sum;
  return std::min(sum / 200, 1.0);  // rounding may carry it past 1
}

tl::expected<double, OutOfRange> ProfileDistance(const FattyAcidProfile& a, const FattyAcidProfile& b) {
  const auto first = MakeReady(a);
  if (!first) return tl::unexpected(first.error());
  const auto second = MakeReady(b);
  if (!second) return tl::unexpected(second.error());
  return DistanceOf(*first, *second);
}

tl::expected<MeltingTendency, OutOfRange> MeltingTendencyOf(const FattyAcidProfile& profile) {
  return SumWithin(profile, kLeastSum, kMostSum).map([&](double sum) {
    MeltingTendency result{};
    for (const auto& [acid, share] : profile) {
      const double scaled = share * 100 / sum;
      if (acid.trans) result.trans += scaled;
      if (acid.double_bonds > 0) continue;
      if (acid.carbons >= 16) result.index += scaled;
      if (acid.carbons >= 20) result.long_chain += scaled;
      if (acid.carbons >= 8 && acid.carbons < 16) result.medium_chain += scaled;
    }
    return result;
  });
}

}  // namespace kb::chemistry
