// Creams and ointments of the pharmacopoeias, in tests/cases/monographs, against what is printed about them.
//
// Sources seen: the summaries of product characteristics of Aqueous Cream BP (medicines.org.uk, product 4570, 2020: emulsifying
// ointment 30.0 %, sodium lauryl sulfate 0.9 %, cetostearyl alcohol 8.1 %; another holder's: white soft paraffin 15 %, liquid
// paraffin 6.0 %); Rose Water Ointment, USP 30 p. 3147 (cetyl esters wax 125 g, white wax 120 g, almond oil 560 g, sodium borate
// 5 g, stronger rose water 25 mL, water 165 mL, to about 1000 g); Ceratum Galeni, British Pharmaceutical Codex 1911 (soft
// paraffin 12.5, beeswax 12.5, almond oil 50, borax 1, oil of rose 0.1, rose water 25: 101.1 parts).
// From memory: phenoxyethanol 1 % in aqueous cream; Hydrous Ointment BP (wool alcohols ointment 50 %, phenoxyethanol 1 %, dried
// magnesium sulfate 0.5 %) and wool alcohols ointment (wool alcohols 6, hard paraffin 24, soft paraffin 10, liquid paraffin 60).
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <string>

#include "query/assess.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::RealCatalogue;

Assessment AssessMonograph(const std::string& name) {
  std::ifstream file(STILLROOM_SOURCE_DIR "/tests/cases/monographs/" + name + ".csv");
  EXPECT_TRUE(file) << name;
  const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
  return Assess(RealCatalogue(), testing_data::FormulaOf(text));
}

double PctOf(const Assessment& assessment, const std::string& inci) {
  for (const Substance& item : assessment.substances) {
    if (item.inci == inci) return item.pct;
  }
  return 0;
}

bool Finds(const Assessment& assessment, const std::string& key) {
  return std::any_of(assessment.findings.begin(), assessment.findings.end(),
                     [&](const Finding& finding) { return finding.key.rfind(key, 0) == 0; });
}

// The monographs take rose water for water. As sold it holds something that keeps it, by the label a few per cent with its
// carrier: at least 95 % of it is taken for water.
void ExpectWater(const Assessment& assessment, double plain, double rose_water) {
  EXPECT_LE(assessment.composition.water, plain + rose_water + 1e-9);
  EXPECT_GE(assessment.composition.water, plain + 0.95 * rose_water);
}

constexpr double kPrinted = 0.05;  // %: half of the last digit of 8.1 % and 0.9 %

TEST(Monograph, AqueousCream) {
  const Assessment cream = AssessMonograph("aqueous-cream");
  EXPECT_NEAR(cream.composition.water, 69, kPrinted);
  EXPECT_NEAR(PctOf(cream, "CETEARYL ALCOHOL"), 8.1, kPrinted);
  EXPECT_NEAR(PctOf(cream, "SODIUM LAURYL SULFATE"), 0.9, kPrinted);
  EXPECT_NEAR(PctOf(cream, "PETROLATUM"), 15, kPrinted);
  EXPECT_NEAR(PctOf(cream, "PARAFFINUM LIQUIDUM"), 6, kPrinted);
  EXPECT_NEAR(cream.composition.oils, 15 + 6 + 8.1, kPrinted);  // the fatty alcohol is carried too
  EXPECT_FALSE(cream.emulsion.applies);                         // anionic: Griffin's scale does not see it
  // At the limit of Annex V, entry 29, and not over; alone it is known to be weak against yeast and mould.
  EXPECT_FALSE(Finds(cream, "limit:"));
  EXPECT_TRUE(cream.preservation.needed);
  EXPECT_EQ(cream.preservation.preservatives.size(), 1U);
  EXPECT_FALSE(Finds(cream, "preservation:none"));
  EXPECT_FALSE(Finds(cream, "emulsion:"));
}

TEST(Monograph, EmulsifyingOintment) {
  const Assessment ointment = AssessMonograph("emulsifying-ointment");
  // Of the 30 % in aqueous cream 8.1 and 0.9 % are printed: in the ointment itself 27 and 3 %, to 0.05 / 0.3.
  EXPECT_NEAR(PctOf(ointment, "CETEARYL ALCOHOL"), 27, kPrinted / 0.3);
  EXPECT_NEAR(PctOf(ointment, "SODIUM LAURYL SULFATE"), 3, kPrinted / 0.3);
  EXPECT_LT(ointment.composition.water, 0.5);
  EXPECT_FALSE(ointment.preservation.needed);
}

TEST(Monograph, RoseWaterOintment) {
  const Assessment cream = AssessMonograph("rose-water-ointment");
  EXPECT_NEAR(cream.composition.oils, 12.5 + 12 + 56, kPrinted);
  ExpectWater(cream, 16.5, 2.5);
  // No preservative is in the monograph, and today's law has something to say about borax.
  EXPECT_TRUE(Finds(cream, "preservation:none"));
  EXPECT_TRUE(Finds(cream, "limit:EU/II"));
  // The soap of beeswax and borax is the emulsifier.
  EXPECT_FALSE(Finds(cream, "emulsion:none"));
  EXPECT_TRUE(Finds(cream, "emulsion:soap"));
}

TEST(Monograph, GalensCerate) {
  const Assessment cream = AssessMonograph("galens-cerate");
  EXPECT_NEAR(cream.composition.oils, 100 * (12.5 + 12.5 + 50) / 101.1, kPrinted);
  ExpectWater(cream, 0, 24.728);  // 25 of 101.1 parts, as in the file
  EXPECT_TRUE(Finds(cream, "preservation:none"));
  EXPECT_TRUE(Finds(cream, "emulsion:soap"));
  ASSERT_EQ(cream.phases.size(), 3U);
  EXPECT_EQ(cream.phases[1].name, "heated water");
}

TEST(Monograph, HydrousOintment) {
  const Assessment cream = AssessMonograph("hydrous-ointment");
  EXPECT_NEAR(cream.composition.water, 48.5,
              0.26);  // the monograph's salt is dried, the record's may hold its water
  EXPECT_NEAR(cream.composition.oils + cream.composition.emulsifiers, 50, kPrinted);
  EXPECT_FALSE(Finds(cream, "limit:"));
  EXPECT_FALSE(Finds(cream, "emulsion:"));
  EXPECT_FALSE(Finds(cream, "preservation:none"));
}

}  // namespace
}  // namespace query
