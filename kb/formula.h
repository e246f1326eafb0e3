// Formulas: reading the file that a spreadsheet writes, and the formula with its ingredients found.
//
// The file: comma, semicolon or tab separated text in UTF-8, with `# key: value` lines on top.
//
//   # name: Allotment hand cream
//   # kind: leave-on emulsion o/w
//   # target pH: 5.2
//   phase,ingredient,percent
//   A,Water,q.s.
//   A,Glycerin,5
//
// Further lines: `# used as: body lotion`, `# keep: vegan, palm-free`; any other `#` line is a remark.
//
// Taken as well: a byte-order mark, CRLF, decimal commas, `%` signs, quoted cells, columns in another order
// and further columns (left alone). One line may be q.s. (also `qs`, `to 100`, `ad 100`, `balance`).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/catalogue.h"
#include "kb/product.h"

namespace kb {

// One thing that is wrong with a file, as a person wants to read it.
struct Complaint {
  std::size_t line = 0;              // from 1; 0: the file as a whole
  std::size_t column = 0;            // from 1, in bytes
  std::string what;                  // what is wrong
  std::string expected;              // what was expected there
  std::vector<std::string> nearest;  // the nearest words that we know
  std::string shown;                 // the line itself
};

struct FormulaLine {
  std::size_t phase = 0;  // index into Formula::phases
  IngredientIx ingredient = 0;
  double pct = 0;          // of the whole, by mass; worked out for the q.s. line
  bool rest = false;       // q.s.
  std::string written;     // the name as written
  bool corrected = false;  // the name was misspelt and taken for the nearest
};

struct Formula {
  std::string name;
  Kind kind;
  std::string used_as;  // "body lotion": narrower than the kind, where the law asks for it; may be empty
  std::optional<double> target_ph;
  std::vector<std::string> keep;    // claims that the maker wants to keep
  std::vector<std::string> phases;  // letters or names, in order
  std::vector<FormulaLine> lines;

  // Index of the line that takes up differences: the q.s. line, else the largest line of water, else nullopt.
  std::optional<std::size_t> BalanceLine(const Catalogue& catalogue) const;
};

inline constexpr std::size_t kLargestFormulaFile = 1 << 20;  // bytes; a formula of a thousand lines is 50 kB
inline constexpr double kTotalTolerance = 0.05;  // %, how far a total may be from 100: rounding in print

// Reads a formula and finds its ingredients. All complaints at once. A misspelt name is a complaint with the
// nearest names, never a guess: a wrong ingredient weighed out is worse than a question. `fallback_kind`
// serves where the file has no kind line.
tl::expected<Formula, std::vector<Complaint>> ReadFormula(const Catalogue& catalogue, std::string_view text,
                                                          std::optional<Kind> fallback_kind = std::nullopt);

// The formula as a file that ReadFormula takes, comma separated.
std::string WriteFormula(const Catalogue& catalogue, const Formula& formula);

}  // namespace kb
