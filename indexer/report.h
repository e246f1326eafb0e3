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
  Standings all;          // the three together
  Standings claims;       // numbers of ingredients whose property counts as a figure
  Standings limits;       // limits with a greatest level
  Standings composition;  // shares of blends and solutions
};

struct Report {
  Counts counts;
  Standings numeric;  // every number that an ingredient claims: figures, advice and judgements
  Standings all;      // every claim of an ingredient
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
