// Where an ingredient goes in, and how: for one that the base knows, and for a stranger that a few facts describe.
//
// Pure: catalogue and question in, plain values out. Evidence for and against each position is weighed as log-odds by the
// rules of data/placing.toml; some rules rule a position out, whatever else speaks for it. The record's own usual position is
// evidence like any other, and never comes above a rule that rules out.
//
// Held by the answer, whatever the facts: max_c is never above the lowest temperature that the ingredient is stated to stand;
// what does not dissolve at its level in the water that is there is not told to dissolve in it; a fact more can lower the
// confidence only by evidence that `because` or `against` then shows.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/catalogue.h"
#include "kb/formula.h"

namespace query {

enum class Position : std::uint8_t {
  kHeatedWater,
  kHeatedOil,
  kCoolDown,
  kCoolDownWater,  // dissolved apart in water held back, added to the cooled batch; or into cold water
  kDisperseInOil,
  kDisperseInGlycol,  // dissolved or wetted in it first
  kSlurry,            // rubbed to a smooth paste or wetted out first
};
inline constexpr std::size_t kPositionCount = 7;
inline constexpr std::array<Position, kPositionCount> kPositions = {
    Position::kHeatedWater,   Position::kHeatedOil,        Position::kCoolDown, Position::kCoolDownWater,
    Position::kDisperseInOil, Position::kDisperseInGlycol, Position::kSlurry};

std::string_view PositionId(Position position);     // "heated-water" ..., the contract's words
std::string_view PositionWords(Position position);  // "heated water phase" ..., for people
// Does it see the heat of the hot phases?
bool IsHeated(Position position);

// The batch that the ingredient goes into. Amounts in % of the whole.
//
// `process_c` is what the hot phases are brought to at most, C; nullopt where nothing is heated. They reach five degrees less at
// least: what the lines that need heat ask for, and 70 C in an emulsion, the usual hold (common practice).
struct Room {
  double water = 0;
  double oil = 0;     // oils, butters, waxes, esters, silicones
  double glycol = 0;  // glycols, glycerin and kin
  double surfactant = 0;
  double electrolyte = 0;
  std::optional<double> process_c;
  std::optional<kb::IngredientIx> most_glycol;  // the largest line of glycol, glycerin and kin
  double most_glycol_pct = 0;
  kb::Kind kind;
};
// `without`: its own need for heat does not count.
Room RoomOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
            std::optional<kb::IngredientIx> without = std::nullopt);

// One thing known about an ingredient: a property of data/properties.toml, or `function`.
struct Trait {
  std::string property;
  std::vector<std::string> choices;  // first the most trusted
  std::optional<double> number;      // for a range the end that is on the careful side, else the middle
  std::optional<double> at_c;
  std::string from;  // for people: "its record, common practice", "as described", "an estimate from ..."
};
using Traits = std::vector<Trait>;

Traits TraitsOf(const kb::Catalogue& catalogue, kb::IngredientIx ix);

struct PlaceQuestion {
  std::optional<kb::IngredientIx> ingredient;
  Traits described;  // of a stranger; beside an ingredient they come before its record
  std::string what;  // name of a stranger, for people
  kb::Formula formula;
  std::string setting;          // what the formula is, for people
  std::optional<double> level;  // % of the whole; absent: its line in the formula, else a usual level
  // The formula is a maker's, and where it has the ingredient counts: it stays there where it may (query/place_making.h). Else
  // the formula is a batch like another.
  bool as_it_stands = false;
  std::vector<std::string> remarks;  // said under `watch`: what could not be worked out
};

struct SecondPlace {
  Position position = Position::kCoolDown;
  std::string because;
  double share = 0;  // 0..1
};

struct BenchAsk {
  std::string fact;
  std::string bench_test;
  std::vector<std::string> results;  // what may be seen, each with the words for --described
  double bits = 0;                   // expected fall of the entropy over the positions
};

struct Placement {
  std::string what;
  std::optional<kb::IngredientIx> ingredient;
  double level_pct = 0;
  std::string level_because;
  Position position = Position::kCoolDown;
  std::string where;   // the position for people, in this batch: "heated water phase", "water phase, no heat"
  std::string brief;   // what to do with it in a few words; "" where it goes in with the others
  bool apart = false;  // that is work of its own, before it meets the others
  int order = 2;  // within its phase: 0 water, 1 chelators, 2 with the others, 3 apart, 4 by drops, 5 last
  double held_back_g = 0;  // water that is kept for it, g
  std::string how;         // what to do in sentences, with amounts
  std::string hint;        // and what to heed then, which is the same for all of its kind
  std::string moves;   // where it has to go instead of where the formula has it; "" where it stands rightly
  std::string method;  // how, and what to see when it is right and when not
  double min_c = 20, max_c = 40;     // window of the advised position, C
  std::optional<double> stands_c;    // lowest stated maximum
  std::vector<std::string> because;  // evidence for the position, strongest first
  std::vector<std::string> against;  // evidence for other positions
  std::vector<std::string> watch;
  std::vector<SecondPlace> second;
  std::vector<BenchAsk> ask;  // most informative first
  double confidence = 0;      // 0..1
  std::array<double, kPositionCount> shares{};
  bool fits = true;                  // false: nothing in this batch takes it; `watch` says so
  std::vector<std::string> sources;  // keys
};

enum class PlaceDepth : std::uint8_t { kFull, kWithoutTests };  // the tests to ask for cost most

Placement Place(const kb::Catalogue& catalogue, const PlaceQuestion& question,
                PlaceDepth depth = PlaceDepth::kFull);

// Each line of a maker's formula as it stands, in the order of the lines, without tests to ask for. Amounts are told for a
// batch of so many grams.
std::vector<Placement> PlaceAll(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                double batch_g = 100);

// --- what a maker types about a stranger: place_stranger.cc ---

struct TraitTrouble {
  std::string what, where, expected;
  std::vector<std::string> nearest;
};
// Reads "form=powder", "water_g_per_l=5@25", "melting_c=107-117", "oil=yes"; see DescriptionKeys. Keys and words are those of the
// catalogue's properties, `function`, `name`, and the short forms `oil`, `water`, `glycol`, `ethanol`, `liquid`, `polymer`.
tl::expected<Trait, TraitTrouble> ReadTrait(const kb::Catalogue& catalogue, std::string_view text);
std::vector<std::string> DescriptionKeys(const kb::Catalogue& catalogue);

}  // namespace query
