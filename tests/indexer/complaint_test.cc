// Complaints as people see them, and files that can hardly be read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <string>

#include "indexer/diagnostic.h"
#include "indexer/read_catalogue.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

using indexer::Diagnostics;
using indexer::TextFile;
using testing::HasSubstr;

TEST(Complaint, ShowsTheLineAndACaret) {
  const TextFile file("data/ingredients/x.toml", "id = \"x\"\n  hbl_required = [\n");
  Diagnostics out;
  out.Add(file, {2, 3}, "unknown property 'hbl_required'; did you mean 'hlb_required'?");
  EXPECT_EQ(
      out.Render(),
      "data/ingredients/x.toml:2:3: error: unknown property 'hbl_required'; did you mean 'hlb_required'?\n"
      "    hbl_required = [\n"
      "    ^\n"
      "stillroom-index: 1 error in 1 file");
}

TEST(Complaint, CountsColumnsInCharacters) {
  const TextFile file("x", "also = [\"glycérine\", 7]\r\n");
  Diagnostics out;
  out.Add(file, {1, 22}, "not a text");
  EXPECT_THAT(out.Render(), HasSubstr("\n  also = [\"glycérine\", 7]\n                       ^\n"));
}

TEST(Complaint, KeepsTabsUnderTabs) {
  const TextFile file("x", "\ta = 1");
  Diagnostics out;
  out.Add(file, {1, 2}, "what");
  EXPECT_THAT(out.Render(), HasSubstr("\n  \ta = 1\n  \t^\n"));
}

TEST(Complaint, CutsALongLineAroundTheCaret) {
  const TextFile file("x", std::string(5000, 'a') + "!" + std::string(5000, 'b'));
  Diagnostics out;
  out.Add(file, {1, 5001}, "what");
  const std::string said = out.Render();
  EXPECT_LT(said.size(), 600U);
  const std::size_t line = said.find("  ... a");
  const std::size_t mark = said.find('!') - line;
  const std::size_t caret = said.find('^') - (said.find('\n', line) + 1);
  EXPECT_EQ(mark, caret);
}

TEST(Complaint, StandsInTheOrderOfTheFiles) {
  const TextFile a("a", "1\n2\n"), b("b", "1\n");
  Diagnostics out;
  out.Add(b, {1, 1}, "third");
  out.Add(a, {2, 1}, "second");
  out.Add(a, {1, 1}, "first");
  const auto sorted = out.Sorted();
  ASSERT_EQ(sorted.size(), 3U);
  EXPECT_EQ(sorted[0].message, "first");
  EXPECT_EQ(sorted[1].message, "second");
  EXPECT_EQ(sorted[2].message, "third");
  EXPECT_THAT(out.Render(), HasSubstr("3 errors in 2 files"));
}

TEST(Complaint, SendsNothingOddToATerminal) {
  EXPECT_EQ(indexer::Printable("a\x1B[31mb\x07\x7F"), "a?[31mb??");
  EXPECT_EQ(indexer::Printable("caf\xC3\xA9 \xE9 \xC2\x9B"), "café ? ?");
}

TEST(Complaint, BeyondTheEndIsAnEmptyLine) {
  const TextFile file("x", "one\ntwo");
  EXPECT_EQ(file.Line(1), "one");
  EXPECT_EQ(file.Line(2), "two");
  EXPECT_EQ(file.Line(3), "");
  EXPECT_EQ(file.Line(0), "");
  EXPECT_EQ(file.Span({1, 1}, {1, 3}), "on");
  EXPECT_EQ(file.Span({1, 1}, {2, 3}), "");
  EXPECT_EQ(file.Span({1, 3}, {1, 90}), "e");
}

TEST(Complaint, AllAtOnceOverAllFiles) {
  const DataFixture data;
  data.Replace("ingredients/glycerin.toml", "is = 150", "is = 1500");
  data.Replace("ingredients/glycerin.toml", "molar_mass = [", "molar_mas = [");
  data.Replace("ingredients/water.toml", "\"water-base\"", "\"water-bass\"");
  data.Replace("conflicts.toml", "\"note\"", "\"nota\"");
  EXPECT_THAT(data.Complaints(), HasSubstr("stillroom-index: 4 errors in 3 files"));
}

TEST(DataFolder, WithoutAFileThatIsNeeded) {
  for (const char* name : {"properties.toml", "sources.toml", "functions.toml"}) {
    const DataFixture data;
    data.Replace("ingredients/glycerin-50.toml", "pct = 50.25,", "pct = 50.25, acts = true,");
    data.Remove(name);
    const std::string said = data.Complaints();
    EXPECT_THAT(said, HasSubstr(std::string(name) + ":1:1: error: " + name + " is missing"));
    EXPECT_THAT(said, HasSubstr("1 error in 1 file"))
        << "what others say of its words is not known to be wrong";
  }
}

TEST(DataFolder, WithASourceTwice) {
  const DataFixture data;
  data.Replace("ingredients/glycerin-50.toml", "pct = 50.25,", "pct = 50.25, acts = true,");
  data.Write("sources.toml",
             data.Read("sources.toml") + "\n[memory]\nkind = \"memory\"\ntitle = \"Recalled\"\n");
  EXPECT_THAT(data.Complaints(), HasSubstr("redefine"));
}

TEST(DataFolder, TheRulesMayBeAbsent) {
  const DataFixture data;
  for (const char* name : {"classes.toml", "claims.toml", "limits.toml", "conflicts.toml"}) data.Remove(name);
  EXPECT_EQ(data.Complaints(), "");
}

TEST(DataFolder, ThatIsNotThereIsSaid) {
  const DataFixture data;
  std::filesystem::remove_all(data.root());
  EXPECT_THROW(data.Complaints(), indexer::IndexerError);
}

TEST(DataFolder, WithoutIngredientsIsRefused) {
  const DataFixture data;
  data.Remove("ingredients");
  data.Remove("conflicts.toml");
  EXPECT_THAT(data.Complaints(), HasSubstr("no ingredient"));
}

TEST(DataFolder, AFileOverAMegabyteIsRefused) {
  const DataFixture data;
  data.Write("ingredients/huge.toml", std::string((1 << 20) + 1, '#'));
  EXPECT_THAT(
      data.Complaints(),
      HasSubstr(
          "huge.toml:1:1: error: ingredients/huge.toml is 1048577 bytes long; expected at most 1048576"));
  data.Write("ingredients/huge.toml", "");
  EXPECT_THAT(data.Complaints(), HasSubstr("huge.toml:1:1: error: 'id' is missing"));
}

TEST(DataFolder, AFolderNamedLikeAFileIsRefused) {
  const DataFixture data;
  std::filesystem::create_directory(data.root() / "ingredients/odd.toml");
  EXPECT_THAT(data.Complaints(), HasSubstr("odd.toml is missing, or no file that can be read"));
}

TEST(DataFolder, LeavesAloneWhatEditorsLeave) {
  const DataFixture data;
  data.Write("ingredients/.glycerin.toml", "nonsense");
  data.Write("ingredients/glycerin.toml~", "nonsense");
  data.Write("formulas/demo/notes.txt", "nonsense");
  EXPECT_EQ(data.Complaints(), "");
}

TEST(DataFolder, TakesAByteOrderMarkAndWindowsLineEnds) {
  const DataFixture data;
  std::string text = "\xEF\xBB\xBF";
  for (const char c : data.Read("ingredients/water.toml"))
    text += c == '\n' ? std::string("\r\n") : std::string(1, c);
  data.Write("ingredients/water.toml", text);
  EXPECT_EQ(data.Complaints(), "");
  data.Replace("ingredients/water.toml", "inci = \"AQUA\"", "inci = 7");
  EXPECT_THAT(data.Complaints(), HasSubstr("water.toml:2:8: error: 'inci' is a number"));
}

TEST(DataFolder, TakesHandednessForNoTradeMark) {
  const DataFixture data;
  data.Replace("ingredients/water.toml", "cas = ", "also = [\"(R)-water\"]\ncas = ");
  EXPECT_EQ(data.Complaints(), "");
}

// Whatever is in a file, reading it ends with complaints, not with a crash. Fixed seed: the same files each
// time.
TEST(DataFolder, SurvivesDamagedFiles) {
  const DataFixture data;
  std::mt19937 random(20090304);  // NOLINT(bugprone-random-generator-seed): repeatable on purpose
  constexpr int kRounds = 400;
  for (const char* name : {"ingredients/glycerin-50.toml", "functions.toml"}) {
    const std::string good = data.Read(name);
    for (int round = 0; round < kRounds; ++round) {
      std::string bad = good;
      const auto at = [&] { return std::uniform_int_distribution<std::size_t>(0, bad.size() - 1)(random); };
      constexpr std::string_view kLetters = "[]{}=,\"'.#\n\\ 0-e\xE9\x00\xFF";
      switch (round % 4) {
        case 0:
          bad[at()] = kLetters[at() % kLetters.size()];
          break;
        case 1:
          bad.resize(at());
          break;
        case 2:
          bad.erase(at(), 3);
          break;
        default:
          bad.insert(at(), bad.substr(at(), 20));
          break;
      }
      data.Write(name, bad);
      ASSERT_NO_THROW(data.Complaints()) << bad;
    }
    data.Write(name, good);
  }
  EXPECT_EQ(data.Complaints(), "");
}

}  // namespace
}  // namespace indexer_test
