#include <gtest/gtest.h>

#include "solutions.h"

// pH of measured buffer tables of acids that creams are adjusted with: citrate, phosphate, acetate.

namespace checks {
namespace {

// McIlvaine, J. Biol. Chem. 49 (1921) 183-186: mL of 0.2 M Na2HPO4 and mL of 0.1 M citric acid, 20 mL
// in all. The table as an open encyclopaedia reprints it, and the paper's first page, were seen. 25 C
// by another reprint.
// clang-format off
constexpr BufferRow kMcIlvaine[] = {
    {"MCI01", 0.40, 19.60, 2.2},
    {"MCI02", 1.24, 18.76, 2.4},
    {"MCI03", 2.18, 17.82, 2.6},
    {"MCI04", 3.17, 16.83, 2.8},
    {"MCI05", 4.11, 15.89, 3.0},
    {"MCI06", 4.94, 15.06, 3.2},
    {"MCI07", 5.70, 14.30, 3.4},
    {"MCI08", 6.44, 13.56, 3.6},
    {"MCI09", 7.10, 12.90, 3.8},
    {"MCI10", 7.71, 12.29, 4.0},
    {"MCI11", 8.28, 11.72, 4.2},
    {"MCI12", 8.82, 11.18, 4.4},
    {"MCI13", 9.35, 10.65, 4.6},
    {"MCI14", 9.86, 10.14, 4.8},
    {"MCI15", 10.30, 9.70, 5.0},
    {"MCI16", 10.72, 9.28, 5.2},
    {"MCI17", 11.15, 8.85, 5.4},
    {"MCI18", 11.60, 8.40, 5.6},
    {"MCI19", 12.09, 7.91, 5.8},
    {"MCI20", 12.63, 7.37, 6.0},
    {"MCI21", 13.22, 6.78, 6.2},
    {"MCI22", 13.85, 6.15, 6.4},
    {"MCI23", 14.55, 5.45, 6.6},
    {"MCI24", 15.45, 4.55, 6.8},
    {"MCI25", 16.47, 3.53, 7.0},
    {"MCI26", 17.39, 2.61, 7.2},
    {"MCI27", 18.17, 1.83, 7.4},
    {"MCI28", 18.73, 1.27, 7.6},
    {"MCI29", 19.15, 0.85, 7.8},
    {"MCI30", 19.45, 0.55, 8.0},
};
// clang-format on
constexpr double kPrint = 0.05;  // half of the last printed digit
// Citrate from -1 to -2 (z^2 differs by 3) at up to 0.2 mol/kg.
constexpr double kAcidHalf = StatedTrust(0.02, 3, 0.2);
// From 4.6 up the answer lies above the print, by up to 0.2, and this is the model's fault: the third
// step of citric acid and the second of phosphoric make ions of charge -3 and -2 at 0.25 to 0.58 mol/kg
// with sodium, which binds them (log K of NaHPO4- is 1.07 in the database named in solutions.h; of
// sodium citrate about 1.4, memory). What is bound gives off more protons. Davies knows no pairs and
// his own error is 8 % of gamma per unit of z^2 here: 5 x 0.034 = 0.17, and 0.02 for the pKa values.
constexpr double kSodiumPairs = 0.20;
class McIlvaineTable : public BufferTable {};
TEST_P(McIlvaineTable, AgreesWithThePrint) {
  const BufferRow& row = GetParam();
  const std::vector<Solute> mixture =
      Mixed({{{Of(kPhosphoric, 0.2, {{1, 2}})}, row.first_ml}, {{Of(kCitric, 0.1)}, row.second_ml}}, 20);
  if (row.ph < 4.6) {
    ExpectPh("McIlvaine 1921, pH 2.2 to 4.4", row.row, mixture, row.ph, kPrint + kAcidHalf, kPrint);
    return;
  }
  // One-sided, so that the known error cannot hide an unknown one: never below the print, never further
  // above than is known.
  ExpectPh("McIlvaine 1921, pH 4.6 to 8.0", row.row, mixture, row.ph, kPrint + kSodiumPairs, kPrint);
  EXPECT_GE(SolvePh(mixture)->ph, row.ph - kPrint);
}
INSTANTIATE_TEST_SUITE_P(Print, McIlvaineTable, testing::ValuesIn(kMcIlvaine), kRowName);

// Citric acid and trisodium citrate, mL of 0.1 M each, 100 mL in all: the table of the Data for
// Biochemical Research. From memory but for the row of pH 5.4, which was seen quoted (5.358 g and
// 21.910 g of the hydrates per litre).
// clang-format off
constexpr BufferRow kCitrate[] = {
    {"CID01", 82.0, 18.0, 3.0},
    {"CID02", 77.5, 22.5, 3.2},
    {"CID03", 73.0, 27.0, 3.4},
    {"CID04", 68.5, 31.5, 3.6},
    {"CID05", 63.5, 36.5, 3.8},
    {"CID06", 59.0, 41.0, 4.0},
    {"CID07", 54.0, 46.0, 4.2},
    {"CID08", 49.5, 50.5, 4.4},
    {"CID09", 44.5, 55.5, 4.6},
    {"CID10", 40.0, 60.0, 4.8},
    {"CID11", 35.0, 65.0, 5.0},
    {"CID12", 30.5, 69.5, 5.2},
    {"CID13", 25.5, 74.5, 5.4},
    {"CID14", 21.0, 79.0, 5.6},
    {"CID15", 16.0, 84.0, 5.8},
    {"CID16", 11.5, 88.5, 6.0},
    {"CID17", 8.0, 92.0, 6.2},
};
// clang-format on
class CitrateTable : public BufferTable {};
TEST_P(CitrateTable, AgreesWithThePrint) {
  const BufferRow& row = GetParam();
  const bool low = row.ph < 4.6;
  ExpectPh(low ? "Citrate 0.1 M (memory), pH 3.0 to 4.4" : "Citrate 0.1 M (memory), pH 4.6 to 6.2", row.row,
           Mixed({{{Of(kCitric, 0.1)}, row.first_ml}, {{Of(kCitric, 0.1, {{1, 3}})}, row.second_ml}}, 100),
           row.ph, kPrint + (low ? StatedTrust(0.02, 3, 0.15) : StatedTrust(0.02, 5, 0.5)), kPrint);
}
INSTANTIATE_TEST_SUITE_P(Print, CitrateTable, testing::ValuesIn(kCitrate), kRowName);

// Pearse, Histochemistry (1980), buffer tables, seen in a reprint: mL of 0.1 M acetic acid and of 0.1 M
// sodium acetate, 200 mL in all. Temperature not stated; acetic acid's pKa moves by 0.002 from 18 to 25
// C (memory).
// clang-format off
constexpr BufferRow kAcetate[] = {
    {"ACE01", 185, 15, 3.6},
    {"ACE02", 176, 24, 3.8},
    {"ACE03", 164, 36, 4.0},
    {"ACE04", 147, 53, 4.2},
    {"ACE05", 126, 74, 4.4},
    {"ACE06", 102, 98, 4.6},
    {"ACE07", 80, 120, 4.8},
    {"ACE08", 59, 141, 5.0},
    {"ACE09", 42, 158, 5.2},
    {"ACE10", 29, 171, 5.4},
    {"ACE11", 19, 181, 5.6},
};
// clang-format on
class AcetateTable : public BufferTable {};
TEST_P(AcetateTable, AgreesWithThePrint) {
  const BufferRow& row = GetParam();
  ExpectPh("Acetate 0.1 M, Pearse 1980", row.row,
           Mixed({{{Of(kAcetic, 0.1)}, row.first_ml}, {{Of(kAcetic, 0.1, {{1, 1}})}, row.second_ml}}, 200),
           row.ph, kPrint + StatedTrust(0.01, 1, 0.1), kPrint);
}
INSTANTIATE_TEST_SUITE_P(Print, AcetateTable, testing::ValuesIn(kAcetate), kRowName);

// Gomori, Methods in Enzymology 1 (1955) 138-146 after Soerensen: mL of 0.2 M Na2HPO4 and of 0.2 M
// NaH2PO4, made up to 100 mL. The volumes were seen in a reprint; that the recipe dilutes to 100 mL is
// memory.
// clang-format off
constexpr BufferRow kGomoriPhosphate[] = {
    {"PHO01", 4.0, 46.0, 5.8},
    {"PHO02", 6.15, 43.85, 6.0},
    {"PHO03", 9.25, 40.75, 6.2},
    {"PHO04", 13.25, 36.75, 6.4},
    {"PHO05", 18.75, 31.25, 6.6},
    {"PHO06", 24.5, 25.5, 6.8},
    {"PHO07", 30.5, 19.5, 7.0},
    {"PHO08", 36.0, 14.0, 7.2},
    {"PHO09", 40.5, 9.5, 7.4},
    {"PHO10", 43.5, 6.5, 7.6},
    {"PHO11", 45.75, 4.25, 7.8},
    {"PHO12", 47.35, 2.65, 8.0},
};
// clang-format on
class GomoriPhosphateTable : public BufferTable {};
TEST_P(GomoriPhosphateTable, AgreesWithThePrint) {
  const BufferRow& row = GetParam();
  ExpectPh("Phosphate 0.1 M, Gomori 1955", row.row,
           Mixed({{{Of(kPhosphoric, 0.2, {{1, 2}})}, row.first_ml},
                  {{Of(kPhosphoric, 0.2, {{1, 1}})}, row.second_ml}},
                 100),
           row.ph, kPrint + StatedTrust(0.02, 3, 0.29), kPrint);
}
INSTANTIATE_TEST_SUITE_P(Print, GomoriPhosphateTable, testing::ValuesIn(kGomoriPhosphate), kRowName);

// Soerensen's phosphate table: mL of M/15 Na2HPO4 and of M/15 KH2PO4, 10 mL in all, at 18 C. From memory.
// clang-format off
constexpr BufferRow kSoerensen[] = {
    {"SOR01", 0.25, 9.75, 5.288},
    {"SOR02", 0.5, 9.5, 5.589},
    {"SOR03", 1.0, 9.0, 5.906},
    {"SOR04", 2.0, 8.0, 6.239},
    {"SOR05", 3.0, 7.0, 6.468},
    {"SOR06", 4.0, 6.0, 6.643},
    {"SOR07", 5.0, 5.0, 6.813},
    {"SOR08", 6.0, 4.0, 6.979},
    {"SOR09", 7.0, 3.0, 7.168},
    {"SOR10", 8.0, 2.0, 7.381},
    {"SOR11", 9.0, 1.0, 7.731},
    {"SOR12", 9.5, 0.5, 8.043},
};
// clang-format on
// Soerensen's scale lies 0.03 to 0.04 below today's.
constexpr double kScaleOfSoerensen = 0.035;
// 18 C, where phosphoric acid's second pKa is 0.02 higher than at 25 C (-0.0028 per degree, memory).
constexpr double kCold = 0.02;
class SoerensenTable : public BufferTable {};
TEST_P(SoerensenTable, AgreesWithThePrint) {
  const BufferRow& row = GetParam();
  ExpectPh("Phosphate M/15, Soerensen (memory)", row.row,
           Mixed({{{Of(kPhosphoric, 1.0 / 15, {{1, 2}})}, row.first_ml},
                  {{Of(kPhosphoric, 1.0 / 15, {{1, 1}})}, row.second_ml}},
                 10),
           row.ph + kScaleOfSoerensen, kCold + 0.005 + StatedTrust(0.02, 3, 0.19), kCold + 0.005);
}
INSTANTIATE_TEST_SUITE_P(Print, SoerensenTable, testing::ValuesIn(kSoerensen), kRowName);

}  // namespace
}  // namespace checks
