#pragma once

#include <gtest/gtest.h>

#include <initializer_list>
#include <ostream>
#include <string>
#include <vector>

#include "deviation.h"
#include "kb/chemistry/acid_base.h"

// Acids with the source of their pKa values (25 C, zero ionic strength), and the mixing of stock solutions,
// for the checks against published buffers.

namespace checks {

using kb::chemistry::Solute;
using kb::chemistry::SolvePh;
using kb::chemistry::StrongIon;

struct Acid {
  const char* name;
  int charge;  // of the fully protonated species
  std::vector<double> pka;
};

// USGS PHREEQC, database minteq.v4: stepwise differences of its cumulative constants (NIST Database 46).
inline const Acid kCitric{"citric acid", 0, {3.128, 4.761, 6.396}};
inline const Acid kPhosphoric{"phosphoric acid", 0, {2.148, 7.198, 12.375}};
inline const Acid kAcetic{"acetic acid", 0, {4.757}};
inline const Acid kCarbonic{"carbon dioxide", 0, {6.352, 10.329}};
inline const Acid kBoric{"boric acid", 0, {9.236}};
inline const Acid kAmmonium{"ammonium", 1, {9.244}};
// An open table of over 100 organic acids, seen.
inline const Acid kTartaric{"tartaric acid", 0, {2.98, 4.34}};
inline const Acid kOxalic{"oxalic acid", 0, {1.27, 4.26}};
inline const Acid kLactic{"lactic acid", 0, {3.86}};
inline const Acid kMalic{"malic acid", 0, {3.40, 5.20}};
inline const Acid kSuccinic{"succinic acid", 0, {4.21, 5.64}};
inline const Acid kFormic{"formic acid", 0, {3.75}};
// Handbook of Pharmaceutical Excipients, 6th ed. 2009.
inline const Acid kAdipic{"adipic acid", 0, {4.418, 5.412}};
// A general chemistry appendix (acid constants at 25 C).
inline const Acid kBenzoic{"benzoic acid", 0, {4.204}};
// A teaching page of acid constants; 4.04 and 4.17 are printed too.
inline const Acid kAscorbic{"ascorbic acid", 0, {4.1, 11.8}};
// A public buffer table citing CRC and Goldberg et al. 2002.
inline const Acid kTris{"tromethamine", 1, {8.06}};
inline const Acid kTea{"triethanolamine", 1, {7.76}};
// From memory: salicylic after CRC; phthalic after Hamer, Pinching and Acree, J. Res. NBS 35 (1945) 381 and
// 539 (a web page seen gives 2.95 and 5.41).
inline const Acid kSalicylic{"salicylic acid", 0, {2.98, 13.6}};
inline const Acid kPhthalic{"phthalic acid", 0, {2.950, 5.408}};

// With the doubt of 0.1 in each pKa that callers get by default: it widens the band and moves no pH.
// mol per litre, taken as mol per kg of water. At 0.1 to 0.2 mol/L the two differ by 1 to 2 %, which moves no
// pH here by more than 0.008 (strong acid: log10 of 1.02).
inline Solute Of(const Acid& acid, double concentration, std::vector<StrongIon> ions = {}) {
  return {acid.name, concentration, acid.charge, acid.pka, std::move(ions), 0.1};
}
inline Solute Strong(const char* name, double concentration, std::vector<StrongIon> ions) {
  return {name, concentration, 0, {}, std::move(ions), 0};
}

struct Portion {
  std::vector<Solute> stock;
  double millilitres;
};

// Portions poured together and made up to a volume.
inline std::vector<Solute> Mixed(std::initializer_list<Portion> portions, double to_millilitres) {
  std::vector<Solute> mixture;
  for (const Portion& portion : portions) {
    for (Solute solute : portion.stock) {
      solute.molality *= portion.millilitres / to_millilitres;
      mixture.push_back(solute);
    }
  }
  return mixture;
}

// What a computed pH may differ from a measured one by what kb/chemistry/acid_base.h and activity.h claim,
// simply added up (their band adds in quadrature and is a standard uncertainty).
//   0.02                  convention of the pH scale
//   pka_doubt             spread of the printed pKa values
//   squares (0.0024 + 0.062 I)   Davies: 2 % of gamma at 0.1 and 8 % at 0.5 mol/kg, times the difference of
//                         z^2 across the step at work (acid to anion 1, -1 to -2 3, -2 to -3 5)
constexpr double StatedTrust(double pka_doubt, int squares, double ionic_strength) {
  return 0.02 + pka_doubt + squares * (0.0024 + 0.062 * ionic_strength);
}

// print  half of the last printed digit (and what rounded volumes do to it), already part of `tolerance`; the band
//        that the answer claims is widened by it before the print is looked for inside
inline void ExpectPh(const std::string& table, const std::string& row, const std::vector<Solute>& mixture,
                     double printed, double tolerance, double print) {
  const auto solution = SolvePh(mixture);
  ASSERT_TRUE(solution.has_value()) << solution.error().what;
  ExpectPrinted(table, row, solution->ph, printed, tolerance, "pH");
  CountBand(table, printed, solution->ph_low - print, solution->ph_high + print);
}

// A printed table of two stock solutions.
struct BufferRow {
  const char* row;
  double first_ml, second_ml, ph;
  friend void PrintTo(const BufferRow& row, std::ostream* out) { *out << row.row; }
};
class BufferTable : public testing::TestWithParam<BufferRow> {};
inline constexpr auto kRowName = [](const auto& any) { return std::string(any.param.row); };

}  // namespace checks
