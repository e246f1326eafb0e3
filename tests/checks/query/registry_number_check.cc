#include <gtest/gtest.h>

#include <string>

#include "kb/registry_number.h"

namespace kb {
namespace {

// Numbers as the EU inventory of cosmetic ingredients prints them (European Commission, open data).
struct Printed {
  const char* name;
  const char* cas;
  const char* ec;
};

constexpr Printed kInventory[] = {
    {"Phenoxyethanol", "122-99-6", "204-589-7"},
    {"BenzoicAcid", "65-85-0", "200-618-2"},
    {"SorbicAcid", "110-44-1", "203-768-7"},
    {"SalicylicAcid", "69-72-7", "200-712-3"},
    {"Glycerin", "56-81-5", "200-289-5"},
    {"CetylAlcohol", "36653-82-4", "253-149-0"},
    {"Urea", "57-13-6", "200-315-5"},
    {"Caffeine", "58-08-2", "200-362-1"},
    {"Allantoin", "97-59-6", "202-592-8"},
};

class Inventory : public testing::TestWithParam<Printed> {};

TEST_P(Inventory, NumbersAreTaken) {
  EXPECT_TRUE(IsCasNumber(GetParam().cas));
  EXPECT_TRUE(IsEcNumber(GetParam().ec));
}

// The rule finds every wrong single digit: each weight is prime to 10 or the change shows in the sum. For CAS this fails where
// a weight shares a factor with 10, so only the last digit, which has none, is tried; for EC (modulo 11) every digit is.
TEST_P(Inventory, ASlipInTheCheckDigitIsSeen) {
  for (char digit = '0'; digit <= '9'; ++digit) {
    std::string cas = GetParam().cas;
    if (cas.back() == digit) continue;
    cas.back() = digit;
    EXPECT_FALSE(IsCasNumber(cas)) << cas;
  }
}

TEST_P(Inventory, ASlipInAnyDigitOfAnEcNumberIsSeen) {
  const std::string right = GetParam().ec;
  for (std::size_t i = 0; i < right.size(); ++i) {
    if (right[i] == '-') continue;
    for (char digit = '0'; digit <= '9'; ++digit) {
      if (digit == right[i]) continue;
      std::string ec = right;
      ec[i] = digit;
      EXPECT_FALSE(IsEcNumber(ec)) << ec;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(EuInventory, Inventory, testing::ValuesIn(kInventory),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(IsCasNumber, RefusesOtherForms) {
  for (const char* bad : {"", "56-81", "56-81-", "56-815", "6-81-5", "56-8-15", "12345678-81-5", "56-81-5 ",
                          "a6-81-5", "56 81 5",
                          // printed in the inventory with a check digit that is wrong
                          "27215-38-4"}) {
    EXPECT_FALSE(IsCasNumber(bad)) << bad;
  }
}

TEST(IsEcNumber, RefusesOtherForms) {
  for (const char* bad : {"", "200-289", "200-289-55", "2002895", "200-28-95", "abc-def-g", "200-289-6"}) {
    EXPECT_FALSE(IsEcNumber(bad)) << bad;
  }
}

}  // namespace
}  // namespace kb
