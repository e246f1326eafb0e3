#include "kb/chemistry/fatty_acids.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <ostream>

namespace kb::chemistry {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

struct Shorthand {
  const char* text;
  FattyAcid acid;
  const char* written;
  friend void PrintTo(const Shorthand& row, std::ostream* out) { *out << row.text; }
};
const Shorthand kShorthands[] = {
    {"C18:1", {18, 1}, "C18:1"},
    {"c18:1", {18, 1}, "C18:1"},
    {"18:1", {18, 1}, "C18:1"},
    {" C16:0 ", {16, 0}, "C16:0"},
    {"C6:0", {6, 0}, "C6:0"},
    {"C18:3n3", {18, 3, 3}, "C18:3n3"},
    {"C18:3 n-6", {18, 3, 6}, "C18:3n6"},
    {"18:2w6", {18, 2, 6}, "C18:2n6"},
    {"C18:2 Omega-6", {18, 2, 6}, "C18:2n6"},
    {"C18:1-OH", {18, 1, std::nullopt, 1}, "C18:1-OH"},
    {"C18:1 oh", {18, 1, std::nullopt, 1}, "C18:1-OH"},
    {"C18:0-(OH)2", {18, 0, std::nullopt, 2}, "C18:0-(OH)2"},
    {"C18:3 conj", {18, 3, std::nullopt, 0, true}, "C18:3 conj"},
    {"C18:3 conj.", {18, 3, std::nullopt, 0, true}, "C18:3 conj"},
    {"C18:3n5 conjugated", {18, 3, 5, 0, true}, "C18:3n5 conj"},
    {"C18:1 trans", {18, 1, std::nullopt, 0, false, true}, "C18:1 trans"},
    {"C18:1 cis n9", {18, 1, 9}, "C18:1n9"},
    {"C22:6n3", {22, 6, 3}, "C22:6n3"},
    {"C36:0", {36, 0}, "C36:0"},
};
class FattyAcidReads : public testing::TestWithParam<Shorthand> {};
TEST_P(FattyAcidReads, AndWritesTheOneForm) {
  const auto acid = ParseFattyAcid(GetParam().text);
  ASSERT_TRUE(acid.has_value()) << acid.error().what;
  EXPECT_EQ(*acid, GetParam().acid);
  EXPECT_EQ(ToString(*acid), GetParam().written);
  EXPECT_EQ(ParseFattyAcid(GetParam().written), *acid);
}
INSTANTIATE_TEST_SUITE_P(Shorthands, FattyAcidReads, testing::ValuesIn(kShorthands));

class FattyAcidRefuses : public testing::TestWithParam<const char*> {};
TEST_P(FattyAcidRefuses, AndQuotesIt) {
  const auto acid = ParseFattyAcid(GetParam());
  ASSERT_FALSE(acid.has_value()) << ToString(*acid);
  EXPECT_THAT(acid.error().what, HasSubstr(std::string(GetParam()).substr(0, 40)));
}
INSTANTIATE_TEST_SUITE_P(Texts, FattyAcidRefuses,
                         testing::Values("", " ", "C", "C18", "18", ":", "C:1", "C18:", "C18;1", "C18:x",
                                         "C18:1x", "oleic acid", "C3:0", "C37:0", "C0:0", "C180:1", "C18:01x",
                                         "C018:1", "C18:7", "C18:-1", "C-18:1", "C6:3", "C18:0n3", "C18:1n",
                                         "C18:1n0", "C18:1n17", "C18:3n12", "C18:3n3n6", "C18:3n3 n3",
                                         "C18:1-OH-OH", "C18:0-(OH)3", "C18:0-(OH)0", "C18:1 conj",
                                         "C18:3 conj conj", "C18:0 trans", "C18:0 cis", "C18:1 cis trans",
                                         "C18:1 trans cis", "C18:2(9c,12c)", "iso-C18:0", "C18:1 C18:2",
                                         "C18:1,2", "C99999999999:1", "C18:99999999999",
                                         "C18:1n99999999999"));

TEST(ParseFattyAcid, ReadsNoFurtherThanTheView) {
  const std::string text = "C18:1n9";
  EXPECT_EQ(ParseFattyAcid(std::string_view(text).substr(0, 5)).value(), (FattyAcid{18, 1}));
}

TEST(ParseFattyAcid, ShowsTheStartOfALongText) {
  const auto acid = ParseFattyAcid(std::string(10'000, 'x'));
  ASSERT_FALSE(acid.has_value());
  EXPECT_LT(acid.error().what.size(), 200U);
}

const FattyAcid kPalmitic{16, 0}, kStearic{18, 0}, kOleic{18, 1}, kLinoleic{18, 2}, kLinolenic{18, 3};
const FattyAcid kAlphaLinolenic{18, 3, 3}, kGammaLinolenic{18, 3, 6}, kEleostearic{18, 3, 5, 0, true};

struct Bad {
  const char* name;
  FattyAcidProfile profile;
  friend void PrintTo(const Bad& row, std::ostream* out) { *out << row.name; }
};
const Bad kBadProfiles[] = {
    {"Empty", {}},
    {"Nan", {{kOleic, kNan}}},
    {"Negative", {{kOleic, 101}, {kLinoleic, -1}}},
    {"Above100", {{kOleic, 100.5}}},
    {"AllZero", {{kOleic, 0}, {kLinoleic, 0}}},
    {"SumTooHigh", {{kOleic, 80}, {kLinoleic, 80}}},
    {"Infinite", {{kOleic, std::numeric_limits<double>::infinity()}}},
};
class ProfileRefused : public testing::TestWithParam<Bad> {};
TEST_P(ProfileRefused, ByEveryFunction) {
  const FattyAcidProfile& profile = GetParam().profile;
  EXPECT_FALSE(Completeness(profile).has_value());
  EXPECT_FALSE(Normalized(profile).has_value());
  EXPECT_FALSE(IodineValue(profile).has_value());
  EXPECT_FALSE(SaponificationValue(profile).has_value());
  EXPECT_FALSE(SaturationOf(profile).has_value());
  EXPECT_FALSE(OxidizabilityOf(profile).has_value());
  EXPECT_FALSE(MeltingTendencyOf(profile).has_value());
  EXPECT_FALSE(ProfileDistance(profile, {{kOleic, 100}}).has_value());
  EXPECT_FALSE(ProfileDistance({{kOleic, 100}}, profile).has_value());
  const FattyAcidProfile two[] = {{{kOleic, 100}}, profile};
  const auto order = RankByOxidizability(two);
  ASSERT_FALSE(order.has_value());
  EXPECT_THAT(order.error().what, HasSubstr("profile 1"));
}
INSTANTIATE_TEST_SUITE_P(Profiles, ProfileRefused, testing::ValuesIn(kBadProfiles), kRowName);

TEST(IncompleteProfile, IsRefusedWhereItWouldMislead) {
  const FattyAcidProfile half = {{kOleic, 60}};
  EXPECT_DOUBLE_EQ(Completeness(half).value(), 60);
  EXPECT_FALSE(IodineValue(half).has_value());
  EXPECT_FALSE(SaponificationValue(half).has_value());
  EXPECT_FALSE(MeltingTendencyOf(half).has_value());
  EXPECT_TRUE(IodineValue(Normalized(half).value()).has_value());
  EXPECT_FALSE(Normalized({{kOleic, 49.9}}).has_value());
  EXPECT_FALSE(Normalized({{kOleic, 80}, {kLinoleic, 70.1}}).has_value());
}

TEST(Normalized, SumsTo100) {
  const auto profile = Normalized({{kOleic, 40}, {kLinoleic, 40}});
  ASSERT_TRUE(profile.has_value());
  EXPECT_DOUBLE_EQ(profile->at(kOleic), 50);
  EXPECT_DOUBLE_EQ(Completeness(*profile).value(), 100);
}

TEST(SaturationOf, SplitsByDoubleBonds) {
  const auto parts =
      SaturationOf({{kPalmitic, 10}, {kStearic, 5}, {kOleic, 40}, {kLinoleic, 30}, {kLinolenic, 5}});
  ASSERT_TRUE(parts.has_value());
  EXPECT_DOUBLE_EQ(parts->saturated, 15);
  EXPECT_DOUBLE_EQ(parts->monounsaturated, 40);
  EXPECT_DOUBLE_EQ(parts->polyunsaturated, 35);
}

TEST(IodineValue, IsZeroWithoutDoubleBonds) {
  EXPECT_DOUBLE_EQ(IodineValue({{kStearic, 100}}).value(), 0);
}

TEST(OxidizabilityOf, LeavesOutConjugatedAcidsAndNamesThem) {
  const auto tung = OxidizabilityOf({{kEleostearic, 80}, {kOleic, 10}, {kLinoleic, 10}});
  ASSERT_TRUE(tung.has_value());
  EXPECT_DOUBLE_EQ(tung->value, 5.5);
  EXPECT_THAT(tung->unrated, ElementsAre(kEleostearic));
  EXPECT_THAT(OxidizabilityOf({{kOleic, 100}})->unrated, IsEmpty());
  EXPECT_FALSE(OxidizabilityOf({{kEleostearic, 100}}).has_value());
  EXPECT_FALSE(OxidizabilityOf({{FattyAcid{18, 9}, 100}}).has_value());
  EXPECT_FALSE(OxidizabilityOf({{FattyAcid{18, -1}, 100}}).has_value());
}

TEST(RankByOxidizability, PutsTheLeastOxidizableFirstAndKeepsTies) {
  const FattyAcidProfile oils[] = {{{kLinolenic, 100}}, {{kOleic, 100}}, {{kStearic, 100}}, {{kOleic, 100}}};
  EXPECT_THAT(RankByOxidizability(oils).value(), ElementsAre(2, 1, 3, 0));
  EXPECT_THAT(RankByOxidizability({}).value(), IsEmpty());
}

TEST(ProfileDistance, RunsFromZeroToOne) {
  EXPECT_DOUBLE_EQ(ProfileDistance({{kOleic, 100}}, {{kOleic, 50}}).value(), 0);  // scaled first
  EXPECT_DOUBLE_EQ(ProfileDistance({{kOleic, 100}}, {{kLinoleic, 100}}).value(), 1);
  EXPECT_DOUBLE_EQ(ProfileDistance({{kOleic, 70}, {kLinoleic, 30}}, {{kOleic, 50}, {kLinoleic, 50}}).value(),
                   0.2);
}

TEST(ProfileDistance, DoesNotHoldAnUnsaidOmegaClassAgainstAnOil) {
  const FattyAcidProfile unsaid = {{kLinolenic, 50}, {kOleic, 50}};
  const FattyAcidProfile alpha = {{kAlphaLinolenic, 50}, {kOleic, 50}};
  const FattyAcidProfile gamma = {{kGammaLinolenic, 50}, {kOleic, 50}};
  EXPECT_DOUBLE_EQ(ProfileDistance(unsaid, alpha).value(), 0);
  EXPECT_DOUBLE_EQ(ProfileDistance(alpha, unsaid).value(), 0);
  EXPECT_DOUBLE_EQ(ProfileDistance(alpha, gamma).value(), 0.5);
}

TEST(MeltingTendencyOf, CountsLongSaturatedAcids) {
  const FattyAcid lauric{12, 0}, behenic{22, 0}, elaidic{18, 1, 9, 0, false, true}, palmitic{16, 0};
  const auto fat =
      MeltingTendencyOf({{lauric, 20}, {palmitic, 30}, {behenic, 10}, {elaidic, 15}, {kOleic, 25}});
  ASSERT_TRUE(fat.has_value());
  EXPECT_DOUBLE_EQ(fat->index, 40);
  EXPECT_DOUBLE_EQ(fat->long_chain, 10);
  EXPECT_DOUBLE_EQ(fat->medium_chain, 20);
  EXPECT_DOUBLE_EQ(fat->trans, 15);
}

}  // namespace
}  // namespace kb::chemistry
