#include <gtest/gtest.h>

#include <ostream>
#include <string>

#include "deviation.h"
#include "kb/chemistry/hansen.h"

// Hansen distance between substances of published parameters. No public table of worked distances was found,
// so the squared distance of each pair is worked out by hand beside it: exact, from parameters of one
// decimal.

namespace checks {
namespace {

using kb::chemistry::HansenPoint;

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };
// The hand arithmetic is exact; what is left is the rounding of doubles.
constexpr double kExact = 1e-9;

// Parameters: SN Appl. Sci. 4 (2022) 185, table, through an open chemical-property library (MIT).
// MPa^0.5: dispersion, polar, hydrogen bonding.
constexpr HansenPoint kWater{15.5, 16, 42.3}, kEthanol{15.8, 8.8, 19.4}, kGlycerin{17.4, 11.3, 27.2};
constexpr HansenPoint kPropyleneGlycol{16.8, 10.4, 21.3}, kIsopropanol{15.8, 6.1, 16.4},
    kAcetone{15.5, 10.4, 7};
constexpr HansenPoint kEthylAcetate{15.8, 5.3, 7.2}, kOleicAcid{16, 2.8, 6.2},
    kIsopropylPalmitate{16.2, 3.9, 3.7};
constexpr HansenPoint kLimonene{17.2, 1.8, 4.3}, kSalicylicAcid{19, 9, 13.7}, kTriacetin{16.5, 4.5, 9.1};
constexpr HansenPoint kBenzylAlcohol{18.4, 6.3, 13.7}, kCetylAlcohol{16.4, 3.7, 8.1};

struct Distance {
  const char* name;
  HansenPoint a, b;
  double squared;  // 4 dD^2 + dP^2 + dH^2, by hand
  friend void PrintTo(const Distance& row, std::ostream* out) { *out << row.name; }
};
constexpr Distance kDistances[] = {
    {"WaterEthanol", kWater, kEthanol, 0.36 + 51.84 + 524.41},
    {"WaterGlycerin", kWater, kGlycerin, 14.44 + 22.09 + 228.01},
    {"GlycerinPropyleneGlycol", kGlycerin, kPropyleneGlycol, 1.44 + 0.81 + 34.81},
    {"EthanolIsopropanol", kEthanol, kIsopropanol, 0 + 7.29 + 9.00},
    {"EthylAcetateAcetone", kEthylAcetate, kAcetone, 0.36 + 26.01 + 0.04},
    {"OleicAcidIsopropylPalmitate", kOleicAcid, kIsopropylPalmitate, 0.16 + 1.21 + 6.25},
    {"LimoneneWater", kLimonene, kWater, 11.56 + 201.64 + 1444.00},
    {"SalicylicAcidEthanol", kSalicylicAcid, kEthanol, 40.96 + 0.04 + 32.49},
    {"TriacetinBenzylAlcohol", kTriacetin, kBenzylAlcohol, 14.44 + 3.24 + 21.16},
    {"CetylAlcoholOleicAcid", kCetylAlcohol, kOleicAcid, 0.64 + 0.81 + 3.61},
};
class DistanceByHand : public testing::TestWithParam<Distance> {};
TEST_P(DistanceByHand, Agrees) {
  const auto distance = kb::chemistry::HansenDistance(GetParam().a, GetParam().b);
  ASSERT_TRUE(distance.has_value()) << distance.error().what;
  ExpectPrinted("Hansen distance, squared, by hand", GetParam().name, *distance * *distance,
                GetParam().squared, kExact, "MPa");
}
INSTANTIATE_TEST_SUITE_P(Pairs, DistanceByHand, testing::ValuesIn(kDistances), kRowName);

struct Blend {
  const char* name;
  HansenPoint first, second;
  double first_volume, second_volume;
  HansenPoint by_hand;
  friend void PrintTo(const Blend& row, std::ostream* out) { *out << row.name; }
};
constexpr Blend kBlends[] = {
    {"WaterEthanolHalves", kWater, kEthanol, 50, 50, {15.65, 12.4, 30.85}},
    {"GlycerinWaterOneToThree", kGlycerin, kWater, 1, 3, {15.975, 14.825, 38.525}},
    {"AcetoneLimoneneSixToFour", kAcetone, kLimonene, 6, 4, {16.18, 6.96, 5.92}},
};
class BlendByHand : public testing::TestWithParam<Blend> {};
TEST_P(BlendByHand, Agrees) {
  const Blend& row = GetParam();
  const kb::chemistry::HansenPart parts[] = {{row.first, row.first_volume}, {row.second, row.second_volume}};
  const auto blend = kb::chemistry::HansenBlend(parts);
  ASSERT_TRUE(blend.has_value()) << blend.error().what;
  const std::string name = row.name;
  ExpectPrinted("Hansen blend, by hand", name + " dD", blend->dispersion, row.by_hand.dispersion, kExact,
                "MPa^0.5");
  ExpectPrinted("Hansen blend, by hand", name + " dP", blend->polar, row.by_hand.polar, kExact, "MPa^0.5");
  ExpectPrinted("Hansen blend, by hand", name + " dH", blend->hydrogen_bonding, row.by_hand.hydrogen_bonding,
                kExact, "MPa^0.5");
}
INSTANTIATE_TEST_SUITE_P(Pairs, BlendByHand, testing::ValuesIn(kBlends), kRowName);

}  // namespace
}  // namespace checks
