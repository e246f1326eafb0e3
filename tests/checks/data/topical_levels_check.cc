// Shares in approved topical medicines against the rows of the United States FDA's Inactive Ingredient Database, typed in from it
// apart from the records (route TOPICAL, unit % w/w or % w/v; quarterly file, undated copy, and list of 2019).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "records.h"

namespace checks {
namespace {

// INGREDIENT_NAME, DOSAGE_FORM and POTENCY_AMOUNT as printed there, and which record and form of ours they are.
struct Row {
  const char* id;
  const char* key;
  const char* printed_name;
  const char* printed_form;
  double pct;
};

constexpr Row kRows[] = {
    {"beeswax-yellow", "ointment", "YELLOW WAX", "OINTMENT", 20},
    {"bentonite", "lotion", "BENTONITE", "LOTION", 5},
    {"benzyl-alcohol", "ointment", "BENZYL ALCOHOL", "OINTMENT", 2.2},
    {"castor-oil", "ointment", "CASTOR OIL", "OINTMENT", 14.9},
    {"cetearyl-alcohol", "cream", "CETOSTEARYL ALCOHOL", "CREAM", 12},
    {"cetyl-alcohol", "ointment", "CETYL ALCOHOL", "OINTMENT", 7},
    {"cetyl-esters", "cream", "CETYL ESTERS WAX", "CREAM", 10.3},
    {"dimethyl-isosorbide", "cream", "DIMETHYL ISOSORBIDE", "CREAM", 15},
    {"glycerin", "lotion", "GLYCERIN", "LOTION", 11.2},
    {"glycerin", "shampoo", "GLYCERIN", "SHAMPOO", 5},
    {"glyceryl-stearate", "cream", "GLYCERYL MONOSTEARATE", "EMULSION, CREAM", 20},
    {"hexylene-glycol", "cream", "HEXYLENE GLYCOL", "CREAM", 12},
    {"isopropyl-myristate", "cream", "ISOPROPYL MYRISTATE", "EMULSION, CREAM", 15},
    {"isopropyl-myristate", "ointment", "ISOPROPYL MYRISTATE", "OINTMENT", 35},
    {"lanolin", "ointment", "LANOLIN", "OINTMENT", 10},
    {"menthol", "cream", "MENTHOL", "CREAM", 0.1},
    {"mineral-oil", "ointment", "MINERAL OIL", "OINTMENT", 97.95},
    {"peg-8", "ointment", "POLYETHYLENE GLYCOL 400", "OINTMENT", 65},
    {"polysorbate-80", "lotion", "POLYSORBATE 80", "LOTION", 15},
    {"propylene-glycol", "solution", "PROPYLENE GLYCOL", "SOLUTION", 99.98},
    {"sorbic-acid", "lotion", "SORBIC ACID", "LOTION", 0.2},
    {"squalane", "cream", "SQUALANE", "CREAM", 6},
    {"stearic-acid", "ointment", "STEARIC ACID", "OINTMENT", 15},
    {"triethanolamine", "cream", "TROLAMINE", "CREAM", 1},
    {"xanthan-gum", "lotion", "XANTHAN GUM", "LOTION", 0.3},
    {"zinc-oxide", "lotion", "ZINC OXIDE", "LOTION", 16},
};

class TopicalLevel : public testing::TestWithParam<Row> {};

TEST_P(TopicalLevel, IsAsTheDatabasePrintsIt) {
  const Row& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, "topical_max_pct")) {
    if (fact.key != row.key) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_DOUBLE_EQ(fact.number->high, row.pct);
    EXPECT_DOUBLE_EQ(fact.number->low, row.pct);
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
    EXPECT_EQ(fact.at, fmt::format("{}, TOPICAL, {}", row.printed_name, row.printed_form));
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(InactiveIngredientDatabase, TopicalLevel, testing::ValuesIn(kRows),
                         [](const auto& row) {
                           std::string name = fmt::format("{}_{}", row.param.id, row.param.key);
                           for (char& c : name) c = c == '-' ? '_' : c;
                           return name;
                         });

// Dosage forms of the database, and the one of ours that stands for each.
constexpr std::array<std::pair<std::string_view, std::string_view>, 19> kForms = {{
    {"CREAM", "cream"},
    {"CREAM, AUGMENTED", "cream"},
    {"EMULSION, CREAM", "cream"},
    {"LOTION", "lotion"},
    {"LOTION, AUGMENTED", "lotion"},
    {"EMULSION", "emulsion"},
    {"OINTMENT", "ointment"},
    {"OINTMENT, AUGMENTED", "ointment"},
    {"GEL", "gel"},
    {"GEL, METERED", "gel"},
    {"JELLY", "gel"},
    {"AEROSOL, FOAM", "foam"},
    {"EMULSION, AEROSOL FOAM", "foam"},
    {"SPRAY", "spray"},
    {"SOLUTION", "solution"},
    {"SUSPENSION", "suspension"},
    {"SHAMPOO", "shampoo"},
    {"SHAMPOO, SUSPENSION", "shampoo"},
    {"SOAP", "soap"},
}};

TEST(TopicalLevel, EveryClaimIsOfTheTopicalRouteAndOfTheFormThatItsRowNames) {
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : Data().ingredients()) {
    for (const kb::Fact& fact : Data().Facts(*Data().FindId(item.id), "topical_max_pct")) {
      ++looked_at;
      constexpr std::string_view kRoute = ", TOPICAL, ";
      const std::size_t route = fact.at.find(kRoute);
      ASSERT_NE(route, std::string::npos) << item.id << ": " << fact.at;
      const std::string_view form = std::string_view(fact.at).substr(route + kRoute.size());
      bool known = false;
      for (const auto& [printed, key] : kForms) known = known || (printed == form && key == fact.key);
      EXPECT_TRUE(known) << item.id << ": " << fact.key << " from " << fact.at;
    }
  }
  EXPECT_GT(looked_at, 300U);
}

}  // namespace
}  // namespace checks
