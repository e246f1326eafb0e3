// The EU inventory: read in both layouts and with its mess, merged with the records, found as what it is.
//
// Numbers: glycerol 56-81-5 and 200-289-5, water 7732-18-5 and 231-791-2, 2-methoxyethanol 109-86-4 and 203-713-7, propane-1,3-diol
// 504-63-2 and 207-997-3, ethanol 64-17-5 and 200-578-6, as the CAS registry and the EC inventory print them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <string>

#include "indexer/data_folder.h"
#include "indexer/merge_inventory.h"
#include "indexer/read_inventory.h"
#include "indexer/run.h"
#include "kb/registry_number.h"
#include "kb/text.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

using indexer::InventoryConflict;
using indexer::InventoryFile;
using indexer::InventoryMerge;
using indexer::ParseInventory;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr const char* kFour = "inci_name,cas_number,einecs_number,function\n";
constexpr const char* kOfficial =
    "sep=,\nFile creation date: 15/03/2022\n\n\n"
    "COSING Ref No,INCI name,INN name,Ph. Eur. Name,CAS No,EC No,Chem/IUPAC Name / Description,Restriction,"
    "Function,Update Date\n";

InventoryFile Four(const std::string& rows) {
  return ParseInventory(kFour + rows, "four.csv");
}
InventoryFile Official(const std::string& rows) {
  return ParseInventory(kOfficial + rows, "official.csv");
}

// --- reading ---

TEST(ReadInventory, TakesTheFourColumns) {
  const InventoryFile file = Four(
      "PROPANEDIOL,504-63-2,207-997-3,\"Solvent, Humectant\"\n"
      "SIMMONDSIA CHINENSIS LEAF CELL EXTRACT,,,Skin Conditioning\n");
  ASSERT_EQ(file.rows.size(), 2U);
  EXPECT_EQ(file.rows[0].inci, "PROPANEDIOL");
  EXPECT_THAT(file.rows[0].cas, ElementsAre("504-63-2"));
  EXPECT_THAT(file.rows[0].ec, ElementsAre("207-997-3"));
  EXPECT_THAT(file.rows[0].functions, ElementsAre("solvent", "humectant"));
  EXPECT_EQ(file.rows[0].line, 2U);
  EXPECT_THAT(file.rows[1].cas, IsEmpty());
  EXPECT_THAT(file.complaints, IsEmpty());
}

TEST(ReadInventory, TakesTheOfficialExport) {
  const InventoryFile file = Official(
      "94753,  PROPANEDIOL,,,\" 504-63-2\", 207-997-3,Propane-1.3-diol,,\"SOLVENT, HUMECTANT\",16/06/2020\n"
      "96276, METHOXYETHANOL ,,, 109-86-4   , 203-713-7,\"Ethylene Glycol Monomethyl Ether\nEthanol, "
      "2-Methoxy-\n\n\","
      "\"II/665\n\nCMR1b (Reprotoxic 1B)\",\"SOLVENT, VISCOSITY CONTROLLING\",15/07/2020\n"
      "88652, ISOOCTANOYL TETRAPEPTIDE-25 ,,, -, -,\"The product \"\"obtained\"\" by a reaction.\",,SKIN "
      "CONDITIONING,14/05/2014\n");
  ASSERT_EQ(file.rows.size(), 3U);
  EXPECT_EQ(file.rows[0].inci, "PROPANEDIOL") << "without the blanks around it";
  EXPECT_THAT(file.rows[0].functions, ElementsAre("solvent", "humectant"));
  EXPECT_EQ(file.rows[1].inci, "METHOXYETHANOL");
  EXPECT_THAT(file.rows[1].cas, ElementsAre("109-86-4"));
  EXPECT_THAT(file.rows[1].ec, ElementsAre("203-713-7"));
  EXPECT_THAT(file.rows[1].functions, ElementsAre("solvent", "viscosity controlling"));
  EXPECT_EQ(file.rows[2].inci, "ISOOCTANOYL TETRAPEPTIDE-25");
  EXPECT_THAT(file.rows[2].cas, IsEmpty()) << "a hyphen is nothing";
  EXPECT_THAT(file.rows[2].ec, IsEmpty());
  EXPECT_EQ(file.rows[2].line, 13U) << "counted over line breaks inside cells";
  EXPECT_THAT(file.complaints, IsEmpty());
}

TEST(ReadInventory, TakesSeveralNumbersInACellOnceEach) {
  const InventoryFile file =
      Four("GLYCERIN,\" 56-81-5, 504-63-2 / 56-81-5 (I)\",200-289-5 / 207-997-3,Humectant\n");
  ASSERT_EQ(file.rows.size(), 1U);
  EXPECT_THAT(file.rows[0].cas, ElementsAre("56-81-5", "504-63-2"));
  EXPECT_THAT(file.rows[0].ec, ElementsAre("200-289-5", "207-997-3"));
}

TEST(ReadInventory, LeavesOutNumbersWithAWrongCheckDigitAndSaysSo) {
  const InventoryFile file = Four("GLYCERIN,56-81-4,200-289-6,Humectant\nAQUA,7732-18-5,,Solvent\n");
  ASSERT_EQ(file.rows.size(), 2U);
  EXPECT_THAT(file.rows[0].cas, IsEmpty());
  EXPECT_THAT(file.rows[0].ec, IsEmpty());
  EXPECT_THAT(file.rows[1].cas, ElementsAre("7732-18-5"));
  EXPECT_THAT(file.complaints, ElementsAre(HasSubstr("2 CAS or EC numbers have a wrong check digit")));
}

TEST(ReadInventory, TakesMarksLineEndingsAndOtherColumns) {
  const InventoryFile marked = ParseInventory(
      "\xEF\xBB\xBF\"Function\",\"CAS No\",\"INCI name\"\r\nHUMECTANT,56-81-5,GLYCERIN\r\n", "marked.csv");
  ASSERT_EQ(marked.rows.size(), 1U);
  EXPECT_EQ(marked.rows[0].inci, "GLYCERIN");
  EXPECT_THAT(marked.rows[0].cas, ElementsAre("56-81-5"));
  EXPECT_THAT(marked.rows[0].functions, ElementsAre("humectant"));
  const InventoryFile semicolons = ParseInventory(
      "sep=;\nINCI name;CAS No;EC No;Function\nGLYCERIN;56-81-5;200-289-5;HUMECTANT, SOLVENT\n", "s");
  ASSERT_EQ(semicolons.rows.size(), 1U);
  EXPECT_THAT(semicolons.rows[0].functions, ElementsAre("humectant", "solvent"));
}

TEST(ReadInventory, TakesLatin1) {
  const InventoryFile file = Four("BOIS DE ROSE \xC9T\xC9,,,Fragrance\n");
  ASSERT_EQ(file.rows.size(), 1U);
  EXPECT_TRUE(kb::IsUtf8(file.rows[0].inci));
  EXPECT_EQ(file.rows[0].inci, "BOIS DE ROSE \xC3\x89T\xC3\x89");
}

TEST(ReadInventory, GoesOnAfterAQuoteThatIsNotClosed) {
  const InventoryFile file = Four("\"NEVER CLOSED,504-63-2,,Solvent\nGLYCERIN,56-81-5,200-289-5,Humectant\n");
  EXPECT_THAT(file.complaints, Contains(HasSubstr("line 2: a quote is not closed")));
  ASSERT_FALSE(file.rows.empty());
  EXPECT_EQ(file.rows.back().inci, "GLYCERIN");
}

TEST(ReadInventory, LeavesOutRowsWithoutANameAndSaysSo) {
  const InventoryFile file = Four(" - ,56-81-5,,Humectant\n\n   \nGLYCERIN,,,\n");
  ASSERT_EQ(file.rows.size(), 1U);
  EXPECT_EQ(file.records, 2U) << "empty lines are no records";
  EXPECT_THAT(file.complaints, ElementsAre(HasSubstr("line 2: no INCI name")));
}

TEST(ReadInventory, RefusesWhatIsNoInventory) {
  for (const std::string& text : {std::string(), std::string("phase,ingredient,percent\nA,Water,100\n"),
                                  std::string("\x00\x01\x02\xFF", 4), std::string(100'000, '\n')}) {
    EXPECT_THROW(static_cast<void>(ParseInventory(text, "no.csv")), indexer::IndexerError);
  }
  EXPECT_THROW(static_cast<void>(indexer::ReadInventory("/nowhere/at/all.csv")), indexer::IndexerError);
  EXPECT_THROW(static_cast<void>(indexer::ReadInventory("/")), indexer::IndexerError) << "a folder";
}

// --- merging ---

std::vector<std::string> Names(const InventoryMerge& merge) {
  std::vector<std::string> out;
  for (const auto& entry : merge.entries) out.push_back(entry.inci);
  return out;
}

class Merge : public testing::Test {
 protected:
  InventoryMerge Of(const std::string& rows) const {
    return indexer::MergeInventory(catalogue_, Four(rows).rows);
  }
  kb::Catalogue catalogue_ = DataFixture().Catalogue();
};

TEST_F(Merge, TakesNamesOfOursByAnyOfThem) {
  const InventoryMerge merge = Of(
      "GLYCERIN,56-81-5,200-289-5,Humectant\nGlycerol,56-81-5,,Humectant\nAQUA,7732-18-5,231-791-2,Solvent\n"
      "PROPANEDIOL,504-63-2,207-997-3,Solvent\n");
  EXPECT_EQ(merge.rows, 4U);
  EXPECT_EQ(merge.merged, 3U);
  EXPECT_THAT(Names(merge), ElementsAre("PROPANEDIOL"));
  EXPECT_THAT(merge.conflicts, IsEmpty());
  EXPECT_EQ(merge.entries[0].cas, "504-63-2");
  EXPECT_EQ(merge.entries[0].ec, "207-997-3");
  EXPECT_EQ(merge.entries[0].functions, "solvent");
}

TEST_F(Merge, KeepsANumberThatOnlyTheInventoryHolds) {
  // Glycerol and a second number beside ours: the record can be found by both.
  const InventoryMerge merge = Of("GLYCERIN,\"56-81-5, 504-63-2\",200-289-5,Humectant\n");
  ASSERT_EQ(merge.more_numbers.size(), 1U);
  EXPECT_EQ(catalogue_.at(merge.more_numbers[0].first).id, "glycerin");
  EXPECT_EQ(merge.more_numbers[0].second, "504-63-2");
  EXPECT_THAT(merge.conflicts, IsEmpty());
}

TEST_F(Merge, ReportsNumbersThatDisagree) {
  const InventoryMerge merge = Of("GLYCERIN,64-17-5,200-578-6,Humectant\n");
  ASSERT_EQ(merge.conflicts.size(), 2U);
  EXPECT_EQ(merge.conflicts[0].kind, InventoryConflict::Kind::kCas);
  EXPECT_EQ(merge.conflicts[0].id, "glycerin");
  EXPECT_EQ(merge.conflicts[0].theirs, "64-17-5");
  EXPECT_EQ(merge.conflicts[0].ours, "56-81-5");
  EXPECT_EQ(merge.conflicts[1].kind, InventoryConflict::Kind::kEc);
  EXPECT_EQ(merge.merged, 1U) << "the label name is the same: it is that record";
  EXPECT_THAT(merge.more_numbers, IsEmpty()) << "not found by a number that is in doubt";
}

TEST_F(Merge, DoesNotTakeAnotherNameWithOtherNumbersForOurs) {
  // "Glycerol" is only another name of the record; with the number of ethanol it is another thing.
  const InventoryMerge merge = Of("GLYCEROL,64-17-5,200-578-6,Solvent\n");
  EXPECT_EQ(merge.merged, 0U);
  EXPECT_THAT(Names(merge), ElementsAre("GLYCEROL"));
  ASSERT_EQ(merge.conflicts.size(), 1U);
  EXPECT_EQ(merge.conflicts[0].kind, InventoryConflict::Kind::kCas);
}

TEST_F(Merge, SaysWhoseCasNumberAnotherNameBears) {
  const InventoryMerge merge = Of("GLYCERYL SOMETHING,56-81-5,,Humectant\n");
  ASSERT_EQ(merge.entries.size(), 1U) << "a CAS number alone does not make two names one";
  EXPECT_EQ(merge.entries[0].same_cas_as, "glycerin") << "not the solution that holds it";
  ASSERT_EQ(merge.conflicts.size(), 1U);
  EXPECT_EQ(merge.conflicts[0].kind, InventoryConflict::Kind::kSameCas);
}

TEST_F(Merge, JoinsNamesThatCameTwice) {
  const InventoryMerge merge =
      Of("PROPANEDIOL,504-63-2,,Solvent\nPropanediol,504-63-2,207-997-3,\"Solvent, Humectant\"\n"
         "ALCOHOL X,64-17-5,,Solvent\nALCOHOL X,109-86-4,,Solvent\n");
  EXPECT_EQ(merge.twice, 2U);
  EXPECT_THAT(Names(merge), ElementsAre("ALCOHOL X", "PROPANEDIOL")) << "the shortest first";
  EXPECT_EQ(merge.entries[1].ec, "207-997-3");
  EXPECT_EQ(merge.entries[1].functions, "solvent, humectant");
  EXPECT_EQ(merge.entries[0].cas, "64-17-5, 109-86-4");
  ASSERT_EQ(merge.conflicts.size(), 1U) << "the same number twice is no conflict";
  EXPECT_EQ(merge.conflicts[0].kind, InventoryConflict::Kind::kTwice);
  EXPECT_EQ(merge.conflicts[0].inci, "ALCOHOL X");
}

TEST_F(Merge, SaysItInALineAndATable) {
  const InventoryMerge merge = Of("GLYCERIN,64-17-5,,Humectant\nPROPANEDIOL,504-63-2,,Solvent\n");
  const std::string line = indexer::InventorySummary(merge);
  EXPECT_THAT(line, HasSubstr("2 names read"));
  EXPECT_THAT(line, HasSubstr("1 are records of ours"));
  EXPECT_THAT(line, HasSubstr("1 without working data"));
  EXPECT_THAT(line, HasSubstr("1 CAS"));
  EXPECT_EQ(indexer::ConflictTable(merge),
            "conflict\tinventory_name\trecord\tinventory\tours\ncas\tGLYCERIN\tglycerin\t64-17-5\t56-81-5\n");
}

// --- the program ---

TEST(RunInventory, WritesTheReportBesideTheBaseAndSpeaksOfProgress) {
  const DataFixture fixture;
  fixture.Write("inventory.csv",
                std::string(kFour) + "GLYCERIN,64-17-5,,Humectant\nPROPANEDIOL,504-63-2,,Solvent\n");
  std::ostringstream out;
  std::ostringstream said;
  indexer::Options options;
  options.data = fixture.root();
  options.base = fixture.base();
  options.inventory = fixture.root() / "inventory.csv";
  ASSERT_EQ(indexer::Run(options, out, said, true), 0) << said.str();
  EXPECT_THAT(said.str(), HasSubstr("reading the inventory"));
  EXPECT_THAT(said.str(), HasSubstr("writing the index: 0 of "));
  EXPECT_THAT(said.str(), HasSubstr("2 names read"));
  const std::string first = out.str();
  // Another inventory is another base.
  out.str("");
  options.inventory.clear();
  ASSERT_EQ(indexer::Run(options, out, said, false), 0);
  EXPECT_NE(first.substr(0, first.find(" built")), out.str().substr(0, out.str().find(" built")));
}

TEST(RunInventory, RefusesAFileThatIsNoneAndBuildsNothing) {
  const DataFixture fixture;
  fixture.Write("inventory.csv", "phase,ingredient,percent\nA,Water,100\n");
  std::ostringstream out;
  std::ostringstream said;
  indexer::Options options;
  options.data = fixture.root();
  options.base = fixture.base();
  options.inventory = fixture.root() / "inventory.csv";
  EXPECT_THROW(static_cast<void>(indexer::Run(options, out, said, false)), indexer::IndexerError);
  EXPECT_FALSE(std::filesystem::exists(fixture.base() / "current"));
}

// --- the whole inventory ---

const std::filesystem::path kReference = STILLROOM_SOURCE_DIR "/../shared/reference";

TEST(WholeInventory, ReadsEveryName) {
  const std::filesystem::path file = kReference / "eu_inventory.csv";
  if (!std::filesystem::exists(file)) GTEST_SKIP() << "the inventory is not at hand";
  const InventoryFile all = indexer::ReadInventory(file);
  // 28,712 names, as the table's own description counts them.
  EXPECT_EQ(all.records, 28'712U);
  EXPECT_EQ(all.rows.size(), 28'712U);
  std::set<std::string> names;
  for (const auto& row : all.rows) {
    names.insert(row.inci);
    for (const std::string& cas : row.cas) EXPECT_TRUE(kb::IsCasNumber(cas)) << row.inci;
    for (const std::string& ec : row.ec) EXPECT_TRUE(kb::IsEcNumber(ec)) << row.inci;
  }
  EXPECT_TRUE(names.count("METHOXYETHANOL"));
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  const InventoryMerge merge = indexer::MergeInventory(catalogue, all.rows);
  EXPECT_EQ(merge.merged + merge.twice + merge.entries.size(), 28'712U) << "every row is accounted for";
  EXPECT_GE(merge.merged, 2U) << "AQUA and GLYCERIN";
}

TEST(WholeInventory, ReadsTheOfficialSampleAsTheFourColumns) {
  const std::filesystem::path sample = kReference / "eu_inventory_official_sample.csv";
  const std::filesystem::path four = kReference / "eu_inventory.csv";
  if (!std::filesystem::exists(sample) || !std::filesystem::exists(four))
    GTEST_SKIP() << "the inventory is not at hand";
  const InventoryFile official = indexer::ReadInventory(sample);
  EXPECT_EQ(official.rows.size(), 8U);
  EXPECT_THAT(official.complaints, IsEmpty());
  const InventoryFile all = indexer::ReadInventory(four);
  std::set<std::string> met;
  for (const auto& row : official.rows) {
    for (const auto& other : all.rows) {
      if (other.inci != row.inci) continue;
      met.insert(row.inci);
      // Of several CAS numbers the four columns keep one.
      for (const std::string& cas : other.cas) EXPECT_THAT(row.cas, Contains(cas)) << row.inci;
      EXPECT_EQ(other.functions, row.functions) << row.inci;
    }
  }
  EXPECT_EQ(met.size(), 7U) << "CITRULLUS LANATUS SEED POWDER is in the export alone";
}

}  // namespace
}  // namespace indexer_test
