// Estimates from a structure, by a chemistry toolkit where the machine has one (Open Babel's `obabel` on the PATH).
//
// This asks another program and so is no part of the pure answers: the command line and the server call it and hand the estimates
// to `Place` as facts. The program is run by itself, without a shell, without input, with a time limit, and only on text that
// can be a SMILES.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>

namespace query {

struct StructureEstimate {
  double log_p =
      0;  // octanol-water, neutral form; atom contributions after Wildman and Crippen 1999: within about 0.7
  double molar_mass = 0;  // g/mol
  int charge = 0;         // net charge at the pH asked for, by the toolkit's table of typical pKa values
};

enum class StructureTrouble { kNoToolkit, kNotSmiles, kNoAnswer };

struct StructureRefusal {
  StructureTrouble why = StructureTrouble::kNoAnswer;
  std::string text;  // for people
};

inline constexpr std::size_t kLongestSmiles = 400;

// Can the text be a SMILES: not empty, not too long, only its letters and signs?
bool MayBeSmiles(std::string_view smiles);

// pH 0..14. Takes a few tenths of a second, at most six seconds.
tl::expected<StructureEstimate, StructureRefusal> EstimateFromSmiles(std::string_view smiles, double ph);

}  // namespace query
