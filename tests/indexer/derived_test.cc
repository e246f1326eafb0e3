// kb/derived.h, on records written here.
#include "kb/derived.h"

#include <gtest/gtest.h>

#include <ostream>
#include <string>

#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

// Glycerin's record with one line of claims changed or added.
kb::Catalogue With(std::string_view old_text, std::string_view new_text) {
  const DataFixture data;
  data.Replace("ingredients/glycerin.toml", old_text, new_text);
  return data.Catalogue();
}

struct Solubility {
  const char* water;
  const char* oil;
  const char* expected;
  friend void PrintTo(const Solubility& row, std::ostream* out) { *out << row.water << "/" << row.oil; }
};

constexpr Solubility kSolubilities[] = {
    {"dissolves", "insoluble", "water"}, {"swells", "insoluble", "water"},
    {"disperses", "insoluble", "water"}, {"insoluble", "dissolves", "oil"},
    {"disperses", "dissolves", "oil"},   {"dissolves", "dissolves", "both"},
    {"insoluble", "disperses", "oil"},   {"insoluble", "insoluble", "neither"},
    {"dissolves", "disperses", "water"},
};

class SolubleIn : public testing::TestWithParam<Solubility> {};

TEST_P(SolubleIn, FollowsFromWaterAndOil) {
  const DataFixture data;
  const Solubility& row = GetParam();
  data.Replace("ingredients/glycerin.toml", "in_water = [{ is = \"dissolves\"",
               std::string("in_water = [{ is = \"") + row.water + "\"");
  data.Replace("ingredients/glycerin.toml", "in_oil = [{ is = \"insoluble\"",
               std::string("in_oil = [{ is = \"") + row.oil + "\"");
  const kb::Catalogue catalogue = data.Catalogue();
  EXPECT_EQ(kb::SideName(kb::SideOf(catalogue, catalogue.FindId("glycerin").value())), row.expected);
}

INSTANTIATE_TEST_SUITE_P(Table, SolubleIn, testing::ValuesIn(kSolubilities));

TEST(SolubleInWithoutFacts, IsNotKnown) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  EXPECT_EQ(kb::SideName(kb::SideOf(catalogue, catalogue.FindId("glycerin-50").value())), "");
}

TEST(Heat, IsGradedByTheHighestTemperature) {
  const auto graded = [](const char* max_c) {
    const kb::Catalogue catalogue = With("is = 150", std::string("is = ") + max_c);
    return std::string(kb::HeatTolerance(catalogue, catalogue.FindId("glycerin").value()));
  };
  EXPECT_EQ(graded("75"), "stable");
  EXPECT_EQ(graded("74.9"), "moderate");
  EXPECT_EQ(graded("[45, 60]"), "sensitive");
  EXPECT_EQ(graded("46"), "moderate");
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  EXPECT_EQ(kb::HeatTolerance(catalogue, catalogue.FindId("water").value()), "") << "not known";
}

bool Kept(const kb::Catalogue& catalogue, const char* id, const char* claim) {
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    if (rule.id == claim)
      return kb::KeepsClaim(catalogue, catalogue.FindId(id).value(), rule).state == kb::ClaimState::kKept;
  }
  ADD_FAILURE() << "no claim " << claim;
  return false;
}

TEST(Claim, TheRecordsOwnWordGoesFirst) {
  EXPECT_TRUE(Kept(DataFixture().Catalogue(), "glycerin", "vegan"));
  EXPECT_FALSE(
      Kept(With("key = \"vegan\", is = \"yes\"", "key = \"vegan\", is = \"no\""), "glycerin", "vegan"));
  EXPECT_FALSE(
      Kept(With("key = \"vegan\", is = \"yes\"", "key = \"vegan\", is = \"depends\""), "glycerin", "vegan"));
  EXPECT_FALSE(
      Kept(With("key = \"vegan\", is = \"yes\"", "key = \"peg-free\", is = \"no\""), "glycerin", "peg-free"));
}

TEST(Claim, ThenTheRule) {
  const char* said = "claim = [{ key = \"vegan\", is = \"yes\", src = \"practice\" }]";
  EXPECT_TRUE(Kept(With(said, ""), "glycerin", "vegan")) << "its origin is a plant";
  EXPECT_FALSE(Kept(With("inci = \"GLYCERIN\"", "inci = \"PEG-8\""), "glycerin", "peg-free"));
  EXPECT_TRUE(Kept(DataFixture().Catalogue(), "glycerin", "peg-free")) << "nothing breaks it";
  EXPECT_FALSE(Kept(DataFixture().Catalogue(), "glycerin-50", "vegan")) << "its origin is not known";
}

TEST(Claim, APartBreaksItForTheBlend) {
  EXPECT_TRUE(Kept(DataFixture().Catalogue(), "glycerin-50", "peg-free"));
  EXPECT_FALSE(Kept(With("inci = \"GLYCERIN\"", "inci = \"PEG-8\""), "glycerin-50", "peg-free"));
}

TEST(Levels, SpanAllFunctions) {
  const kb::Catalogue catalogue =
      With("use_pct = [\n", "use_pct = [\n  { is = [0.5, 3], src = \"practice\", fn = \"solvent\" },\n");
  const auto levels = kb::AllLevels(catalogue, catalogue.FindId("glycerin").value());
  ASSERT_TRUE(levels.has_value());
  EXPECT_EQ(levels->low, 0.5);
  EXPECT_EQ(levels->high, 10);
  EXPECT_FALSE(kb::AllLevels(catalogue, catalogue.FindId("water").value()).has_value());
}

}  // namespace
}  // namespace indexer_test
