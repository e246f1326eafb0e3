#include "kb/chemistry/molar_mass.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <string>

namespace kb::chemistry {
namespace {

using testing::HasSubstr;

struct MassRow {
  const char* row;
  const char* formula;
  double mass;
  friend void PrintTo(const MassRow& row, std::ostream* out) { *out << row.row; }
};
// Added up by hand from the abridged standard atomic weights of 2021. Structures are compared with Open Babel in
// tests/checks/chemistry/molar_mass_check.cc.
// clang-format off
constexpr MassRow kMasses[] = {
    {"Water", "H2O", 2 * 1.008 + 15.999},
    {"OneAtom", "C", 12.011},
    {"TwoLetters", "NaCl", 22.990 + 35.45},
    {"CarbonMonoxideNotCobalt", "CO", 12.011 + 15.999},
    {"CobaltNotCarbonMonoxide", "Co", 58.933},
    {"CitricAcid", "C6H8O7", 6 * 12.011 + 8 * 1.008 + 7 * 15.999},
    {"Brackets", "Ca(OH)2", 40.078 + 2 * (15.999 + 1.008)},
    {"SquareBrackets", "Zn[C7H5O3]2", 65.38 + 2 * (7 * 12.011 + 5 * 1.008 + 3 * 15.999)},
    {"NestedBrackets", "Al2(Si(OH)4)3", 2 * 26.982 + 3 * (28.085 + 4 * 17.007)},
    {"BracketOfOne", "(CH3)2CO", 2 * (12.011 + 3 * 1.008) + 12.011 + 15.999},
    {"Hydrate", "C6H5Na3O7.2H2O", 6 * 12.011 + 5 * 1.008 + 3 * 22.990 + 7 * 15.999 + 2 * 18.015},
    {"HydrateWithMiddleDot", "MgSO4\xC2\xB7"
                             "7H2O", 24.305 + 32.06 + 4 * 15.999 + 7 * 18.015},
    {"HydrateOfOne", "C6H8O7.H2O", 192.123 + 18.015},
    {"HalfHydrate", "CaSO4.0.5H2O", 40.078 + 32.06 + 4 * 15.999 + 0.5 * 18.015},
    {"NumberInFront", "2H2O", 2 * 18.015},
    {"NumberAfterADotIsThePartsOwn", "C1.5H2", 12.011 + 5 * 2.016},
    {"Siloxane", "C10H30O5Si5", 10 * 12.011 + 30 * 1.008 + 5 * 15.999 + 5 * 28.085},
};
// clang-format on
class MolarMassOf : public testing::TestWithParam<MassRow> {};
TEST_P(MolarMassOf, IsTheSumOfItsAtoms) {
  const auto mass = MolarMass(GetParam().formula);
  ASSERT_TRUE(mass.has_value()) << mass.error().what;
  EXPECT_NEAR(*mass, GetParam().mass, 1e-6);
}
INSTANTIATE_TEST_SUITE_P(Formulas, MolarMassOf, testing::ValuesIn(kMasses),
                         [](const auto& any) { return std::string(any.param.row); });

struct FormulaRefusal {
  const char* row;
  std::string formula;
  const char* says;
  friend void PrintTo(const FormulaRefusal& refusal, std::ostream* out) { *out << refusal.row; }
};
// clang-format off
const FormulaRefusal kRefusals[] = {
    {"Empty", "", "formula is empty"},
    {"UnknownElement", "C6H8Xx", "character 5: 'Xx' is not an element"},
    {"LowerCase", "c6h8o7", "character 1: an element symbol begins with a capital"},
    {"LowerCaseLater", "C6h8", "character 3: an element symbol begins with a capital"},
    {"Space", "C6 H8", "character 3: expected an element symbol"},
    {"Charge", "Na+", "character 3: expected an element symbol"},
    {"Zero", "C0H4", "character 2: a number of zero"},
    {"TooMany", "C100000", "character 2: a number above 99999"},
    {"Overflow", "C" + std::string(190, '9'), "a number above 99999"},
    {"NotClosed", "Ca(OH2", "character 7: expected ')'"},
    {"ClosedWrongly", "Ca(OH]2", "character 6: expected ')'"},
    {"NotOpened", "CaOH)2", "character 5: a closing bracket without an opening one"},
    {"NothingInBrackets", "Ca()2", "character 4: expected an element symbol"},
    {"NothingAfterDot", "CaSO4.", "character 7: expected an element symbol"},
    {"NothingBeforeDot", ".H2O", "character 1: expected an element symbol"},
    {"TwoDots", "CaSO4..H2O", "character 7: expected an element symbol"},
    {"NumberAlone", "12", "character 3: expected an element symbol"},
    {"TooDeep", "(((((((((C)))))))))", "brackets more than 8 deep"},
    {"TooLong", std::string(201, 'C'), "201 characters"},
    {"Zeroes", std::string("C\0H", 3), "character 2: expected an element symbol"},
    {"Subscript", "H\xE2\x82\x82O", "character 2: expected an element symbol"},
};
// clang-format on
class MolarMassRefuses : public testing::TestWithParam<FormulaRefusal> {};
TEST_P(MolarMassRefuses, AndSaysWhere) {
  const auto mass = MolarMass(GetParam().formula);
  ASSERT_FALSE(mass.has_value()) << *mass;
  EXPECT_THAT(mass.error().what, HasSubstr(GetParam().says));
}
INSTANTIATE_TEST_SUITE_P(Formulas, MolarMassRefuses, testing::ValuesIn(kRefusals),
                         [](const auto& any) { return std::string(any.param.row); });

TEST(MolarMass, AnswersOrRefusesAnything) {
  std::mt19937 random(2021);
  constexpr std::string_view kLetters = "CHONaPSKl0123456789()[].\xC2\xB7 +x";
  int answered = 0;
  for (int run = 0; run < 20000; ++run) {
    std::string formula(random() % 14, ' ');
    for (char& letter : formula) letter = kLetters[random() % kLetters.size()];
    if (const auto mass = MolarMass(formula)) {
      ++answered;
      ASSERT_GT(*mass, 0) << formula;
    } else {
      ASSERT_FALSE(mass.error().what.empty()) << formula;
    }
  }
  EXPECT_GT(answered, 100);  // else the letters ask nothing
}

}  // namespace
}  // namespace kb::chemistry
