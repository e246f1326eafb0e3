// Highest shares that safety assessments report in cosmetics, typed in apart from the records from the abstracts of the two
// journals that print them (International Journal of Toxicology; Journal of the American College of Toxicology).
#include <gtest/gtest.h>

#include <cstddef>
#include <string>
#include <string_view>

#include "records.h"

namespace checks {
namespace {

struct Row {
  const char* id;
  const char* key;
  double pct;
};

constexpr Row kRows[] = {
    {"allantoin", "all", 2},               // IJT 29(S3):84S, 2010: "at concentrations up to 2%"
    {"ammonium-glycyrrhizate", "all", 5},  // IJT 26(S2):79, 2007: "up to 5%"
    {"castor-oil", "leave-on", 81},        // IJT 26(S3):31, 2007: 81 % in lipstick, the highest
    {"cholesterol", "all", 5},             // JACT, cholesterol: "at concentrations up to 5%"
    {"coconut-oil", "all", 50},            // JACT 5(3):103, 1986: "at concentrations up to 50%"
    {"glyceryl-oleate", "all", 5},         // JACT 5(5), 1986: "as an emulsifier at concentrations up to 5%"
    {"hydroxyethylcellulose", "all", 10},  // JACT 5(3), 1986: "at concentrations up to 10%"
    {"isostearyl-neopentanoate", "all", 50},  // JACT 4(3):1, 1985: "up to 50 percent"
    {"niacinamide", "leave-on",
     3},  // IJT 24(S5), 2005: from 0.0001 % to "a high of 3%" in body and hand creams
    {"peppermint-oil", "leave-on", 0.2},  // IJT 20(S3):61, 2001: 0.2 % leave-on
    {"peppermint-oil", "rinse-off", 3},   // the same: 3 % rinse-off
    {"propylene-carbonate", "all", 5},    // JACT 6(1):23, 1987: 0.1 to 5 %
    {"pvp", "all", 35},                   // IJT 17(S4):95, 1998: "the highest concentration reported"
    {"sodium-hyaluronate", "all", 2},     // IJT 28(S4):5, 2009: "at concentrations up to 2%"
};

class ReportedLevel : public testing::TestWithParam<Row> {};

TEST_P(ReportedLevel, IsAsTheAssessmentPrintsIt) {
  const Row& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, "reported_max_pct")) {
    if (fact.key != row.key) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_DOUBLE_EQ(fact.number->high, row.pct);
    EXPECT_DOUBLE_EQ(fact.number->low, row.pct);
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
    EXPECT_FALSE(fact.at.empty());
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(SafetyAssessments, ReportedLevel, testing::ValuesIn(kRows), [](const auto& row) {
  std::string name = std::string(row.param.id) + "_" + row.param.key;
  for (char& c : name) c = c == '-' ? '_' : c;
  return name;
});

// What was not seen in print has no place here: a recalled share would be taken for one that makers had told the panel.
TEST(ReportedLevel, IsNeverRecalled) {
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : Data().ingredients()) {
    for (const kb::Fact& fact : Data().Facts(*Data().FindId(item.id), "reported_max_pct")) {
      ++looked_at;
      EXPECT_EQ(fact.standing, kb::Standing::kPublished) << item.id;
      EXPECT_FALSE(fact.at.empty()) << item.id;
    }
  }
  EXPECT_GT(looked_at, 50U);
}

}  // namespace
}  // namespace checks
