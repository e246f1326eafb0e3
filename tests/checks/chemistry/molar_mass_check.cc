#include <fmt/format.h>
#include <gtest/gtest.h>
#include <stdio.h>  // popen is POSIX
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>
#include <string>

#include "deviation.h"
#include "kb/chemistry/molar_mass.h"
#include "solutions.h"

// Molar masses from our formulas against those that Open Babel works out from the structure: formula and structure
// were written down apart, so a slip in either shows.

namespace checks {
namespace {

struct Substance {
  const char* row;
  const char* formula;
  const char* smiles;
  friend void PrintTo(const Substance& row, std::ostream* out) { *out << row.row; }
};

// Structures from memory: textbook substances.
// clang-format off
constexpr Substance kSubstances[] = {
    {"Water", "H2O", "O"},
    {"Glycerin", "C3H8O3", "OCC(O)CO"},
    {"PropyleneGlycol", "C3H8O2", "CC(O)CO"},
    {"Propanediol", "C3H8O2", "OCCCO"},
    {"ButyleneGlycol", "C4H10O2", "CC(O)CCO"},
    {"PentyleneGlycol", "C5H12O2", "CCCC(O)CO"},
    {"HexyleneGlycol", "C6H14O2", "CC(O)CC(C)(C)O"},
    {"CaprylylGlycol", "C8H18O2", "CCCCCCC(O)CO"},
    {"Sorbitol", "C6H14O6", "OCC(O)C(O)C(O)C(O)CO"},
    {"Urea", "CH4N2O", "NC(=O)N"},
    {"Betaine", "C5H11NO2", "C[N+](C)(C)CC(=O)[O-]"},
    {"Panthenol", "C9H19NO4", "CC(C)(CO)C(O)C(=O)NCCCO"},
    {"Niacinamide", "C6H6N2O", "NC(=O)c1cccnc1"},
    {"Allantoin", "C4H6N4O3", "NC(=O)NC1NC(=O)NC1=O"},
    {"CitricAcid", "C6H8O7", "OC(=O)CC(O)(C(=O)O)CC(=O)O"},
    {"TrisodiumCitrate", "C6H5Na3O7", "[Na+].[Na+].[Na+].[O-]C(=O)CC(O)(C([O-])=O)CC([O-])=O"},
    {"TrisodiumCitrateDihydrate", "C6H5Na3O7.2H2O",
     "O.O.[Na+].[Na+].[Na+].[O-]C(=O)CC(O)(C([O-])=O)CC([O-])=O"},
    {"LacticAcid", "C3H6O3", "CC(O)C(=O)O"},
    {"SodiumLactate", "C3H5NaO3", "[Na+].CC(O)C(=O)[O-]"},
    {"CalciumLactate", "Ca(C3H5O3)2", "[Ca+2].CC(O)C(=O)[O-].CC(O)C(=O)[O-]"},
    {"GlycolicAcid", "C2H4O3", "OCC(=O)O"},
    {"MalicAcid", "C4H6O5", "OC(=O)CC(O)C(=O)O"},
    {"TartaricAcid", "C4H6O6", "OC(=O)C(O)C(O)C(=O)O"},
    {"MandelicAcid", "C8H8O3", "OC(=O)C(O)c1ccccc1"},
    {"GluconicAcid", "C6H12O7", "OCC(O)C(O)C(O)C(O)C(=O)O"},
    {"Gluconolactone", "C6H10O6", "OCC1OC(=O)C(O)C(O)C1O"},
    {"LactobionicAcid", "C12H22O12", "OCC1OC(OC(C(O)CO)C(O)C(O)C(=O)O)C(O)C(O)C1O"},
    {"AscorbicAcid", "C6H8O6", "OCC(O)C1OC(=O)C(O)=C1O"},
    {"SalicylicAcid", "C7H6O3", "OC(=O)c1ccccc1O"},
    {"BenzoicAcid", "C7H6O2", "OC(=O)c1ccccc1"},
    {"SodiumBenzoate", "C7H5NaO2", "[Na+].[O-]C(=O)c1ccccc1"},
    {"SorbicAcid", "C6H8O2", "CC=CC=CC(=O)O"},
    {"PotassiumSorbate", "C6H7KO2", "[K+].CC=CC=CC(=O)[O-]"},
    {"DehydroaceticAcid", "C8H8O4", "CC(=O)C1C(=O)OC(C)=CC1=O"},
    {"LevulinicAcid", "C5H8O3", "CC(=O)CCC(=O)O"},
    {"AnisicAcid", "C8H8O3", "COc1ccc(cc1)C(=O)O"},
    {"Methylparaben", "C8H8O3", "COC(=O)c1ccc(O)cc1"},
    {"Phenoxyethanol", "C8H10O2", "OCCOc1ccccc1"},
    {"BenzylAlcohol", "C7H8O", "OCc1ccccc1"},
    {"Hydroxyacetophenone", "C8H8O2", "CC(=O)c1ccc(O)cc1"},
    {"AzelaicAcid", "C9H16O4", "OC(=O)CCCCCCCC(=O)O"},
    {"SuccinicAcid", "C4H6O4", "OC(=O)CCC(=O)O"},
    {"FerulicAcid", "C10H10O4", "COc1cc(C=CC(=O)O)ccc1O"},
    {"KojicAcid", "C6H6O4", "OCC1=CC(=O)C(O)=CO1"},
    {"Edta", "C10H16N2O8", "OC(=O)CN(CCN(CC(=O)O)CC(=O)O)CC(=O)O"},
    {"DisodiumEdtaDihydrate", "C10H14N2Na2O8.2H2O",
     "O.O.[Na+].[Na+].OC(=O)CN(CCN(CC([O-])=O)CC(=O)O)CC([O-])=O"},
    {"PhyticAcid", "C6H18O24P6",
     "OP(O)(=O)OC1C(OP(O)(O)=O)C(OP(O)(O)=O)C(OP(O)(O)=O)C(OP(O)(O)=O)C1OP(O)(O)=O"},
    {"Arginine", "C6H14N4O2", "NC(CCCNC(N)=N)C(=O)O"},
    {"Triethanolamine", "N(C2H4OH)3", "OCCN(CCO)CCO"},
    {"Tromethamine", "C4H11NO3", "NC(CO)(CO)CO"},
    {"AminomethylPropanol", "C4H11NO", "CC(C)(N)CO"},
    {"SodiumHydroxide", "NaOH", "[Na+].[OH-]"},
    {"MonosodiumPhosphate", "NaH2PO4", "[Na+].OP(O)(=O)[O-]"},
    {"MagnesiumSulfateHeptahydrate", "MgSO4.7H2O", "O.O.O.O.O.O.O.[Mg+2].[O-]S(=O)(=O)[O-]"},
    {"SodiumMetabisulfite", "Na2S2O5", "[Na+].[Na+].[O-]S(=O)S(=O)(=O)[O-]"},
    {"ZincOxide", "ZnO", "[Zn+2].[O-2]"},
    {"TitaniumDioxide", "TiO2", "O=[Ti]=O"},
    {"CetylAlcohol", "C16H34O", "CCCCCCCCCCCCCCCCO"},
    {"StearicAcid", "C18H36O2", "CCCCCCCCCCCCCCCCCC(=O)O"},
    {"OleicAcid", "C18H34O2", "CCCCCCCCC=CCCCCCCCC(=O)O"},
    {"IsopropylMyristate", "C17H34O2", "CCCCCCCCCCCCCC(=O)OC(C)C"},
    {"Squalane", "C30H62", "CC(C)CCCC(C)CCCC(C)CCCCC(C)CCCC(C)CCCC(C)C"},
    {"Tocopherol", "C29H50O2", "CC(C)CCCC(C)CCCC(C)CCCC1(C)CCc2c(C)c(O)c(C)c(C)c2O1"},
    {"SodiumLaurylSulfate", "C12H25NaO4S", "[Na+].CCCCCCCCCCCCOS(=O)(=O)[O-]"},
    {"CocamidopropylBetaineC12", "C19H38N2O3", "CCCCCCCCCCCC(=O)NCCC[N+](C)(C)CC(=O)[O-]"},
    {"BehentrimoniumChloride", "C25H54ClN", "[Cl-].CCCCCCCCCCCCCCCCCCCCCC[N+](C)(C)C"},
    {"Cyclopentasiloxane", "C10H30O5Si5", "C[Si]1(C)O[Si](C)(C)O[Si](C)(C)O[Si](C)(C)O[Si](C)(C)O1"},
    {"Avobenzone", "C20H22O3", "COc1ccc(cc1)C(=O)CC(=O)c1ccc(cc1)C(C)(C)C"},
};
// clang-format on

// Open Babel's atomic weights are of an older issue and unabridged (IUPAC 1995 has H 1.00794, C 12.0107,
// O 15.9994, S 32.066, Zn 65.39): off ours by 0.0003 a carbon, 0.0001 a hydrogen, 0.0004 an oxygen, 0.01
// for sulfur or zinc. Thirty carbons, sixty-two hydrogens, twelve oxygens and one of the last: 0.03.
constexpr double kTolerance = 0.03;

// Name to molar mass as Open Babel gives it; nothing where the program is not there.
std::optional<std::map<std::string, double>> FromStructures() {
  if (std::system("command -v obabel >/dev/null 2>&1") != 0) return std::nullopt;
  const std::string path = testing::TempDir() + fmt::format("stillroom-structures-{}.smi", getpid());
  {
    std::ofstream file(path);
    for (const Substance& substance : kSubstances) file << substance.smiles << '\t' << substance.row << '\n';
  }
  std::map<std::string, double> masses;
  FILE* pipe = popen(fmt::format("obabel -ismi '{}' -otxt --append MW 2>/dev/null", path).c_str(), "r");
  if (pipe == nullptr) return std::nullopt;
  std::array<char, 512> line{};
  while (fgets(line.data(), line.size(), pipe) != nullptr) {
    std::istringstream words(line.data());
    std::string name;
    double mass = 0;
    if (words >> name >> mass) masses[name] = mass;
  }
  pclose(pipe);
  std::remove(path.c_str());
  return masses;
}

class StructureMass : public testing::TestWithParam<Substance> {
 protected:
  static void SetUpTestSuite() { masses_ = FromStructures(); }
  static std::optional<std::map<std::string, double>> masses_;
};
std::optional<std::map<std::string, double>> StructureMass::masses_;

TEST_P(StructureMass, AgreesWithTheFormula) {
  if (!masses_) GTEST_SKIP() << "obabel (Debian package openbabel) is not installed";
  const Substance& row = GetParam();
  const auto mass = kb::chemistry::MolarMass(row.formula);
  ASSERT_TRUE(mass.has_value()) << mass.error().what;
  ASSERT_TRUE(masses_->contains(row.row)) << "obabel gave nothing for " << row.smiles;
  ExpectPrinted("Open Babel, molar mass from structure", row.row, *mass, masses_->at(row.row), kTolerance,
                "g/mol");
}
INSTANTIATE_TEST_SUITE_P(OpenBabel, StructureMass, testing::ValuesIn(kSubstances), kRowName);

// What the structure writes as metal ions, "[Na+]" or "[Ca+2]", against what the formula's metals bring.
class StructureIons : public testing::TestWithParam<Substance> {};
TEST_P(StructureIons, AgreeWithTheFormula) {
  const std::string smiles = GetParam().smiles;
  int charge = 0;
  for (const std::string ion : {"[Na+", "[K+", "[Mg+", "[Ca+", "[Zn+"}) {
    for (std::size_t at = smiles.find(ion); at != std::string::npos; at = smiles.find(ion, at + 1)) {
      const char digit = smiles.at(at + ion.size());
      charge += digit == ']' ? 1 : digit - '0';
    }
  }
  const auto metals = kb::chemistry::MetalCharge(GetParam().formula);
  ASSERT_TRUE(metals.has_value()) << metals.error().what;
  EXPECT_EQ(*metals, charge);
}
INSTANTIATE_TEST_SUITE_P(Structures, StructureIons, testing::ValuesIn(kSubstances), kRowName);

}  // namespace
}  // namespace checks
