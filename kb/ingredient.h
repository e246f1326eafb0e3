// An ingredient as the base holds it: names, functions, composition and facts.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "kb/definitions.h"

namespace kb {

using IngredientIx = std::uint32_t;
using PropertyIx = std::uint16_t;
using FunctionIx = std::uint16_t;
using SourceIx = std::uint16_t;

struct Range {
  double low = 0;
  double high = 0;
  double mid() const { return 0.5 * (low + high); }
  bool contains(double x) const { return low <= x && x <= high; }
};

// Who says a fact: the record itself, or a rule of its class or of one of its functions, which holds where the record says
// nothing; or it was worked out from other facts of the record.
enum class Basis : std::uint8_t { kRecord, kClass, kFunction, kComputed };

// One value of one property, with its source and its standing.
struct Fact {
  PropertyIx property = 0;
  std::string key;  // which one: a fatty acid, a kingdom, a step; "" where the property has none
  std::optional<Range>
      number;            // numbers, low == high for a single value; of a choice that is a scale, its step
  std::string text;      // choices and texts; for numbers the digits as printed
  std::string context;   // when it holds: leave-on, typical, "1 %" ...
  std::string function;  // id of the function that it holds for; "" for all
  std::optional<double> at_c;  // temperature that it was taken at, C
  SourceIx source = 0;
  std::string at;    // page, table, row in the source
  std::string note;  // free text
  Standing standing = Standing::kMemory;
  Basis basis = Basis::kRecord;
};

struct Component {
  std::optional<IngredientIx> ingredient;  // a record of ours
  std::string inci;                        // its label name (also where there is no record)
  double pct = 0;                          // share by mass in the parent, %
  SourceIx source = 0;
};

struct Ingredient {
  std::string id;                        // never changes; equals the file's name
  std::string inci;                      // label name; a blend's parts joined by ", "
  std::string name;                      // common English name
  std::vector<std::string> also;         // other names and abbreviations
  std::vector<std::string> label_names;  // in other languages
  std::vector<std::string> cas, ec;
  std::vector<FunctionIx> functions;   // the main one first
  std::vector<Component> composition;  // empty: one substance
  std::vector<Fact> facts;  // sorted by property, then by trust, then as written; of a base: Catalogue::Facts
};

}  // namespace kb
