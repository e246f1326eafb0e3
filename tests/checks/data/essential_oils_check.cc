// Shares in essential oils against the limits and analyses in print, typed in from them apart from the records.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <string>

#include "records.h"

namespace checks {
namespace {

// The oil, the component, the share printed for it in per cent, and where.
struct Row {
  const char* id;
  const char* property;
  const char* key;
  double low;
  double high;
  const char* printed_in;
};

constexpr Row kRows[] = {
    // Annex to Implementing Regulation (EU) 2022/347, petitgrain bigarade essential oil.
    {"petitgrain-oil", "allergen_pct", "LINALYL ACETATE", 40, 72, "eu-2022-347"},
    {"petitgrain-oil", "allergen_pct", "LINALOOL", 10, 32, "eu-2022-347"},
    {"petitgrain-oil", "allergen_pct", "GERANYL ACETATE", 1.5, 5.5, "eu-2022-347"},
    // Annex to Implementing Regulation (EU) 2024/2427, coriander essential oil.
    {"coriander-seed-oil", "allergen_pct", "LINALOOL", 65, 78, "eu-2024-2427"},
    {"coriander-seed-oil", "component_pct", "GAMMA-TERPINENE", 3, 7, "eu-2024-2427"},
    // Annex to Implementing Regulation (EU) 2022/593, litsea berry essential oil: geranial 36-45, neral 25-35.
    {"may-chang-oil", "allergen_pct", "CITRAL", 36 + 25, 45 + 35, "eu-2022-593"},
    // Annex to Implementing Regulation (EU) 2022/1248, oregano essential oil: carvacrol not less than 75, thymol
    // not more than 2.7.
    {"oregano-oil", "component_pct", "CARVACROL", 75, 100, "eu-2022-1248"},
    {"oregano-oil", "component_pct", "THYMOL", 0, 2.7, "eu-2022-1248"},
    // Molecules 27 (2022) 3216, table 2: Ph. Eur. 10, lavender oil, terpinen-4-ol.
    {"lavender-oil", "component_pct", "4-TERPINEOL", 0.1, 8, "lavender-2022"},
    // J. Med. Food 8 (2005), number 3: laurel leaf of seven localities.
    {"bay-laurel-oil", "component_pct", "EUCALYPTOL", 51.73, 68.48, "laurel-2005"},
    // J. Sci. Food Agric. 64 (1994): fifteen Turkish rose oils.
    {"rose-otto", "allergen_pct", "CITRONELLOL", 24.47, 42.97, "bayrak-1994"},
    // Phyton 93 (2024) 2051: sage leaves bought in nine countries.
    {"sage-oil", "allergen_pct", "CAMPHOR", 11.3, 29.3, "raal-2024"},
    {"sage-oil", "component_pct", "ALPHA-THUJONE", 3, 34, "raal-2024"},
    // Phytologia 99 (2017) 89: cypress cultivars, alpha-pinene.
    {"cypress-oil", "allergen_pct", "PINENE", 27.4, 65.7, "adams-2017"},
    // Handbook of Herbs and Spices 3 (2006), page 204: nutmeg oil, after Mallavarapu and Ramesh 1998.
    {"nutmeg-oil", "allergen_pct", "LIMONENE", 4.0, 4.0, "herbs-spices-2006"},
    {"nutmeg-oil", "component_pct", "SABINENE", 32.1, 32.1, "herbs-spices-2006"},
};

class OilShare : public testing::TestWithParam<Row> {};

TEST_P(OilShare, IsAsPrinted) {
  const Row& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, row.property)) {
    if (fact.key != row.key || Data().source(fact.source).key != row.printed_in) continue;
    ASSERT_TRUE(fact.number);
    ++found;
    EXPECT_NEAR(fact.number->low, row.low, 1e-9);
    EXPECT_NEAR(fact.number->high, row.high, 1e-9);
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Prints, OilShare, testing::ValuesIn(kRows), [](const auto& row) {
  std::string name = fmt::format("{}_{}", row.param.id, row.param.key);
  std::replace_if(
      name.begin(), name.end(), [](char c) { return c == '-' || c == ' '; }, '_');
  return name;
});

}  // namespace
}  // namespace checks
