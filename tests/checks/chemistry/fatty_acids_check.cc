#include <gtest/gtest.h>

#include <ostream>
#include <string>

#include "deviation.h"
#include "kb/chemistry/fatty_acids.h"

// Molar masses, the printed factors of the iodine value, printed iodine values of analysed fats, order of
// oxidation.

namespace checks {
namespace {

using kb::chemistry::FattyAcidProfile;

constexpr auto kRowName = [](const auto& row) { return std::string(row.param.name); };

kb::chemistry::FattyAcid Acid(const char* text) {
  return kb::chemistry::ParseFattyAcid(text).value();
}

struct Mass {
  const char* name;
  const char* acid;
  double printed, tolerance;
  friend void PrintTo(const Mass& row, std::ostream* out) { *out << row.name; }
};
// Cyberlipid, table of saturated fatty acids: printed to 0.1, but cut rather than rounded in places (284.4
// for stearic acid where IUPAC weights give 284.48), so a whole last digit. Longer acids of that table (C30
// and up) drift by up to 0.2 with older atomic weights and stay out. Oleic acid: open encyclopaedia, printed
// to 0.001.
constexpr double kCut = 0.1;
constexpr Mass kMasses[] = {
    {"Caprylic", "C8:0", 144.2, kCut},   {"Capric", "C10:0", 172.3, kCut},
    {"Lauric", "C12:0", 200.3, kCut},    {"Myristic", "C14:0", 228.4, kCut},
    {"Palmitic", "C16:0", 256.4, kCut},  {"Margaric", "C17:0", 270.4, kCut},
    {"Stearic", "C18:0", 284.4, kCut},   {"Arachidic", "C20:0", 312.5, kCut},
    {"Behenic", "C22:0", 340.5, kCut},   {"Lignoceric", "C24:0", 368.6, kCut},
    {"Cerotic", "C26:0", 396.7, kCut},   {"Montanic", "C28:0", 424.8, kCut},
    {"Oleic", "C18:1", 282.468, 0.0005},
};
class MassPrint : public testing::TestWithParam<Mass> {};
TEST_P(MassPrint, Agrees) {
  ExpectPrinted("molar mass of fatty acids", GetParam().name, MolarMass(Acid(GetParam().acid)),
                GetParam().printed, GetParam().tolerance, "g/mol");
}
INSTANTIATE_TEST_SUITE_P(Print, MassPrint, testing::ValuesIn(kMasses), kRowName);

struct Factor {
  const char* name;
  const char* acid;
  double printed;  // of 1 %
  friend void PrintTo(const Factor& row, std::ostream* out) { *out << row.name; }
};
// AOCS Recommended Practice Cd 1c-85 (reapproved 2009), triglycerides, printed to 0.001.
constexpr Factor kFactors[] = {
    {"Hexadecenoic", "C16:1", 0.950},    {"Octadecenoic", "C18:1", 0.860},
    {"Octadecadienoic", "C18:2", 1.732}, {"Octadecatrienoic", "C18:3", 2.616},
    {"Eicosenoic", "C20:1", 0.785},      {"Docosenoic", "C22:1", 0.723},
};
class FactorPrint : public testing::TestWithParam<Factor> {};
TEST_P(FactorPrint, Agrees) {
  const FattyAcidProfile pure = {{Acid(GetParam().acid), 100}};
  ExpectPrinted("iodine factors of AOCS Cd 1c-85", GetParam().name, IodineValue(pure).value() / 100,
                GetParam().printed, 0.0005, "per %");
}
INSTANTIATE_TEST_SUITE_P(Print, FactorPrint, testing::ValuesIn(kFactors), kRowName);

struct Fat {
  const char* name;
  double c14_0, c16_0, c16_1, c18_0, c18_1, c18_2, c18_3;  // mass %
  double printed;                                          // iodine value
  friend void PrintTo(const Fat& row, std::ostream* out) { *out << row.name; }
};
// PMC4384276 (J. Anim. Sci. Biotechnol. 6, 10, 2015), table 2: oils as they came (OL) and after slow (SO) and
// rapid (RO) peroxidation, with their iodine values, printed as whole numbers.
constexpr Fat kFats[] = {
    {"CornOl", 0.06, 10.76, 0.10, 1.71, 27.70, 57.18, 0.79, 125},
    {"CornSo", 0.06, 11.90, 0.10, 1.91, 29.84, 52.73, 0.62, 119},
    {"CornRo", 0.07, 12.11, 0.12, 1.93, 29.80, 52.32, 0.63, 118},
    {"CanolaOl", 0.08, 3.95, 0.22, 1.78, 64.57, 17.90, 7.09, 105},
    {"CanolaSo", 0.09, 4.39, 0.23, 1.93, 65.47, 16.51, 5.73, 100},
    {"CanolaRo", 0.08, 4.43, 0.23, 1.95, 66.82, 15.93, 5.01, 98},
    {"PoultryOl", 0.63, 24.69, 7.11, 5.93, 38.07, 18.50, 0.77, 73},
    {"PoultrySo", 0.63, 24.49, 7.39, 6.02, 39.16, 17.59, 0.67, 73},
    {"PoultryRo", 0.65, 24.68, 7.19, 6.10, 39.20, 17.10, 0.69, 72},
    {"TallowOl", 3.03, 24.50, 2.55, 21.59, 32.03, 2.80, 0.22, 35},
    {"TallowSo", 3.21, 24.50, 2.71, 20.00, 33.48, 1.83, 0.12, 35},
    {"TallowRo", 3.29, 25.94, 2.55, 21.97, 30.62, 1.84, 0.11, 32},
};
// Half of the last digit; shares rounded to 0.01 (0.03 over four unsaturated acids); factors that the authors
// may have used as printed, to 0.001 (0.05).
constexpr double kWholeNumber = 0.5 + 0.03 + 0.05;
class FatPrint : public testing::TestWithParam<Fat> {};
TEST_P(FatPrint, Agrees) {
  const Fat& row = GetParam();
  const FattyAcidProfile profile = {{Acid("C14:0"), row.c14_0}, {Acid("C16:0"), row.c16_0},
                                    {Acid("C16:1"), row.c16_1}, {Acid("C18:0"), row.c18_0},
                                    {Acid("C18:1"), row.c18_1}, {Acid("C18:2"), row.c18_2},
                                    {Acid("C18:3"), row.c18_3}};
  // The print takes the listed acids alone, 86 to 98 % of the fat: scale, and scale back.
  const double iodine =
      IodineValue(Normalized(profile).value()).value() * Completeness(profile).value() / 100;
  ExpectPrinted("iodine values of PMC4384276", row.name, iodine, row.printed, kWholeNumber, "g/100 g");
}
INSTANTIATE_TEST_SUITE_P(Print, FatPrint, testing::ValuesIn(kFats), kRowName);

// Frankel, J. Sci. Food Agric. 54 (1991) 495, abstract: synthetic triglycerides oxidise faster the more
// linolenic acid (Ln) they hold beside linoleic acid (L): LnLnL, LnLLn before LLnL, LLLn. The order of
// positions is not seen here.
TEST(Oxidizability, RisesWithLinolenicAcidAsInFrankel1991) {
  const double two =
      kb::chemistry::OxidizabilityOf({{Acid("C18:3"), 66.7}, {Acid("C18:2"), 33.3}}).value().value;
  const double one =
      kb::chemistry::OxidizabilityOf({{Acid("C18:3"), 33.3}, {Acid("C18:2"), 66.7}}).value().value;
  EXPECT_GT(two, one);
}

struct Rate {
  const char* name;
  const char* acid;
  double printed;
  friend void PrintTo(const Rate& row, std::ostream* out) { *out << row.name; }
};
// Relative rates 40 : 20 : 10 : 1 for arachidonic, linolenic, linoleic and oleic acid, "approximately", and
// next to nothing for saturated acids, as a food-chemistry course prints them.
constexpr Rate kRates[] = {
    {"Stearic", "C18:0", 0},    {"Oleic", "C18:1", 1},          {"Linoleic", "C18:2", 10},
    {"Linolenic", "C18:3", 20}, {"Arachidonic", "C20:4n6", 40},
};
class RatePrint : public testing::TestWithParam<Rate> {};
TEST_P(RatePrint, Agrees) {
  const double value = kb::chemistry::OxidizabilityOf({{Acid(GetParam().acid), 100}}).value().value;
  ExpectPrinted("relative rates of oxidation", GetParam().name, value, GetParam().printed, 1e-9, "of oleic");
}
INSTANTIATE_TEST_SUITE_P(Print, RatePrint, testing::ValuesIn(kRates), kRowName);

}  // namespace
}  // namespace checks
