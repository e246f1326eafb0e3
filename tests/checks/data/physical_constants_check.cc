// Boiling, melting and flash points and acid constants against the tables that the records name, typed in from them apart from the
// records: temperatures in kelvin as printed there, constants as printed.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <string>
#include <string_view>

#include "records.h"

namespace checks {
namespace {

constexpr double kZeroCelsius = 273.15;  // K

std::string TestName(std::string name) {
  std::replace_if(
      name.begin(), name.end(), [](char c) { return !std::isalnum(static_cast<unsigned char>(c)); }, '_');
  return name;
}

struct Temperature {
  const char* id;
  const char* property;
  const char* source;
  const char* cas;  // of the row
  double kelvin;
  double rounding;  // K; what the record rounds to
};

// Physical constants of organic compounds; heats of vaporization; IEC 60079-20-1; NFPA 497; Serat and others 2017: all as an open
// chemical-property library carries them (see data/sources.toml).
constexpr Temperature kTemperatures[] = {
    {"glycerin", "boiling_c", "chemlib-crc-org", "56-81-5", 562.15, 0.05},
    {"ethanol", "boiling_c", "chemlib-crc-org", "64-17-5", 351.39, 0.05},
    {"benzyl-alcohol", "boiling_c", "chemlib-crc-org", "100-51-6", 478.45, 0.05},
    {"geraniol", "boiling_c", "chemlib-crc-org", "106-24-1", 502.15, 0.05},
    {"phenoxyethanol", "boiling_c", "chemlib-crc-org", "122-99-6", 519.15, 0.05},
    {"trisiloxane", "boiling_c", "chemlib-crc-org", "107-51-7", 425.65, 0.05},
    {"triethanolamine", "boiling_c", "chemlib-crc-org", "102-71-6", 623.15, 0.05},
    {"eucalyptol", "boiling_c", "chemlib-crc-org", "470-82-6", 449.15, 0.05},
    {"cyclopentasiloxane", "boiling_c", "chemlib-crc-org", "541-02-6", 486.15, 0.05},
    {"coumarin", "boiling_c", "chemlib-crc-org", "91-64-5", 574.85, 0.05},
    {"arachidyl-alcohol", "melting_c", "chemlib-crc-org", "629-96-9", 337.05, 0.05},
    {"tricaprylin", "melting_c", "chemlib-crc-org", "538-23-8", 282.75, 0.05},
    {"silver-chloride", "melting_c", "chemlib-crc-inorg", "7783-90-6", 728.15, 0.5},
    {"propanediol", "boiling_c", "chemlib-crc-hvap", "504-63-2", 487.55, 0.05},
    {"undecane", "boiling_c", "chemlib-crc-hvap", "1120-21-4", 469.05, 0.05},
    {"isopropyl-alcohol", "boiling_c", "chemlib-crc-hvap", "67-63-0", 355.45, 0.05},
    {"ethanol", "flash_c", "chemlib-iec-flash", "64-17-5", 285.15, 0.5},
    {"isopropyl-alcohol", "flash_c", "chemlib-iec-flash", "67-63-0", 285.15, 0.5},
    {"acetic-acid", "flash_c", "chemlib-iec-flash", "64-19-7", 312.15, 0.5},
    {"limonene", "flash_c", "chemlib-iec-flash", "138-86-3", 316.15, 0.5},
    {"formic-acid", "flash_c", "chemlib-nfpa-flash", "64-18-6", 323.15, 0.5},
    {"cyclopentasiloxane", "flash_c", "chemlib-serat-flash", "541-02-6", 350.15, 0.5},
    {"undecane", "flash_c", "chemlib-serat-flash", "1120-21-4", 339.05, 0.5},
    {"cetyl-alcohol", "flash_c", "chemlib-serat-flash", "36653-82-4", 443, 0.5},
};

class TemperatureInPrint : public testing::TestWithParam<Temperature> {};

TEST_P(TemperatureInPrint, IsAsTheTableHasIt) {
  const Temperature& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  std::size_t found = 0;
  for (const kb::Fact& fact : Data().Facts(*ix, row.property)) {
    if (Data().source(fact.source).key != row.source) continue;
    ++found;
    ASSERT_TRUE(fact.number);
    EXPECT_NEAR(fact.number->mid(), row.kelvin - kZeroCelsius, row.rounding + 1e-9);
    EXPECT_EQ(fact.at, fmt::format("CAS {}", row.cas));
    EXPECT_EQ(fact.standing, kb::Standing::kPublished);
  }
  EXPECT_EQ(found, 1U);
}

INSTANTIATE_TEST_SUITE_P(Tables, TemperatureInPrint, testing::ValuesIn(kTemperatures), [](const auto& row) {
  return TestName(fmt::format("{}_{}", row.param.id, row.param.property));
});

struct Constant {
  const char* id;
  const char* step;
  const char* record;  // of the dataset
  double pka;
};

// IUPAC digitised pKa dataset, high confidence, version 2.4 (Serjeant and Dempsey; Perrin).
constexpr Constant kConstants[] = {
    {"p-anisic-acid", "1", "serjeant4006", 4.496},       // 25 C, reliable
    {"gallic-acid", "2", "serjeant3410", 8.78},          // 25 C, I = 0.1
    {"hydroxyacetophenone", "1", "serjeant3979", 8.05},  // 25 C, I = 0.01
    {"caffeic-acid", "1", "serjeant4549", 4.62},         // 25 C, I = 0.05
    {"caffeic-acid", "2", "serjeant4549", 9.07},
    {"gluconic-acid", "1", "serjeant2905", 3.76},  // 17 C
    {"levulinic-acid", "1", "serjeant2562", 4.6},  // 25 C
    {"taurine", "2", "serjeant2126", 9.07},        // 20 C
    {"etidronic-acid", "1", "serjeant2109", 1.7},  // 25 C, I = 0.1
    {"etidronic-acid", "2", "serjeant2109", 2.47},
    {"etidronic-acid", "3", "serjeant2109", 7.28},
    {"etidronic-acid", "4", "serjeant2109", 10.29},
    {"trisodium-dicarboxymethyl-alaninate", "1", "serjeant3793", 1.57},  // 20 C, I = 0.1
    {"trisodium-dicarboxymethyl-alaninate", "3", "serjeant3793", 10.47},
    {"tetrasodium-glutamate-diacetate", "3", "serjeant4831", 4.8},  // 20 C
    {"tetrasodium-glutamate-diacetate", "4", "serjeant4831", 9.66},
    {"ferulic-acid", "1", "serjeant4991", 4.58},  // 25 C
    {"ferulic-acid", "2", "serjeant4991", 9.39},
    {"resorcinol", "1", "serjeant2827", 9.32},       // 25 C, I = 0.1
    {"resorcinol", "2", "serjeant2827", 11.06},      // 22.5 C, I = 0.1
    {"acetyl-cysteine", "2", "serjeant2790", 9.52},  // 30 C, I = 0.3
    {"niacinamide", "1", "perrin1073", 3.328},       // 20 C, reliable
    {"diethanolamine", "1", "perrin122", 8.883},     // 25 C, reliable
};

class ConstantInPrint : public testing::TestWithParam<Constant> {};

TEST_P(ConstantInPrint, IsTheOneThatIsUsed) {
  const Constant& row = GetParam();
  const auto ix = Data().FindId(row.id);
  ASSERT_TRUE(ix);
  const kb::Fact* used = Data().Best(*ix, "pka", row.step);
  ASSERT_NE(used, nullptr);
  ASSERT_TRUE(used->number);
  EXPECT_DOUBLE_EQ(used->number->mid(), row.pka);
  EXPECT_EQ(Data().source(used->source).key, "iupac-pka");
  EXPECT_TRUE(std::string_view(used->at).substr(0, std::string_view(row.record).size()) == row.record)
      << used->at;
}

INSTANTIATE_TEST_SUITE_P(Iupac, ConstantInPrint, testing::ValuesIn(kConstants), [](const auto& row) {
  return TestName(fmt::format("{}_{}", row.param.id, row.param.step));
});

}  // namespace
}  // namespace checks
