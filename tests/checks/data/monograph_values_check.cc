// Figures of monographs and purity criteria against print, typed in from them apart from the records: acid, hydroxyl and
// saponification values (mg KOH a gram), melting ranges, pH of a solution of the strength that the monograph names.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstddef>
#include <string>

#include "records.h"

namespace checks {
namespace {

// `print` names the text; a limit "not more than 2" stands as 0 to 2. `strength` is that of the solution, of a pH.
struct Row {
  const char* id;
  const char* property;
  const char* print;
  double low;
  double high;
  const char* strength = "";
};

constexpr Row kRows[] = {
    {"polysorbate-20", "hydroxyl_value", "usp32-nf27", 96, 108},       // USP 32, Polysorbate 20
    {"polysorbate-40", "hydroxyl_value", "usp35-nf30", 89, 105},       // USP 35, Polysorbate 40
    {"polysorbate-40", "saponification_value", "usp35-nf30", 41, 52},  // USP 35, Polysorbate 40
    {"polysorbate-80", "acid_value", "usp32-nf27", 0, 2.2},            // USP 32, Polysorbate 80
    {"sorbitan-sesquioleate", "acid_value", "usp32-nf27", 0, 14},      // USP 32, Sorbitan Sesquioleate
    {"sorbitan-trioleate", "hydroxyl_value", "usp32-nf27", 50, 75},    // USP 32, Sorbitan Trioleate
    {"sorbitan-oleate", "hydroxyl_value", "cfr-173-75", 193, 210},     // 21 CFR 173.75(b)(2)
    {"laureth-4", "hydroxyl_value", "usp32-nf27", 145, 165},           // USP 32, Polyoxyl Lauryl Ether
    {"steareth-20", "hydroxyl_value", "usp35-nf30", 40, 60},           // USP 35, Polyoxyl Stearyl Ether
    {"lanolin-alcohol", "hydroxyl_value", "usp35-nf30", 120, 180},     // USP 35, Lanolin Alcohols
    {"peg-30-dipolyhydroxystearate", "acid_value", "ph-eur", 0, 10},   // BP 2012, monograph 2584
    {"peg-8", "hydroxyl_value", "fr-1997-additives", 264, 300},        // E 1521, PEG 400
    {"oleic-acid", "acid_value", "usp29-nf24", 196, 204},              // USP 29, Oleic Acid
    {"dl-panthenol", "melting_c", "usp32-nf27", 64.5, 68.5},           // USP 32, Panthenol
    {"denatonium-benzoate", "melting_c", "usp28-nf23", 163, 170},      // USP 28, Denatonium Benzoate
    {"niacinamide", "ph_solution", "ph-eur", 6, 7.5, "5 % in water"},  // monograph 0047, 2.5 g in 50 mL
    {"sodium-phosphate", "ph_solution", "usp32-nf27", 4.1, 4.5, "5 % in water"},  // 1 g in 20 mL
    {"sodium-lactate-60", "ph_solution", "usp28-ph", 5, 9, "neat"},  // USP 28, Sodium Lactate Solution
    {"sodium-gluconate", "ph_solution", "fr-1997-additives", 6.5, 7.5, "10 % in water"},    // E 576
    {"ascorbic-acid", "ph_solution", "fr-1997-additives", 2.4, 2.8, "2 % in water"},        // E 300
    {"boric-acid", "ph_solution", "fr-1997-additives", 3.8, 4.8, "3.3 % in water"},         // E 284
    {"sodium-metabisulfite", "ph_solution", "fr-1997-additives", 4, 5.5, "10 % in water"},  // E 223
};

class MonographValue : public testing::TestWithParam<Row> {};

TEST_P(MonographValue, IsAsPrinted) {
  const Row& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, row.property)) {
    if (Data().source(fact.source).key != row.print || fact.context != row.strength) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_DOUBLE_EQ(fact.number->low, row.low);
    EXPECT_DOUBLE_EQ(fact.number->high, row.high);
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
    EXPECT_FALSE(fact.at.empty());
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Monographs, MonographValue, testing::ValuesIn(kRows), [](const auto& row) {
  std::string name = fmt::format("{}_{}_{}", row.param.id, row.param.property, row.index);
  for (char& c : name) c = c == '-' ? '_' : c;
  return name;
});

}  // namespace
}  // namespace checks
