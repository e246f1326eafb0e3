// The molar mass that each record prints against Open Babel, which weighs the atoms of the record's formula.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <stdio.h>  // popen is POSIX
#include <unistd.h>

#include <array>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "inventory.h"

namespace checks {
namespace {

using Atoms = std::map<std::string, int>;

// A reader of formulas of its own, so that a slip in the one that is checked cannot hide: symbols with whole numbers, round
// brackets one deep, parts joined by a dot with a number in front. nullopt where it meets anything else.
class FormulaReader {
 public:
  explicit FormulaReader(std::string_view text) : text_(text) {}

  std::optional<Atoms> Read() {
    Atoms all;
    while (at_ < text_.size()) {
      const int units = Number().value_or(1);
      if (!Part(units, all)) return std::nullopt;
      if (at_ < text_.size() && text_[at_++] != '.') return std::nullopt;
    }
    return all.empty() ? std::nullopt : std::optional(all);
  }

 private:
  bool Part(int units, Atoms& all) {
    while (at_ < text_.size() && text_[at_] != '.') {
      if (text_[at_] == '(') {
        ++at_;
        Atoms inner;
        while (at_ < text_.size() && text_[at_] != ')') {
          if (!Element(1, inner)) return false;
        }
        if (at_ == text_.size()) return false;
        ++at_;
        const int times = Number().value_or(1);
        for (const auto& [symbol, count] : inner) all[symbol] += units * times * count;
      } else if (!Element(units, all)) {
        return false;
      }
    }
    return true;
  }

  bool Element(int units, Atoms& all) {
    if (std::isupper(static_cast<unsigned char>(text_[at_])) == 0) return false;
    std::string symbol(1, text_[at_++]);
    if (at_ < text_.size() && std::islower(static_cast<unsigned char>(text_[at_])) != 0)
      symbol += text_[at_++];
    all[symbol] += units * Number().value_or(1);
    return true;
  }

  std::optional<int> Number() {
    std::optional<int> number;
    while (at_ < text_.size() && std::isdigit(static_cast<unsigned char>(text_[at_])) != 0)
      number = number.value_or(0) * 10 + (text_[at_++] - '0');
    return number;
  }

  std::string_view text_;
  std::size_t at_ = 0;
};

struct Row {
  std::string id, formula;
  Atoms atoms;
  std::vector<const kb::Fact*> masses;
};

std::vector<Row> Rows(std::string& unread) {
  std::vector<Row> rows;
  const kb::Catalogue& data = Data();
  for (kb::IngredientIx ix = 0; ix < data.ingredients().size(); ++ix) {
    const kb::Fact* formula = data.Best(ix, "formula");
    if (formula == nullptr) continue;
    const auto atoms = FormulaReader(formula->text).Read();
    if (!atoms) unread += fmt::format("  {}: {}\n", data.at(ix).id, formula->text);
    Row row{data.at(ix).id, formula->text, atoms.value_or(Atoms{}), {}};
    for (const kb::Fact& mass : data.Facts(ix, "molar_mass")) row.masses.push_back(&mass);
    if (atoms && !row.masses.empty()) rows.push_back(std::move(row));
  }
  return rows;
}

// The atoms side by side, none bound to another: "[C].[O].[O]".
std::string Smiles(const Atoms& atoms) {
  std::string smiles;
  for (const auto& [symbol, count] : atoms) {
    for (int i = 0; i < count; ++i) smiles += (smiles.empty() ? "[" : ".[") + symbol + "]";
  }
  return smiles;
}

// Id to molar mass, all in one run of the program.
std::map<std::string, double> Weighed(const std::vector<Row>& rows) {
  const std::string path = testing::TempDir() + fmt::format("stillroom-formulas-{}.smi", getpid());
  {
    std::ofstream file(path);
    for (const Row& row : rows) file << Smiles(row.atoms) << '\t' << row.id << '\n';
  }
  std::map<std::string, double> masses;
  if (FILE* pipe = popen(fmt::format("obabel -ismi '{}' -otxt --append MW 2>/dev/null", path).c_str(), "r")) {
    std::array<char, 512> line{};
    while (fgets(line.data(), line.size(), pipe) != nullptr) {
      std::istringstream words(line.data());
      std::string id;
      double mass = 0;
      if (words >> id >> mass) masses[id] = mass;
    }
    pclose(pipe);
  }
  std::remove(path.c_str());
  return masses;
}

// Half of the last digit as printed: 0.005 of "206.28".
double HalfOfLastDigit(std::string_view digits) {
  const std::size_t point = digits.find('.');
  return point == std::string_view::npos
             ? 0.5
             : 0.5 * std::pow(10, -static_cast<double>(digits.size() - point - 1));
}

// How far an atomic weight of ours, abridged to five figures (IUPAC 2021), may lie from Open Babel's, an older issue unabridged:
// 0.0005 for what is abridged to three decimals; 0.005 for sulfur, chlorine and boron, abridged to two; 0.02 for the rest,
// whose values were moved between the issues (zinc 0.01, selenium 0.011).
double WeightsDiffer(const Atoms& atoms) {
  double sum = 0;
  for (const auto& [symbol, count] : atoms) {
    double one = 0.02;
    if (symbol == "H" || symbol == "C" || symbol == "N" || symbol == "O" || symbol == "F" || symbol == "Na" ||
        symbol == "Mg" || symbol == "Al" || symbol == "Si" || symbol == "P" || symbol == "K")
      one = 0.0005;
    if (symbol == "S" || symbol == "Cl" || symbol == "B") one = 0.005;
    sum += one * count;
  }
  return sum;
}

TEST(MolarMassOfRecords, AgreesWithOpenBabel) {
  if (std::system("command -v obabel >/dev/null 2>&1") != 0)
    GTEST_SKIP() << "obabel (Debian package openbabel) is not installed";
  std::string unread;
  const std::vector<Row> rows = Rows(unread);
  EXPECT_EQ(unread, "") << "formulas that cannot be read";
  ASSERT_FALSE(rows.empty());
  const std::map<std::string, double> weighed = Weighed(rows);
  std::string wrong;
  std::size_t looked_at = 0;
  double worst = 0;
  std::string worst_id;
  for (const Row& row : rows) {
    const auto mass = weighed.find(row.id);
    if (mass == weighed.end()) {
      wrong += fmt::format("  {}: obabel gave nothing for {}\n", row.id, row.formula);
      continue;
    }
    constexpr double kSixFigures = 5e-6;  // obabel prints six figures
    for (const kb::Fact* fact : row.masses) {
      ++looked_at;
      const double tolerance =
          HalfOfLastDigit(fact->text) + WeightsDiffer(row.atoms) + kSixFigures * mass->second;
      const double off = fact->number->mid() - mass->second;
      if (std::abs(off) > std::abs(worst)) {
        worst = off;
        worst_id = row.id;
      }
      if (std::abs(off) > tolerance) {
        wrong += fmt::format("  {}: {} g/mol for {}, Open Babel {:.3f} (tolerance {:.3f})\n", row.id,
                             fact->text, row.formula, mass->second, tolerance);
      }
    }
  }
  fmt::print("Open Babel, molar mass of records: {} rows, worst {:+.3f} g/mol at {}\n", looked_at, worst,
             worst_id);
  EXPECT_TRUE(wrong.empty()) << '\n' << wrong;
}

}  // namespace
}  // namespace checks
