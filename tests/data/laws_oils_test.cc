// Laws on fatty-acid profiles, and on the constants that follow from them.
#include <cmath>
#include <map>
#include <optional>

#include "kb/chemistry/fatty_acids.h"
#include "laws.h"

namespace laws {
namespace {

using kb::chemistry::FattyAcid;
using kb::chemistry::FattyAcidProfile;

// One analysis or one standard: all claims of one source and one context.
struct Profile {
  std::map<FattyAcid, kb::Range> shares;
  bool partial = false;  // a claim of it says that minor acids are not given
  double Sum(double kb::Range::*end) const {
    double sum = 0;
    for (const auto& [acid, share] : shares) sum += share.*end;
    return sum;
  }
  double Mid() const { return 0.5 * (Sum(&kb::Range::low) + Sum(&kb::Range::high)); }
};

// The typical analysis where there is one, else the ranges. Of several claims on one acid the one counts whose source gives most
// acids: two analyses must not be mixed, but one may fill what the other lacks.
Profile ProfileOf(const kb::Catalogue& data, kb::IngredientIx ix) {
  std::map<std::pair<std::string, kb::SourceIx>, std::size_t> acids_of;
  for (const kb::Fact& fact : data.Facts(ix, "fatty_acid_pct")) ++acids_of[{fact.context, fact.source}];
  std::map<std::string, std::map<FattyAcid, const kb::Fact*>> chosen;
  for (const kb::Fact& fact : data.Facts(ix, "fatty_acid_pct")) {
    const auto acid = kb::chemistry::ParseFattyAcid(fact.key);
    if (!acid) continue;
    const kb::Fact*& one = chosen[fact.context][*acid];
    if (one == nullptr || acids_of[{fact.context, fact.source}] > acids_of[{one->context, one->source}])
      one = &fact;
  }
  const auto& typical = chosen["typical"];
  const auto& ranges = chosen["range"];
  Profile profile;
  for (const auto& [acid, fact] : typical.size() >= 3 || typical.size() >= ranges.size() ? typical : ranges) {
    profile.shares.emplace(acid, *fact->number);
    profile.partial = profile.partial || Holds(fact->note, "partial");
  }
  return profile;
}

TEST(Law, FattyAcidsAreReadable) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    for (const kb::Fact& fact : data.Facts(ix, "fatty_acid_pct")) {
      ++looked_at;
      if (const auto acid = kb::chemistry::ParseFattyAcid(fact.key); !acid)
        broken.Add(data.at(ix).id, fmt::format("'{}': {}", fact.key, acid.error().what));
      if (fact.context != "typical" && fact.context != "range")
        broken.Add(data.at(ix).id, fmt::format("{} with the context '{}'", fact.key, fact.context));
      if (fact.context == "typical" && fact.number->low != fact.number->high)
        broken.Add(data.at(ix).id, fmt::format("{} typical as a range {}", fact.key, fact.text));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// An analysis that lists every acid sums to 100 but for what it rounds and what it does not identify: 95 to 101. The middle of
// printed ranges drifts, for the main acids trade places with one another: there the ranges must leave room for 100, and the
// middles may be off by what the ranges are wide.
TEST(Law, FattyAcidProfilesSumToTheWholeOrSayThatTheyArePartial) {
  constexpr double kLeast = 95;
  constexpr double kMost = 101;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    if (data.Facts(ix, "fatty_acid_pct").empty()) continue;
    ++looked_at;
    const Profile profile = ProfileOf(data, ix);
    const double low = profile.Sum(&kb::Range::low);
    const double high = profile.Sum(&kb::Range::high);
    const std::string sums = fmt::format("{} acids sum to {:.1f} % ({:.1f} to {:.1f})", profile.shares.size(),
                                         profile.Mid(), low, high);
    if (low > kMost) broken.Add(data.at(ix).id, sums + ", above the whole");
    if (profile.Mid() < kLeast && !profile.partial)
      broken.Add(data.at(ix).id, sums + "; a claim has to say that the profile is partial");
    if (low == high && profile.Mid() > kMost) broken.Add(data.at(ix).id, sums + ", above the whole");
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

using Value = tl::expected<double, kb::chemistry::OutOfRange> (*)(const FattyAcidProfile&);

// How far a value that is computed from a profile may be off, for the shares of the acids are themselves ranges: each acid
// moves the value by half its width times its factor, independently of the others. Where the profile is one sample, the widths
// are those that the record's ranges give.
double SlackOfRanges(const kb::Catalogue& data, kb::IngredientIx ix, const FattyAcidProfile& whole,
                     Value value) {
  std::map<FattyAcid, double> widths;
  for (const kb::Fact& fact : data.Facts(ix, "fatty_acid_pct")) {
    if (const auto acid = kb::chemistry::ParseFattyAcid(fact.key))
      widths[*acid] = std::max(widths[*acid], 0.5 * (fact.number->high - fact.number->low));
  }
  const double middle = value(whole).value();
  double squares = 0;
  for (const auto& [acid, share] : whole) {
    FattyAcidProfile moved = whole;
    moved[acid] += 1;  // what one point more of it does
    const auto changed = value(kb::chemistry::Normalized(moved).value());
    if (changed) squares += std::pow((*changed - middle) * widths[acid], 2);
  }
  return std::sqrt(squares);
}

// Least and greatest value. What a profile does not list are minor acids, from C14 to C22 and with at most one double bond.
std::optional<kb::Range> Computed(const kb::Catalogue& data, kb::IngredientIx ix, const Profile& profile,
                                  Value value) {
  FattyAcidProfile middles;
  for (const auto& [acid, share] : profile.shares) middles.emplace(acid, share.mid());
  const double missing = std::max(0.0, 100 - profile.Mid());
  std::optional<kb::Range> out;
  for (const char* minor : {"C14:0", "C16:1", "C22:0"}) {
    FattyAcidProfile filled = middles;
    filled[kb::chemistry::ParseFattyAcid(minor).value()] += missing;
    const auto whole = kb::chemistry::Normalized(filled);
    if (!whole || !value(*whole)) return std::nullopt;
    constexpr double kPrint = 0.0015;  // a profile printed to three figures sums to 99.9 to 100.14
    const double computed = *value(*whole);
    const double slack = SlackOfRanges(data, ix, *whole, value) + kPrint * computed;
    if (!out) out = kb::Range{computed - slack, computed + slack};
    out->low = std::min(out->low, computed - slack);
    out->high = std::max(out->high, computed + slack);
  }
  return out;
}

// Unsaponifiables bear no fatty acids: the measured values are lower by their share, at most by the greatest that a source
// names. Where none does it counts as 1.5 %, the limit of Codex CXS 210 for most oils.
double Unsaponifiables(const kb::Catalogue& data, kb::IngredientIx ix) {
  if (data.at(ix).id == "tamanu-oil") return 0.20;  // resins; no figure of a source that can be named
  double most = 0;
  for (const kb::Fact& fact : data.Facts(ix, "unsaponifiable_pct")) most = std::max(most, fact.number->high);
  constexpr double kUsual = 1.5;
  return (most > 0 ? most : kUsual) / 100;
}

struct Constant {
  const char* property;
  Value value;
  friend void PrintTo(const Constant& row, std::ostream* out) { *out << row.property; }
};

class ComputedConstant : public testing::TestWithParam<Constant> {};

TEST_P(ComputedConstant, LiesWithinTheStatedOnes) {
  const auto& [property, value] = GetParam();
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    // The formulas are those of triglycerides: not of wax esters, free acids or hydrogenated blends.
    if (!IsOneOf(data.Choice(ix, "class"), {"triglyceride-oil", "butter"}) || data.at(ix).id == "jojoba-oil")
      continue;
    const Profile profile = ProfileOf(data, ix);
    const auto stated = data.Facts(ix, property);
    if (stated.empty() || profile.Mid() < 90) continue;  // a tenth unknown is no profile
    const auto computed = Computed(data, ix, profile, value);
    if (!computed) {
      broken.Add(data.at(ix).id, "cannot be computed");
      continue;
    }
    ++looked_at;
    double low = stated.front().number->low;
    double high = stated.front().number->high;
    for (const kb::Fact& fact : stated) {
      low = std::min(low, fact.number->low);
      high = std::max(high, fact.number->high);
    }
    const bool said = std::any_of(stated.begin(), stated.end(), [](const kb::Fact& fact) {
      return Holds(fact.note, "its fatty acids give");
    });
    const bool within = computed->low * (1 - Unsaponifiables(data, ix)) <= high && computed->high >= low;
    if (within == said)
      broken.Add(data.at(ix).id, fmt::format("{} computed {:.1f} to {:.1f}, stated {:g} to {:g}; {}",
                                             property, computed->low, computed->high, low, high,
                                             said ? "and the note says otherwise" : "no note says so"));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}
INSTANTIATE_TEST_SUITE_P(Law, ComputedConstant,
                         testing::Values(Constant{"iodine_value", &kb::chemistry::IodineValue},
                                         Constant{"saponification_value",
                                                  &kb::chemistry::SaponificationValue}),
                         [](const auto& row) {
                           return std::string(row.param.property) == "iodine_value" ? "IodineValue"
                                                                                    : "SaponificationValue";
                         });

}  // namespace
}  // namespace laws
