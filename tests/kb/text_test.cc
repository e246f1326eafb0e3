#include "kb/text.h"

#include <gtest/gtest.h>

namespace kb {
namespace {

TEST(Fold, BringsSpellingsOfOneNameTogether) {
  EXPECT_EQ(Fold("Caprylic/Capric  Triglyceride"), "caprylic capric triglyceride");
  EXPECT_EQ(Fold("CAPRYLIC-CAPRIC TRIGLYCÉRIDE "), "caprylic capric triglyceride");
  EXPECT_EQ(Fold("α-Bisabolol"), "alpha bisabolol");
  EXPECT_EQ(Fold("fuller's earth"), "fullers earth");
  EXPECT_EQ(Fold("Öl, weiß"), "ol weiss");
  EXPECT_EQ(FoldTight("propane diol"), "propanediol");
  EXPECT_EQ(Fold(""), "");
  EXPECT_EQ(Fold(" -/- "), "");
}

TEST(Fold, TakesBytesThatAreNoUtf8AsSeparators) {
  EXPECT_EQ(Fold("a\xFF\xC3z"), "a z");
}

TEST(EditDistance, CountsInsertDeleteReplaceAndSwapOfNeighbours) {
  EXPECT_EQ(EditDistance("glycerin", "glycerin", 3), 0U);
  EXPECT_EQ(EditDistance("glycerin", "glycerine", 3), 1U);
  EXPECT_EQ(EditDistance("dimethacone", "dimethicone", 3), 1U);
  EXPECT_EQ(EditDistance("xanthna", "xanthan", 3), 1U);
  EXPECT_EQ(EditDistance("", "abc", 3), 3U);
}

TEST(EditDistance, StopsAtItsLimit) {
  EXPECT_EQ(EditDistance("water", "petrolatum", 2), 3U);
  EXPECT_EQ(EditDistance("abcdef", "ghijkl", 2), 3U);
}

TEST(EditDistance, IsSymmetric) {
  for (const auto& [a, b] :
       {std::pair{"shea", "sea"}, {"frationated", "fractionated"}, {"carnuba", "carnauba"}}) {
    EXPECT_EQ(EditDistance(a, b, 5), EditDistance(b, a, 5));
  }
}

TEST(Nearest, GivesTheNearestFirstAndNothingThatIsFar) {
  const std::vector<std::string> known = {"glycerin", "glyceryl stearate", "betaine", "glycine"};
  EXPECT_EQ(Nearest("glycerine", known, 2).front(), "glycerin");
  EXPECT_TRUE(Nearest("petrolatum", known, 3).empty());
  EXPECT_TRUE(Nearest("", known, 3).empty());
}

TEST(Trim, KeepsAnEmptyViewThatPointsSomewhere) {
  EXPECT_EQ(Trim(" \t\r\n"), "");
  EXPECT_NE(Trim("   ").data(), nullptr);  // callers read up to its end
  EXPECT_EQ(Trim("  a b "), "a b");
}

TEST(IsUtf8, RefusesOverlongFormsSurrogatesAndStrayBytes) {
  EXPECT_TRUE(IsUtf8("huile d'amande douce, Öl, α, 水"));
  for (const char* bad :
       {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xFF", "\xE2\x82", "\xF5\x80\x80\x80"}) {
    EXPECT_FALSE(IsUtf8(bad));
  }
}

}  // namespace
}  // namespace kb
