// Least concentrations that stop growth, typed in apart from the records from the papers that print them (abstracts and tables as
// data/sources.toml says).
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstddef>
#include <string>
#include <string_view>

#include "records.h"

namespace checks {
namespace {

constexpr double kPpmInOnePerCent = 10000;  // 1 % w/v is 10 mg/mL

struct Row {
  const char* id;
  const char* property;
  const char* key;
  const char* source;
  double low;
  double high;
};

constexpr Row kRows[] = {
    // GMS Krankenhhyg. Interdiszip. 6(1):Doc06 (2011): "ranged between 1-2 ug/mL", "0.5 ug/mL for the reference strains"
    {"polyaminopropyl-biguanide", "mic_ug_ml", "S. aureus", "assadian-2011", 1, 2},
    {"triclosan", "mic_ug_ml", "E. coli", "assadian-2011", 0.5, 0.5},
    // azole compounds and Malassezia furfur: climbazole "< 0.06 to 0.5 microgram ml-1"
    {"climbazole", "mic_ug_ml", "M. furfur", "furfur-azoles", 0, 0.5},
    // propionibacteria from acne patients: "2000-4000 ug/ml" azelaic acid, "64-128 ug/ml" benzoyl peroxide
    {"azelaic-acid", "mic_ug_ml", "cutaneous propionibacteria", "propionibacteria-acne", 2000, 4000},
    {"benzoyl-peroxide", "mic_ug_ml", "cutaneous propionibacteria", "propionibacteria-acne", 64, 128},
    // J. Antimicrob. Chemother. (2003), aromatic alcohols: 0.46 % (4600 mg/L)
    {"phenethyl-alcohol", "mic_ug_ml", "P. aeruginosa", "fraud-2003", 0.46 * kPpmInOnePerCent,
     0.46 * kPpmInOnePerCent},
    // PLoS One 11(9):e0163147 (2016): thymol "100-200 ug/mL"
    {"thymol", "mic_ug_ml", "E. coli", "wang-2016", 100, 200},
    // four preservatives, 2025: methylparaben "0.05-0.2 mg/mL", fungi
    {"methylparaben", "mic_ug_ml", "Aspergillus", "cosmetic-isolates-2025", 50, 200},
    // J. Appl. Microbiol. (1999): "0.03% (v/v) thyme oil against C. albicans and E. coli", 0.008 % vetiver oil
    {"thyme-oil", "mic_vv_pct", "C. albicans", "plant-oils-1999", 0.03, 0.03},
    {"vetiver-oil", "mic_vv_pct", "S. aureus", "plant-oils-1999", 0.008, 0.008},
    // J. Soc. Cosmet. Chem. 26:105 (1975), Tables II and V
    {"bronopol", "mic_lotion_pct", "anionic acid", "jscc-1975", 0.05, 0.05},
    {"phenoxyethanol", "mic_lotion_pct", "nonionic acid", "jscc-1975", 1, 1},
};

class Inhibitory : public testing::TestWithParam<Row> {};

TEST_P(Inhibitory, IsAsThePaperPrintsIt) {
  const Row& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, row.property)) {
    if (fact.key != row.key || Data().source(fact.source).key != row.source) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_DOUBLE_EQ(fact.number->low, row.low);
    EXPECT_DOUBLE_EQ(fact.number->high, row.high);
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Papers, Inhibitory, testing::ValuesIn(kRows), [](const auto& row) {
  std::string name = std::string(row.param.id) + "_" + row.param.key;
  std::replace_if(
      name.begin(), name.end(), [](char c) { return !std::isalnum(static_cast<unsigned char>(c)); }, '_');
  return name;
});

// A recalled figure would be taken for one that somebody measured.
TEST(Inhibitory, IsNeverRecalled) {
  std::size_t looked_at = 0;
  constexpr std::array<std::string_view, 3> kProperties = {"mic_ug_ml", "mic_vv_pct", "mic_lotion_pct"};
  for (const kb::Ingredient& item : Data().ingredients()) {
    for (const std::string_view property : kProperties) {
      for (const kb::Fact& fact : Data().Facts(*Data().FindId(item.id), property)) {
        ++looked_at;
        EXPECT_EQ(fact.standing, kb::Standing::kPublished) << item.id;
        EXPECT_FALSE(fact.at.empty()) << item.id;
      }
    }
  }
  EXPECT_GT(looked_at, 40U);
}

}  // namespace
}  // namespace checks
