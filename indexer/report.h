// How well the data is covered: which facts members of a function hold, and how far the figures can be
// trusted.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "indexer/manifest.h"
#include "kb/catalogue.h"

namespace indexer {

// Claims by standing, in the order of kb::Standing.
struct Standings {
  std::array<std::size_t, 5> count{};
  std::size_t total() const;
  double share(kb::Standing standing) const;  // 0..1; 0 where there are none
};

// One property that a function asks of its members.
struct Asked {
  std::string property;
  bool required = false;             // else wanted
  std::size_t held = 0;              // members with at least one claim of it
  std::vector<std::string> missing;  // ids of the others
};

struct FunctionReport {
  std::string id;
  std::size_t members = 0;
  std::size_t main_for = 0;  // members whose main function it is
  std::vector<Asked> asked;
};

struct PropertyReport {
  std::string id, group;
  std::size_t ingredients = 0;  // with at least one claim
  Standings claims;
};

// Figures: what was measured, or is defined by law or structure. Besides claims of ingredients these are the greatest levels
// of data/limits.toml and the shares of blends and solutions; each has a source and so a standing.
struct Figures {
  Standings all;     // the three together
  Standings claims;  // numbers of ingredients whose property counts as a figure
  Standings limits;  // limits with a greatest level
  Standings
      composition;  // shares of blends and solutions; the share that makes a sum of 100 is no claim, nor one that
                    // is in the name
  std::size_t named = 0;         // shares that are in the name
  std::size_t from_formula = 0;  // published claims that are molar masses worked out from a formula
};

// Numeric claims of a blend that repeat one of a part of it, from the same source. They are counted like any other.
struct Repeats {
  std::size_t claims = 0, published = 0;
};

// Claims that are rules of a class or a function: each is counted once.
struct Rules {
  std::size_t rules = 0;   // numbers
  std::size_t served = 0;  // facts of members that they give
};

struct Report {
  Counts counts;
  Standings
      numbers;  // every numeric claim: figures (with limits and shares of blends), advice and judgements
  Rules rules;
  Repeats repeats;
  std::size_t computed = 0;  // facts that follow from others, and are no claims
  Standings numeric;         // of these the numbers that ingredients, classes and functions claim
  Standings all;             // every claim, words too
  Figures figures;
  Standings advice;      // numbers of ingredients on what to do: levels, heat, windows of pH
  Standings judgements;  // numbers of ingredients that are opinions of ours
  std::vector<FunctionReport> functions;
  std::vector<PropertyReport> properties;
};

Report MakeReport(const kb::Catalogue& catalogue);

std::string ReportText(const Report& report);
std::string ReportJson(const Report& report);  // one document

}  // namespace indexer
