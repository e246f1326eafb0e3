// Levels that the law of other countries than the EU prints, typed in from the texts apart from the records: what makes an
// over-the-counter drug in the United States (21 CFR; OTC Monograph M017), and the limits of Japan (Standards for Cosmetics of 2000,
// letter 0524001 of 2007) and of the colours of the United States.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <string_view>

#include "records.h"

namespace checks {
namespace {

std::string TestName(std::string name) {
  for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
  return name;
}

// --- drugs of the United States ---

struct Drug {
  const char* id;
  const char* at;
  const char* key;
  double low, high;
};

constexpr Drug kDrugs[] = {
    {"allantoin", "347.10(a)", "skin-protectant", 0.5, 2},
    {"aluminum-chlorohydrate", "350.10(b)", "antiperspirant", 0, 25},  // "up to 25 percent", anhydrous
    {"benzoyl-peroxide", "333.310(a)", "acne", 2.5, 10},
    {"camphor", "M017.10(b)(2)", "external-analgesic", 0.1, 3},
    {"lanolin", "347.10(k)", "skin-protectant", 12.5, 50},
    {"menthol", "M017.10(b)(6)", "external-analgesic", 0.1, 1},
    {"petrolatum", "347.10(m)", "skin-protectant", 30, 100},
    {"salicylic-acid", "333.310(d)", "acne", 0.5, 2},
    {"salicylic-acid", "358.510(b)", "corn-and-callus", 12, 17.6},
    {"salicylic-acid", "358.710(a)(4)", "dandruff", 1.8, 3},
    {"sulfur", "358.710(a)(7)", "dandruff", 2, 5},
    {"undecylenic-acid", "333.210(f)", "antifungal", 10, 25},
    {"witch-hazel-alcohol", "346.18(b)", "astringent", 10, 50},
    {"zinc-pyrithione", "358.710(a)(3)", "dandruff", 0.1, 0.25},
};

class OverTheCounter : public testing::TestWithParam<Drug> {};

TEST_P(OverTheCounter, IsAsTheMonographPrintsIt) {
  const Drug& drug = GetParam();
  const auto ix = Data().FindId(drug.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, "us_otc_pct")) {
    if (fact.at != drug.at) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_EQ(fact.key, drug.key);
    EXPECT_DOUBLE_EQ(fact.number->low, drug.low);
    EXPECT_DOUBLE_EQ(fact.number->high, drug.high);
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Monographs, OverTheCounter, testing::ValuesIn(kDrugs), [](const auto& row) {
  return TestName(fmt::format("{}_{}", row.param.id, row.param.at));
});

// --- limits ---

struct Held {
  const char* substance;
  const char* jurisdiction;
  const char* use;  // one of the row's
  double pct;
};

constexpr Held kHeld[] = {
    {"BENZOIC ACID", "JP", "japan", 0.2},                     // appendix 3, list 1
    {"SODIUM BENZOATE", "JP", "japan", 1},                    // salts of benzoic acid together
    {"PHENOXYETHANOL", "JP", "japan", 1},                     //
    {"BENZALKONIUM CHLORIDE", "JP", "japan lip", 0.05},       // appendix 3, list 2
    {"METHYLISOTHIAZOLINONE", "JP", "japan leave-on", 0.01},  // Notification 393 of 2004
    {"OCTOCRYLENE", "JP", "japan", 10},                       // appendix 4, list 1
    {"ETHYLHEXYL SALICYLATE", "JP", "japan lip", 5},          // appendix 4, list 2
    {"CAFFEINE", "JP", "japan leave-on", 2},                  // letter 0524001, row 12
    {"TOCOPHERYL ACETATE", "JP", "japan leave-on", 3.03},     // row 20
    {"BISABOLOL", "JP", "japan oral", 0.7905},                // row 27
    {"CI 17200", "US", "usa lip", 3},                         // 21 CFR 74.2333(b)
    {"SILVER", "US", "usa nail", 1},                          // 21 CFR 73.2500(c)
};

class CountryLimit : public testing::TestWithParam<Held> {};

TEST_P(CountryLimit, IsAsTheLawPrintsIt) {
  const Held& held = GetParam();
  std::size_t found = 0;
  for (const kb::Limit* limit : Data().LimitsOf(held.substance)) {
    if (limit->jurisdiction != held.jurisdiction) continue;
    if (std::find(limit->uses.begin(), limit->uses.end(), held.use) == limit->uses.end()) continue;
    ++found;
    ASSERT_TRUE(limit->max_pct);
    EXPECT_DOUBLE_EQ(*limit->max_pct, held.pct);
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Law, CountryLimit, testing::ValuesIn(kHeld), [](const auto& row) {
  return TestName(fmt::format("{}_{}", row.param.substance, row.param.use));
});

// A row of another country that named none would bind everybody. Advice without force of law binds nobody.
TEST(CountryLimit, EveryRowOutsideTheUnionNamesItsCountry) {
  std::size_t looked_at = 0;
  for (const kb::Limit& limit : Data().limits()) {
    if (limit.jurisdiction == "EU" || limit.annex == "advice") continue;
    ++looked_at;
    EXPECT_FALSE(limit.uses.empty()) << limit.substance << ": " << limit.scope;
    for (const std::string& use : limit.uses) {
      const std::string word = use.substr(0, use.find(' '));
      EXPECT_EQ(word, limit.jurisdiction == "JP" ? "japan"
                      : use == "us-sunscreen"    ? "us-sunscreen"
                                                 : "usa")
          << limit.substance << ": " << use;
    }
  }
  EXPECT_GT(looked_at, 50U);
}

}  // namespace
}  // namespace checks
