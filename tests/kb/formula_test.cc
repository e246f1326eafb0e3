#include "kb/formula.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace kb {
namespace {

Ingredient Named(const char* id, const char* inci, const char* name) {
  Ingredient item;
  item.id = id;
  item.inci = inci;
  item.name = name;
  item.functions = {0};
  return item;
}

Catalogue Shelf() {
  CatalogueParts parts;
  Property chemical_class;
  chemical_class.id = "class";
  chemical_class.kind = ValueKind::kChoice;
  parts.properties = {chemical_class};
  parts.sources = {{"trade", "practice", "trade", "", 0, "", Standing::kCommonPractice}};
  Function any;
  any.id = "any";
  any.name = "any";
  parts.functions = {any};
  ClaimRule vegan;
  vegan.id = "vegan";
  parts.claims = {vegan};
  parts.ingredients = {
      Named("cetyl-alcohol", "CETYL ALCOHOL", "cetyl alcohol"), Named("glycerin", "GLYCERIN", "glycerin"),
      Named("hexanediol", "1,2-HEXANEDIOL", "1,2-hexanediol"), Named("water", "AQUA", "water")};
  Fact water;
  water.text = "water";
  parts.ingredients[3].facts = {water};
  return Catalogue(std::move(parts));
}

constexpr const char* kHead = "# kind: leave-on gel\nphase,ingredient,percent\n";

Formula Read(const std::string& text) {
  const Catalogue shelf = Shelf();
  auto formula = ReadFormula(shelf, text);
  if (!formula) {
    ADD_FAILURE() << formula.error().front().what << " in\n" << text;
    return {};
  }
  return std::move(*formula);
}

struct Taken {
  const char* label;
  std::string text;
  double glycerin;  // %
  double water;
};

void PrintTo(const Taken& row, std::ostream* out) {
  *out << row.label;
}

class Takes : public testing::TestWithParam<Taken> {};

TEST_P(Takes, GlycerinAndWater) {
  const Formula formula = Read(GetParam().text);
  ASSERT_EQ(formula.lines.size(), 2U);
  EXPECT_NEAR(formula.lines[0].pct, GetParam().water, 1e-9);
  EXPECT_NEAR(formula.lines[1].pct, GetParam().glycerin, 1e-9);
  EXPECT_EQ(formula.kind, (Kind{Use::kLeaveOn, Form::kGel}));
}

INSTANTIATE_TEST_SUITE_P(
    Spreadsheets, Takes,
    testing::Values(
        Taken{"Plain", std::string(kHead) + "A,Water,95\nA,Glycerin,5\n", 5, 95},
        Taken{"Rest", std::string(kHead) + "A,Water,q.s.\nA,Glycerin,5\n", 5, 95},
        Taken{"RestInWords", std::string(kHead) + "A,Water,to 100\nA,Glycerin,5\n", 5, 95},
        Taken{"NoEndOfLine", std::string(kHead) + "A,Water,95\nA,Glycerin,5", 5, 95},
        Taken{"ByteOrderMark", "\xEF\xBB\xBF" + std::string(kHead) + "A,Water,95\nA,Glycerin,5\n", 5, 95},
        Taken{"CarriageReturns",
              "# kind: leave-on gel\r\nphase,ingredient,percent\r\nA,Water,95\r\nA,Glycerin,5\r\n", 5, 95},
        Taken{"Semicolons", "# kind: leave-on gel\nphase;ingredient;percent\nA;Water;97,5\nA;Glycerin;2,5\n",
              2.5, 97.5},
        Taken{"Tabs", "# kind: leave-on gel\nphase\tingredient\tpercent\nA\tWater\t97,5\nA\tGlycerin\t2.5\n",
              2.5, 97.5},
        Taken{"QuotedDecimalComma", std::string(kHead) + "A,Water,\"97,5\"\nA,Glycerin,\"2,5\"\n", 2.5, 97.5},
        Taken{"PercentSigns", std::string(kHead) + "A,Water,95 %\nA,Glycerin,5%\n", 5, 95},
        Taken{"OtherOrder",
              "# kind: leave-on gel\nIngredient,Phase,% w/w,cost\nWater,A,95,0\nGlycerin,A,5,3\n", 5, 95},
        Taken{"NoTitles", "# kind: leave-on gel\nA,Water,95\nA,Glycerin,5\n", 5, 95},
        Taken{"TotalLine", std::string(kHead) + "A,Water,95\nA,Glycerin,5\n,Total,100\n", 5, 95},
        Taken{"PhaseNamedOnce", std::string(kHead) + "A,Water,95\n,Glycerin,5\n", 5, 95},
        Taken{"LabelNamesInAnyCase", std::string(kHead) + "A,aqua,95\nA,GLYCERIN,5\n", 5, 95},
        Taken{"RoundedPrint", std::string(kHead) + "A,Water,94.97\nA,Glycerin,5\n", 5, 94.97},
        Taken{"Remarks",
              "# a remark\n# kind: leave-on gel\n\nphase,ingredient,percent\n# "
              "another\nA,Water,95\n\nA,Glycerin,5\n",
              5, 95}),
    [](const auto& one) { return std::string(one.param.label); });

struct Refused {
  const char* label;
  std::string text;
  std::size_t line;
  const char* what;  // part of the complaint
};

void PrintTo(const Refused& row, std::ostream* out) {
  *out << row.label;
}

class Refuses : public testing::TestWithParam<Refused> {};

TEST_P(Refuses, WithTheLineAndTheReason) {
  const Catalogue shelf = Shelf();
  const auto formula = ReadFormula(shelf, GetParam().text);
  ASSERT_FALSE(formula);
  const Complaint& first = formula.error().front();
  EXPECT_EQ(first.line, GetParam().line);
  EXPECT_THAT(first.what, testing::HasSubstr(GetParam().what));
  EXPECT_FALSE(first.expected.empty());
}

const std::string kTop = kHead;

INSTANTIATE_TEST_SUITE_P(
    Mistakes, Refuses,
    testing::Values(
        Refused{"Empty", "", 0, "empty"}, Refused{"BlankLines", " \n\n\t\n", 0, "empty"},
        Refused{"OnlyTitles", kTop, 0, "no ingredients"},
        Refused{"OnlyRemarks", "# kind: leave-on gel\n# nothing here\n", 0, "no ingredients"},
        Refused{"TenMegabytes", std::string(10'000'000, 'x'), 0, "10.0 MB"},
        Refused{"Binary",
                std::string("\x7f"
                            "ELF\0\1\2",
                            7),
                0, "no text"},
        Refused{"Latin1", kTop + "A,Glyc\xE9rine,100\n", 0, "UTF-8"},
        Refused{"NoKind", "phase,ingredient,percent\nA,Water,100\n", 0, "what kind"},
        Refused{"StrangeKind", "# kind: leave-on jam\nphase,ingredient,percent\nA,Water,100\n", 1, "jam"},
        Refused{"KindWithoutUse", "# kind: gel\nphase,ingredient,percent\nA,Water,100\n", 1, "gel"},
        Refused{"PhTooHigh", "# kind: leave-on gel\n# target pH: 15\nphase,ingredient,percent\nA,Water,100\n",
                2, "15"},
        Refused{"PhInWords",
                "# kind: leave-on gel\n# target pH: acid\nphase,ingredient,percent\nA,Water,100\n", 2,
                "acid"},
        Refused{"PhAsRest",
                "# kind: leave-on gel\n# target pH: q.s.\nphase,ingredient,percent\nA,Water,100\n", 2,
                "q.s."},
        Refused{"StrangeClaim", "# kind: leave-on gel\n# keep: vegn\nphase,ingredient,percent\nA,Water,100\n",
                2, "vegn"},
        Refused{"UnknownIngredient", kTop + "A,Water,q.s.\nA,Unobtainium,1\n", 4, "Unobtainium"},
        Refused{"Misspelt", kTop + "A,Water,q.s.\nA,Glycerni,1\n", 4, "Glycerni"},
        Refused{"NoName", kTop + "A,Water,q.s.\nA,,1\n", 4, "missing"},
        Refused{"NoPhase", kTop + ",Water,100\n", 3, "phase is missing"},
        Refused{"NoPercent", kTop + "A,Water,q.s.\nA,Glycerin,\n", 4, "no percentage"},
        Refused{"PercentInWords", kTop + "A,Water,q.s.\nA,Glycerin,some\n", 4, "some"},
        Refused{"NotANumber", kTop + "A,Water,q.s.\nA,Glycerin,nan\n", 4, "nan"},
        Refused{"Infinite", kTop + "A,Water,q.s.\nA,Glycerin,1e999\n", 4, "1e999"},
        Refused{"Hexadecimal", kTop + "A,Water,q.s.\nA,Glycerin,0x10\n", 4, "0x10"},
        Refused{"TwoPoints", kTop + "A,Water,q.s.\nA,Glycerin,1.2.3\n", 4, "1.2.3"},
        Refused{"Negative", kTop + "A,Water,q.s.\nA,Glycerin,-1\n", 4, "-1"},
        Refused{"AboveHundred", kTop + "A,Water,q.s.\nA,Glycerin,100.1\n", 4, "100.1"},
        Refused{"TwoRests", kTop + "A,Water,q.s.\nA,Glycerin,qs\n", 4, "second q.s."},
        Refused{"NothingLeftForRest", kTop + "A,Water,q.s.\nA,Glycerin,100\n", 3, "already make"},
        Refused{"TotalTooLow", kTop + "A,Water,90\nA,Glycerin,5\n", 0, "95.000"},
        Refused{"TotalTooHigh", kTop + "A,Water,96\nA,Glycerin,5\n", 0, "101.000"},
        Refused{"TotalBarelyOff", kTop + "A,Water,94.9\nA,Glycerin,5\n", 0, "99.900"},
        Refused{"PhaseOutOfOrder", kTop + "B,Water,q.s.\nA,Glycerin,5\n", 4, "stands after"},
        Refused{"PhaseComesBack", kTop + "A,Water,q.s.\nB,Cetyl alcohol,2\nA,Glycerin,5\n", 5, "comes back"},
        Refused{"DecimalCommaBetweenCommas", kTop + "A,Water,q.s.\nA,Glycerin,2,5\n", 4, "decimal comma"},
        Refused{"TooFewCells", kTop + "A,Water,q.s.\nA Glycerin 5\n", 4, "1 cells"},
        Refused{"Prose", "# kind: leave-on gel\nMix the water with the glycerin.\n", 2, "names no columns"}),
    [](const auto& one) { return std::string(one.param.label); });

TEST(Formula, NamesAllMistakesAtOnce) {
  const Catalogue shelf = Shelf();
  const auto formula = ReadFormula(shelf, kTop + "A,Wter,q.s.\nA,Glycerin,-1\nA,Cetyl alcohol,much\n");
  ASSERT_FALSE(formula);
  ASSERT_EQ(formula.error().size(), 3U);
  EXPECT_THAT(formula.error()[0].nearest, testing::ElementsAre("water"));
  EXPECT_EQ(formula.error()[0].column, 3U);
  EXPECT_EQ(formula.error()[0].shown, "A,Wter,q.s.");
}

TEST(Formula, WritesWhatItReads) {
  const Catalogue shelf = Shelf();
  const auto first = ReadFormula(
      shelf,
      "# name: Two\n# kind: rinse-off gel\n# used as: hand wash\n# target pH: 5.5\n# keep: vegan\n"
      "phase,ingredient,percent\nA,Water,q.s.\nB,\"1,2-hexanediol\",2.25\n");
  ASSERT_TRUE(first);
  const std::string written = WriteFormula(shelf, *first);
  const auto second = ReadFormula(shelf, written);
  ASSERT_TRUE(second) << written;
  EXPECT_EQ(WriteFormula(shelf, *second), written);
  EXPECT_EQ(second->name, "Two");
  EXPECT_EQ(second->used_as, "hand wash");
  EXPECT_EQ(second->target_ph, 5.5);
  EXPECT_EQ(second->keep, std::vector<std::string>{"vegan"});
  EXPECT_NEAR(second->lines[0].pct, 97.75, 1e-9);
  EXPECT_TRUE(second->lines[0].rest);
}

TEST(Formula, BalancesOnTheRestElseOnTheLargestWater) {
  const Catalogue shelf = Shelf();
  EXPECT_EQ(Read(kTop + "A,Water,10\nB,Glycerin,q.s.\n").BalanceLine(shelf), 1U);
  EXPECT_EQ(Read(kTop + "A,Water,10\nB,Glycerin,70\nC,Water,20\n").BalanceLine(shelf), 2U);
  EXPECT_EQ(Read(kTop + "A,Cetyl alcohol,50\nB,Glycerin,50\n").BalanceLine(shelf), std::nullopt);
}

}  // namespace
}  // namespace kb
