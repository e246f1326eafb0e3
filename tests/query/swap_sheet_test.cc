// Sheets of whole formulas, what a reader of them must hear, and several ingredients missing at once.
#include <gtest/gtest.h>

#include <algorithm>

#include "query/render_sheet.h"
#include "query/sheet.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::DemoFormula;
using testing_data::Of;
using testing_data::RealCatalogue;

bool Holds(const kb::Formula& formula, IngredientIx ix) {
  return std::any_of(formula.lines.begin(), formula.lines.end(),
                     [&](const kb::FormulaLine& line) { return line.ingredient == ix; });
}

TEST(Sheet, HasEveryLineInTheFormulasOrderWithThreeStandInsAtMost) {
  for (const char* name : {"hand-cream", "potting-shed-shampoo"}) {
    const kb::Formula formula = DemoFormula(name);
    const Sheet sheet = MakeSheet(RealCatalogue(), formula, {});
    ASSERT_EQ(sheet.lines.size(), formula.lines.size());
    for (std::size_t i = 0; i < sheet.lines.size(); ++i) {
      EXPECT_EQ(sheet.lines[i].line, i);
      EXPECT_LE(sheet.lines[i].stand_ins.size(), 3U);
      EXPECT_TRUE(!sheet.lines[i].stand_ins.empty() || !sheet.lines[i].because.empty());
      for (const StandIn& item : sheet.lines[i].stand_ins) {
        EXPECT_GT(item.level_pct, 0);
        EXPECT_FALSE(ChangeThatMatters(item).empty());
      }
    }
  }
}

TEST(ChangeThatMatters, TakesTheWorstAndThenWhatAMakerNotices) {
  StandIn item;
  item.changes = {{"phase-total", "phase A stays", "70.00", "70.00", "%", Severity::kNote},
                  {"feel", "greasier", "", "", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "greasier");
  item.changes.push_back({"ph", "the pH rises", "5.0", "5.2", "", Severity::kNote});
  EXPECT_EQ(ChangeThatMatters(item), "the pH rises");
  item.changes.push_back({"preservation", "nothing left covers mould", "", "", "", Severity::kStop});
  EXPECT_EQ(ChangeThatMatters(item), "nothing left covers mould");
}

// Required HLB is found by trying blends a unit apart: a fifth of a unit is no news.
TEST(ChangeThatMatters, LeavesOutASmallShiftOfTheHlb) {
  StandIn item;
  item.handling = {"heat it to 70 C"};
  item.changes = {{"hlb", "asks for HLB 7.3 instead of 7.1", "7.1", "7.3", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "heat it to 70 C");
  item.changes = {{"hlb", "asks for HLB 8.1 instead of 7.1", "7.1", "8.1", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "asks for HLB 8.1 instead of 7.1");
  item.changes = {{"hlb", "asks for HLB 8.1 instead of not known", "not known", "8.1", "", Severity::kNote}};
  EXPECT_EQ(ChangeThatMatters(item), "asks for HLB 8.1 instead of not known");
}

// Signs that Markdown or HTML could take for their own, in every text that a maker or the base can put on a sheet.
constexpr const char* kSigns = R"(Balm <b>A</b> & "B"|C `d` *e* _f_ \ [g](h) #)";

Sheet SheetOfSigns() {
  Sheet sheet;
  sheet.formula = DemoFormula("hand-cream");
  sheet.formula.name = kSigns;
  sheet.formula.phases[0] = "A|<1>";
  SheetLine& with = sheet.lines.emplace_back();
  with.line = 0;
  StandIn item;
  item.blend = {{Of("glycerin"), 2}};
  item.changes = {{"ph", std::string("pH: ") + kSigns, "", "", "", Severity::kNote}};
  with.stand_ins = {item, item};
  SheetLine& without = sheet.lines.emplace_back();
  without.line = 1;
  without.because = kSigns;
  return sheet;
}

// A table's cells: a bar parts them unless a backslash stands before it (GitHub Flavored Markdown, section 4.10).
std::vector<std::string> CellsOf(const std::string& row) {
  std::vector<std::string> cells(1);
  for (std::size_t i = 0; i < row.size(); ++i) {
    if (row[i] == '\\' && i + 1 < row.size()) {
      cells.back() += row.substr(i++, 2);
    } else if (row[i] == '|') {
      cells.emplace_back();
    } else {
      cells.back() += row[i];
    }
  }
  return cells;
}

// What a reader of the Markdown sees: a backslash before punctuation goes (CommonMark 0.31, section 2.4); fails the test at a sign
// that would mean something.
std::string Read(const std::string& markdown) {
  std::string out;
  for (std::size_t i = 0; i < markdown.size(); ++i) {
    if (markdown[i] == '\\' && i + 1 < markdown.size()) {
      out += markdown[++i];
      continue;
    }
    EXPECT_EQ(std::string("`*_[]<>&|#~").find(markdown[i]), std::string::npos) << markdown;
    out += markdown[i];
  }
  return out;
}

std::vector<std::string> LinesOf(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n') {
      lines.emplace_back();
    } else {
      lines.back() += c;
    }
  }
  return lines;
}

TEST(SheetMarkdown, ShowsEverySignAsItIs) {
  const auto lines = LinesOf(SheetMarkdown(RealCatalogue(), SheetOfSigns()));
  ASSERT_EQ(lines[0].rfind("# ", 0), 0U);
  EXPECT_EQ(Read(lines[0].substr(2)), std::string("Stand-ins for ") + kSigns);
  std::size_t rows = 0;
  bool said = false;
  for (const std::string& line : lines) {
    if (line.empty() || line[0] != '|') continue;
    ++rows;
    const auto cells = CellsOf(line);
    ASSERT_EQ(cells.size(), 7U) << line;  // five, and nothing before the first bar and after the last
    if (rows <= 2) continue;              // head
    for (const std::string& cell : cells) said = Read(cell) == std::string(" ") + kSigns + " " || said;
    if (rows == 3) {
      EXPECT_EQ(Read(cells[1]), " A|<1> ");
      EXPECT_EQ(Read(cells[5]), std::string(" pH: ") + kSigns + " ");
    }
  }
  EXPECT_EQ(rows, 5U);
  EXPECT_TRUE(said);
}

// Without its own tags the page holds no bracket, and no ampersand that begins no entity.
TEST(SheetHtml, ShowsEverySignAsItIs) {
  std::string page = SheetHtml(RealCatalogue(), SheetOfSigns());
  EXPECT_NE(page.find("<h1>Stand-ins for Balm &lt;b&gt;A&lt;/b&gt; &amp; &quot;B&quot;|C"), std::string::npos)
      << page;
  EXPECT_NE(page.find(">A|&lt;1&gt;</td>"), std::string::npos);
  EXPECT_EQ(page.find("<b>"), std::string::npos);
  const std::size_t style = page.find("<style>");
  page.erase(style, page.find("</style>") - style);
  std::string text;
  for (std::size_t i = 0; i < page.size(); ++i) {
    if (page[i] != '<') {
      text += page[i];
      continue;
    }
    const std::string tag = page.substr(i + 1, page.find_first_of(" >", i) - i - 1);
    static const std::vector<std::string> own = {"!doctype", "html",  "meta",  "title", "style", "h1", "p",
                                                 "table",    "thead", "tbody", "tr",    "th",    "td"};
    EXPECT_NE(std::find(own.begin(), own.end(), tag[0] == '/' ? tag.substr(1) : tag), own.end()) << tag;
    i = page.find('>', i);
    ASSERT_NE(i, std::string::npos);
  }
  EXPECT_EQ(text.find('>'), std::string::npos);
  for (std::size_t at = 0; (at = text.find('&', at)) != std::string::npos; ++at) {
    const std::string entity = text.substr(at, text.find(';', at) + 1 - at);
    EXPECT_TRUE(entity == "&lt;" || entity == "&gt;" || entity == "&amp;" || entity == "&quot;" ||
                entity == "&#39;")
        << entity;
  }
}

TEST(SwapSeveral, TakesNoneOfTheMissingForAnother) {
  SwapQuestion question;
  question.formula = DemoFormula("hand-cream");
  const std::vector<IngredientIx> missing = {Of("cetyl-alcohol"), Of("glycerin"), Of("shea-butter")};
  const SeveralAnswer answer = SwapSeveral(RealCatalogue(), question, missing);
  ASSERT_EQ(answer.each.size(), missing.size());
  EXPECT_TRUE(answer.complete);
  double total = 0;
  for (const kb::FormulaLine& line : answer.after.lines) total += line.pct;
  EXPECT_NEAR(total, 100, 1e-9);
  for (const IngredientIx ix : missing) EXPECT_FALSE(Holds(answer.after, ix)) << RealCatalogue().at(ix).id;
  for (const SwapAnswer& one : answer.each) {
    for (const StandIn& item : one.stand_ins) {
      for (const BlendPart& part : item.blend) {
        EXPECT_EQ(std::count(missing.begin(), missing.end(), part.ingredient), 0)
            << RealCatalogue().at(part.ingredient).id;
      }
    }
  }
  ASSERT_FALSE(answer.changes.empty());
  EXPECT_EQ(answer.changes.front().topic, "phase-total");
}

}  // namespace
}  // namespace query
