#include "kb/chemistry/hlb.h"

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
constexpr double kInfinity = std::numeric_limits<double>::infinity();

struct TwoInputs {
  const char* name;
  double first, second;
  friend void PrintTo(const TwoInputs& row, std::ostream* out) { *out << row.name; }
};

constexpr TwoInputs kBadTitrations[] = {
    {"NoEster", 0, 276},          {"NegativeEster", -1, 276},        {"NanEster", kNan, 276},
    {"EsterAboveAcid", 277, 276}, {"NanAcid", 45.5, kNan},           {"AcidTooLow", 45.5, 99.9},
    {"AcidTooHigh", 45.5, 400.1}, {"InfiniteAcid", 45.5, kInfinity},
};
class EsterHlbRefuses : public testing::TestWithParam<TwoInputs> {};
TEST_P(EsterHlbRefuses, OutOfRange) {
  const auto hlb = EsterHlb(GetParam().first, GetParam().second);
  ASSERT_FALSE(hlb.has_value());
  EXPECT_THAT(hlb.error().what, HasSubstr("want"));
}
INSTANTIATE_TEST_SUITE_P(Titrations, EsterHlbRefuses, testing::ValuesIn(kBadTitrations), kRowName);

TEST(EsterHlb, SpansTheScale) {
  EXPECT_DOUBLE_EQ(EsterHlb(200, 200).value(), 0);  // all of it is fatty acid
  EXPECT_DOUBLE_EQ(EsterHlb(100, 200).value(), 10);
}

constexpr TwoInputs kBadShares[] = {
    {"NanOxyethylene", kNan, 0},    {"NegativeOxyethylene", -0.1, 0}, {"OxyethyleneAbove", 100.1, 0},
    {"NanPolyol", 50, kNan},        {"NegativePolyol", 50, -0.1},     {"PolyolAbove", 0, 100.1},
    {"TogetherAbove100", 60, 40.1},
};
class EthoxylateHlbRefuses : public testing::TestWithParam<TwoInputs> {};
TEST_P(EthoxylateHlbRefuses, OutOfRange) {
  EXPECT_FALSE(EthoxylateHlb(GetParam().first, GetParam().second).has_value());
}
INSTANTIATE_TEST_SUITE_P(Shares, EthoxylateHlbRefuses, testing::ValuesIn(kBadShares), kRowName);

TEST(EthoxylateHlb, IsAFifthOfTheHydrophile) {
  EXPECT_DOUBLE_EQ(EthoxylateHlb(0).value(), 0);
  EXPECT_DOUBLE_EQ(EthoxylateHlb(100).value(), 20);
  EXPECT_DOUBLE_EQ(EthoxylateHlb(60, 10).value(), 14);
}

constexpr TwoInputs kBadMolecules[] = {
    {"NoUnits", 0, 270},        {"NegativeUnits", -2, 270}, {"NanUnits", kNan, 270},
    {"TooManyUnits", 501, 270}, {"NanStart", 20, kNan},     {"LightStart", 20, 29},
    {"HeavyStart", 20, 5000.1},
};
class OxyethyleneShareRefuses : public testing::TestWithParam<TwoInputs> {};
TEST_P(OxyethyleneShareRefuses, OutOfRange) {
  EXPECT_FALSE(OxyethyleneShare(GetParam().first, GetParam().second).has_value());
}
INSTANTIATE_TEST_SUITE_P(Molecules, OxyethyleneShareRefuses, testing::ValuesIn(kBadMolecules), kRowName);

TEST(RequiredHlb, IsTheMeanOverKnownLipids) {
  const Lipid oil[] = {{"mineral oil", 30, 12}, {"new oil", 10, std::nullopt}, {"shea butter", 10, 8}};
  const auto phase = RequiredHlb(oil);
  ASSERT_TRUE(phase.has_value()) << phase.error().what;
  EXPECT_DOUBLE_EQ(phase->required, 11);
  EXPECT_DOUBLE_EQ(phase->share_covered, 0.8);
  EXPECT_THAT(phase->not_covered, ElementsAre("new oil"));
}

TEST(RequiredHlb, LeavesOutLinesOfNoMass) {
  const Lipid oil[] = {{"mineral oil", 30, 12}, {"forgotten", 0, std::nullopt}};
  const auto phase = RequiredHlb(oil);
  ASSERT_TRUE(phase.has_value());
  EXPECT_THAT(phase->not_covered, IsEmpty());
  EXPECT_DOUBLE_EQ(phase->share_covered, 1);
}

struct OneLipid {
  const char* name;
  double mass;
  std::optional<double> required;
  friend void PrintTo(const OneLipid& row, std::ostream* out) { *out << row.name; }
};
constexpr OneLipid kBadLipids[] = {
    {"NanMass", kNan, 12},      {"NegativeMass", -1, 12},          {"InfiniteMass", kInfinity, 12},
    {"AllOfNoMass", 0, 12},     {"NanRequired", 5, kNan},          {"NegativeRequired", 5, -0.1},
    {"RequiredAbove", 5, 20.1}, {"NothingKnown", 5, std::nullopt}, {"OverflowingMass", 1e308, 20},
};
class RequiredHlbRefuses : public testing::TestWithParam<OneLipid> {};
TEST_P(RequiredHlbRefuses, OutOfRange) {
  const Lipid oil[] = {{"only", GetParam().mass, GetParam().required}};
  EXPECT_FALSE(RequiredHlb(oil).has_value());
}
INSTANTIATE_TEST_SUITE_P(Lipids, RequiredHlbRefuses, testing::ValuesIn(kBadLipids), kRowName);

TEST(RequiredHlb, RefusesAnEmptyPhase) {
  EXPECT_FALSE(RequiredHlb({}).has_value());
}

TEST(BlendHlb, IsTheMeanByMass) {
  const Emulsifier pair[] = {{"high", 30, 15}, {"low", 10, 5}};
  const auto blend = BlendHlb(pair);
  ASSERT_TRUE(blend.has_value()) << blend.error().what;
  EXPECT_DOUBLE_EQ(blend->hlb.value(), 12.5);
  EXPECT_TRUE(blend->applies);
  EXPECT_DOUBLE_EQ(blend->share_counted, 1);
}

TEST(BlendHlb, GivesTheNonionicPartAndSaysThatItDoesNotApply) {
  const Emulsifier system[] = {{"nonionic", 3, 15}, {"soap", 1, 18, EmulsifierKind::kAnionic}};
  const auto blend = BlendHlb(system);
  ASSERT_TRUE(blend.has_value());
  EXPECT_DOUBLE_EQ(blend->hlb.value(), 15);
  EXPECT_FALSE(blend->applies);
  EXPECT_DOUBLE_EQ(blend->share_counted, 0.75);
  ASSERT_EQ(blend->not_counted.size(), 1U);
  EXPECT_EQ(blend->not_counted[0].name, "soap");
  EXPECT_THAT(blend->not_counted[0].because, HasSubstr("anionic"));
}

TEST(BlendHlb, SaysWhichValueIsMissing) {
  const Emulsifier system[] = {{"new", 2, std::nullopt}};
  const auto blend = BlendHlb(system);
  ASSERT_TRUE(blend.has_value());
  EXPECT_EQ(blend->hlb, std::nullopt);
  EXPECT_FALSE(blend->applies);
  EXPECT_DOUBLE_EQ(blend->share_counted, 0);
  ASSERT_EQ(blend->not_counted.size(), 1U);
  EXPECT_THAT(blend->not_counted[0].because, HasSubstr("not known"));
}

class WhyHlb : public testing::TestWithParam<EmulsifierKind> {};
TEST_P(WhyHlb, FailsWithAReasonForAllButNonionics) {
  const auto why = WhyHlbFails(GetParam());
  ASSERT_TRUE(why.has_value());
  EXPECT_GT(why->size(), 20U);
  const Emulsifier alone[] = {{"it", 1, 12, GetParam()}};
  EXPECT_EQ(BlendHlb(alone)->hlb, std::nullopt);
}
INSTANTIATE_TEST_SUITE_P(Kinds, WhyHlb,
                         testing::Values(EmulsifierKind::kAnionic, EmulsifierKind::kCationic,
                                         EmulsifierKind::kAmphoteric, EmulsifierKind::kPolymeric,
                                         EmulsifierKind::kLamellar, EmulsifierKind::kSilicone));
TEST(WhyHlb, HoldsForNonionics) {
  EXPECT_EQ(WhyHlbFails(EmulsifierKind::kNonionic), std::nullopt);
}

struct OneEmulsifier {
  const char* name;
  double mass;
  std::optional<double> hlb;
  friend void PrintTo(const OneEmulsifier& row, std::ostream* out) { *out << row.name; }
};
constexpr OneEmulsifier kBadEmulsifiers[] = {
    {"NanMass", kNan, 12}, {"NegativeMass", -1, 12}, {"NoMass", 0, 12},     {"InfiniteMass", kInfinity, 12},
    {"NanHlb", 1, kNan},   {"NegativeHlb", 1, -0.1}, {"HlbAbove", 1, 20.1},
};
class BlendHlbRefuses : public testing::TestWithParam<OneEmulsifier> {};
TEST_P(BlendHlbRefuses, OutOfRange) {
  const Emulsifier alone[] = {{"it", GetParam().mass, GetParam().hlb}};
  EXPECT_FALSE(BlendHlb(alone).has_value());
}
INSTANTIATE_TEST_SUITE_P(Emulsifiers, BlendHlbRefuses, testing::ValuesIn(kBadEmulsifiers), kRowName);
TEST(BlendHlb, RefusesAnEmptyList) {
  EXPECT_FALSE(BlendHlb({}).has_value());
}

TEST(SplitForHlb, GivesBackTheRequiredHlb) {
  const auto split = SplitForHlb(10, 15, 5);
  ASSERT_TRUE(split.has_value()) << split.error().what;
  EXPECT_DOUBLE_EQ(split->first, 0.5);
  EXPECT_DOUBLE_EQ(split->second, 0.5);
  EXPECT_DOUBLE_EQ(SplitForHlb(5, 15, 5)->first, 0);
  EXPECT_DOUBLE_EQ(SplitForHlb(15, 15, 5)->first, 1);
  EXPECT_DOUBLE_EQ(SplitForHlb(7, 5, 15)->first, 0.8);  // the order of the pair is the caller's
}

struct Split {
  const char* name;
  double required, first, second;
  const char* says;
  friend void PrintTo(const Split& row, std::ostream* out) { *out << row.name; }
};
constexpr Split kBadSplits[] = {
    {"AboveThePair", 15.1, 15, 4.3, "4.3 to 15"}, {"BelowThePair", 4.2, 15, 4.3, "4.3 to 15"},
    {"SameHlb", 12, 12, 12, "no split"},          {"NanRequired", kNan, 15, 4.3, "want"},
    {"NanFirst", 12, kNan, 4.3, "want"},          {"NanSecond", 12, 15, kNan, "want"},
    {"NegativeSecond", 12, 15, -1, "want"},       {"FirstAboveTheScale", 12, 29, 4.3, "want"},
};
class SplitForHlbRefuses : public testing::TestWithParam<Split> {};
TEST_P(SplitForHlbRefuses, AndSaysWhy) {
  const auto split = SplitForHlb(GetParam().required, GetParam().first, GetParam().second);
  ASSERT_FALSE(split.has_value());
  EXPECT_THAT(split.error().what, HasSubstr(GetParam().says));
}
INSTANTIATE_TEST_SUITE_P(Splits, SplitForHlbRefuses, testing::ValuesIn(kBadSplits), kRowName);

}  // namespace
}  // namespace kb::chemistry
