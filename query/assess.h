// Everything that follows from a formula. Pure: a catalogue and a formula in, plain values out.
//
// Every figure says what it rests on and what was missing; what is not known is absent, never zero. Topics and severities are
// the contract's words. Amounts are % of the whole by mass unless the name says otherwise.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"
#include "kb/formula.h"

namespace query {

enum class Severity { kStop, kWarn, kNote };
std::string_view SeverityName(Severity severity);  // "stop", "warn", "note"

// One thing to say about a formula, worded as advice.
struct Finding {
  Severity severity = Severity::kNote;
  std::string
      topic;  // preservation, ph, limit, conflict, heat, solubility, emulsion, claim, label, level, caution
  std::string key;     // the same for the same finding in two assessments, so that they can be compared
  std::string text;    // what is so, and why it matters
  std::string advice;  // what to do; may be empty
  std::vector<kb::IngredientIx> ingredients;
  std::vector<std::string> sources;  // keys of data/sources.toml, or the law's entry
};

// One substance of the formula, blends taken apart.
struct Substance {
  std::string inci;
  std::optional<kb::IngredientIx> record;  // where the base holds it
  double pct = 0;
  std::vector<std::size_t> lines;  // lines that bring it
};

struct PhaseTotal {
  std::string phase;
  std::string name;  // "heated water", "oil", "cool-down" ...: what its lines make of it
  double pct = 0;
};

// Sums over substances; a substance counts in each group that it belongs to.
struct Composition {
  double water = 0;
  double oils = 0;  // lipids that an emulsifier has to carry: oils, butters, waxes, esters, fatty alcohols
  double emulsifiers = 0;
  double humectants = 0;  // polyols, glycols, sugars and other humectants
  double surfactant_active = 0;
  double electrolytes = 0;  // salts, acids and bases by mass
  double alcohol = 0;       // ethanol and isopropanol
  double glycols = 0;       // propylene, butylene, pentylene glycol, propanediol, glycerin and kin
  double solids_dissolved = 0;
  std::vector<std::string> not_sorted;  // label names whose facts do not say what they are
};

struct EmulsionPart {
  std::size_t line = 0;
  double pct = 0;
  double hlb = 0;  // required, or provided
  std::string source;
};

struct Emulsion {
  bool applies = false;  // does HLB speak for this formula?
  std::string because;   // why, or why not
  std::optional<double> required_hlb;
  double covered_share = 0;  // of the oil phase, 0..1
  std::vector<std::string> not_covered;
  std::optional<double> provided_hlb;
  double provided_share = 0;  // of the emulsifiers, 0..1
  std::vector<EmulsionPart> required_parts, provided_parts;
  std::optional<double> emulsifier_to_oil;  // g/g
};

struct PhDriver {
  std::string name;
  double buffer_share = 0;  // 0..1
  double shift = 0;         // pH units by which the mixture's pH differs with and without it
};

struct PhEstimate {
  std::optional<double> estimate, low, high;  // of the whole's water, 25 C
  std::optional<double> used;  // the pH that windows are held against: the target where the file names one
  bool from_target = false;
  double ionic_strength = 0;   // mol/kg
  double buffer_capacity = 0;  // mol/kg per pH
  std::vector<PhDriver> drivers;
  std::vector<std::string> missing;  // acids, bases and salts whose constants are not known
  std::string because;
  // How to reach the target where the estimate misses it.
  struct Adjustment {
    std::string with;  // ingredient id
    double pct = 0;    // of the whole, as sold
    std::string text;
  };
  std::optional<Adjustment> adjust;
};

struct PreservativeState {
  std::size_t line = 0;
  std::string inci;
  double pct = 0;
  std::optional<double> active_share;  // undissociated at the pH used, 0..1
  std::optional<double>
      in_water_share;  // of it, free in the water phase after partition, 0..1; only where K is known
  std::string gram_positive, gram_negative, yeast, mould;  // rating at this pH and level; "" not known
  std::optional<kb::Range> window;                         // pH in which it preserves
  bool in_window = true;
  bool carried = false;  // it came along in another ingredient
  std::string remark;
};

struct Preservation {
  bool needed = false;  // is there water that can grow something?
  std::string because;
  bool covered = false;           // bacteria, yeast and mould each by something that works at this pH
  std::vector<std::string> gaps;  // gram_positive ...
  std::vector<PreservativeState> preservatives;
  bool chelator = false;
  std::optional<double> water_activity;  // at most, from the polyols
};

struct SolubilityNote {
  std::size_t line = 0;
  std::string where;    // water, oil
  std::string verdict;  // dissolves, borderline, does not dissolve, crystallises on cooling, not known
  double pct = 0;
  std::optional<double> limit_pct;  // most that surely dissolves at 25 C, % of the whole
  std::string text;
};

// One a phase, in their order.
struct HeatNote {
  std::string phase;
  bool heated = false;              // on purpose, alone or with the phase that it meets
  bool cool_down = false;           // goes in when the batch has cooled
  std::optional<double> reaches_c;  // temperature of a heated phase
  std::optional<double> needs_c, permits_c;
  std::vector<std::size_t> needs_lines, permits_lines;  // who sets them
  std::string text;
};

struct LabelAllergen {
  std::string inci;
  double pct_low = 0, pct_high = 0;
  double threshold = 0;
  std::vector<std::size_t> lines;
  std::string source;
};

struct Label {
  std::vector<std::string> inci;     // in order
  std::vector<double> pct;           // of each
  std::size_t one_percent_line = 0;  // entries before this index are above 1 %
  std::vector<LabelAllergen> allergens;
};

struct LimitUse {
  std::string substance;
  double pct = 0;  // as the limit counts it
  std::string expressed_as;
  std::optional<double> max_pct;
  std::string jurisdiction, annex, entry, scope, conditions, source, at;
  bool over = false, prohibited = false;
  bool binds = true;  // false: only where the product is used in a narrower way than it says
};

struct ClaimResult {
  std::string claim;
  std::string state;               // kept, broken, depends, not known
  std::vector<std::size_t> lines;  // who breaks it or leaves it open
  std::string because;
};

struct Assessment {
  double total_pct = 0;
  std::vector<PhaseTotal> phases;
  std::vector<Substance> substances;  // falling amount
  Composition composition;
  Emulsion emulsion;
  PhEstimate ph;
  Preservation preservation;
  std::vector<SolubilityNote> solubility;
  std::vector<HeatNote> heat;
  std::vector<LimitUse> limits;
  std::vector<ClaimResult> claims;
  Label label;
  std::optional<double> cost_per_kg;  // where a shelf knows all costs
  std::vector<Finding> findings;      // worst first
  std::vector<std::string> unknown;   // what could not be worked out, in sentences
};

// kForDiff leaves out what no difference shows and costs most: who drives the pH, the dose that adjusts it, and, where a target
// decides, how sure the estimate is.
enum class Depth { kFull, kForDiff };

Assessment Assess(const kb::Catalogue& catalogue, const kb::Formula& formula, Depth depth = Depth::kFull);

}  // namespace query
