#include "kb/text.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "kb/edit_distance.h"

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

// The recurrence of optimal string alignment as Boytsov prints it ("Indexing methods for approximate dictionary searching", ACM Journal
// of Experimental Algorithmics 16 (2011) 1.1), a cell at a time; the whole table, no limit.
std::size_t ByTheTable(const std::string& a, const std::string& b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      d[i][j] =
          std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  }
  return d[a.size()][b.size()];
}

TEST(EditPattern, CountsAsTheTableDoesWhateverTheTexts) {
  std::mt19937 draw(7);  // NOLINT: the same texts every time are wanted
  for (int round = 0; round < 20000; ++round) {
    const auto text = [&](std::size_t longest) {
      std::string out(draw() % longest, ' ');
      for (char& c : out) c = static_cast<char>('a' + draw() % 4);
      return out;
    };
    // Now and then longer than a machine word has bits.
    const std::string a = text(round % 50 == 0 ? 90 : 12);
    const std::string b = text(round % 50 == 0 ? 90 : 12);
    const std::size_t limit = draw() % 6;
    EXPECT_EQ(EditPattern(a).Distance(b, limit), std::min(ByTheTable(a, b), limit + 1)) << a << ' ' << b;
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
