// What the files of `place` share; nobody else includes it.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "query/place.h"
#include "query/place_making.h"

namespace query::placing {

using query::Window;

inline constexpr double kRoomC = 25;  // C

// Names under which something may be known, in the order of the alphabet; rules may ask for further properties (Rulebook).
enum class Name : std::uint8_t {
  kAbsorbsOil,
  kCharge,
  kClass,
  kDissolving,
  kElectrolyte,
  kFamily,
  kForm,
  kFunction,
  kHeated,
  kHowIn,
  kInEthanol,
  kInGlycol,
  kInOil,
  kInWater,
  kKeeps,
  kKind,
  kLogP,
  kLumps,
  kMaxC,
  kMeltingC,
  kMelts,
  kMolarMass,
  kNeeds,
  kNeedsC,
  kNeutralise,
  kPhase,
  kPolymer,
  kShear,
  kSolution,
  kStands,
  kStaysOn,
  kWaterClass,
  kWaterGPerL
};
inline constexpr std::size_t kNameCount = 33;
inline constexpr std::size_t kMostNames = 64;
inline constexpr std::uint8_t kNoName = 255;

// The rules with their names resolved, for as many weighings as are to be done with one catalogue.
class Rulebook {
 public:
  explicit Rulebook(const kb::Catalogue& catalogue);
  const kb::Placing& placing() const { return placing_; }
  std::uint8_t NumberOf(std::string_view name) const;  // kNoName: no rule asks for it
  std::uint8_t NumberOf(kb::PropertyIx property) const { return by_property_[property]; }
  // Of the terms of all rules, one after the other.
  std::span<const std::uint8_t> terms() const { return terms_; }
  bool asks_family() const { return asks_family_; }

 private:
  void Take(const std::vector<kb::PlacingTerm>& terms);

  const kb::Placing& placing_;
  std::vector<std::string_view> further_;
  std::vector<std::uint8_t> terms_, by_property_;
  bool asks_family_ = false;  // few do, and it costs a look-up
};

// What is known of an ingredient under each name. Holds views: what it was filled from has to outlive it.
class Known {
 public:
  struct Entry {
    std::uint16_t first = 0, count = 0;  // its choices, the most trusted first
    bool known = false;
    std::optional<double> number;
  };
  struct Figure {
    double number = 0;
    std::optional<double> at_c;
  };

  const Entry& At(std::uint8_t name) const { return entries_[name]; }
  std::span<const std::string_view> Choices(const Entry& entry) const {
    return std::span(choices_).subspan(entry.first, entry.count);
  }
  std::span<const Figure> water_figures() const { return water_figures_; }
  void Reserve() { choices_.reserve(32); }
  // Choices of one name follow one another.
  void AddChoice(std::uint8_t name, std::string_view choice);
  void AddNumber(std::uint8_t name, double number, std::optional<double> at_c = std::nullopt);

 private:
  std::array<Entry, kMostNames> entries_{};
  std::vector<std::string_view> choices_;
  std::vector<Figure> water_figures_;
};

// Everything known about an ingredient in a batch, with what follows from it (kb/placing.h).
struct Case {
  const kb::Catalogue& catalogue;
  const Rulebook& rules;
  Traits traits;  // with words alone: what `known` was filled from
  Known known;
  Room room;
  double level = 1;                    // % of the whole
  double batch_g = 100;                // g, for which amounts are told
  const PhaseMaking* phase = nullptr;  // where it stands in a maker's formula
  // What is known of its solubility says nothing here: it disperses or swells, or dissolves as its salt.
  bool solubility_aside = false;
  bool estimate_aside = false;  // neither does an estimate from log P: what it does in water is known

  Case(const kb::Catalogue& its_catalogue, const Rulebook& its_rules, const Room& its_room, double its_level)
      : catalogue(its_catalogue), rules(its_rules), room(its_room), level(its_level) {}
  Case(Case&&) = default;
  Case(const Case&) = delete;
  Case& operator=(const Case&) = delete;
  Case& operator=(Case&&) = delete;
  ~Case() = default;
};

// From traits, or from a record as it is, without the words that say where each fact comes from: where nobody will read them.
Case MakeCase(const kb::Catalogue& catalogue, const Rulebook& rules, Traits traits, const Room& room,
              double level);
Case MakeCase(const kb::Catalogue& catalogue, const Rulebook& rules, kb::IngredientIx ix, const Room& room,
              double level);

const Trait* Find(const Traits& traits, std::string_view property);

bool Knows(const Case& given, Name name);
std::string_view ChoiceOf(const Case& given, Name name);  // "" where unknown
bool Says(const Case& given, Name name, std::string_view choice);
bool SaysAny(const Case& given, Name name, std::span<const std::string_view> choices);
std::optional<double> NumberOf(const Case& given, Name name);
bool IsSolid(const Case& given);
bool IsLiquid(const Case& given);
bool IsWater(const Case& given);
bool Swells(const Case& given);  // in water, to a gel or to lumps
bool DissolvesInWater(const Case& given);
bool DissolvesInOil(const Case& given);  // in all, or in polar ones
bool NeedsBase(const Case& given);       // an acid that dissolves only as its salt

enum class Words : std::uint8_t { kWith, kWithout };

// One rule that holds, or the usual position of the record.
struct Evidence {
  const kb::PlacingRule* rule = nullptr;  // nullptr: the usual position
  std::string says;
  std::array<double, kPositionCount> weights{};
  std::array<bool, kPositionCount> out{};
};

struct Weighing {
  std::vector<Evidence> evidence;
  std::array<double, kPositionCount> score{};
  std::array<bool, kPositionCount> out{};
  std::array<bool, kPositionCount> usual{};    // named by the record or the description
  std::array<double, kPositionCount> share{};  // sums to 1
  Position best = Position::kCoolDown;
};

// Without words the evidence stays empty; the figures are the same.
Weighing Weigh(const Case& given, Words words = Words::kWith);

bool Holds(const Case& given, const std::vector<kb::PlacingTerm>& terms);
// The text with {name} replaced by the value of that trait or figure.
std::string Filled(const Case& given, std::string_view text);
std::string Figure(double value);

// The window of a position in a batch: never above what the ingredient is stated to stand.
Window WindowOf(const Room& room, std::optional<double> needs_c, std::optional<double> stands_c,
                Position position);

// May the answer name the position as one that serves too?
bool MayServe(const Weighing& weighing, Position position);

LineFacts FactsOf(const Case& given, const Weighing& weighing);

// One way to put it in: in a few words, in sentences, and whether it asks for work of its own before it meets the others.
struct Way {
  std::string brief, how;
  bool apart = false;
  double held_back = 0;  // water kept for it, % of the batch
};
Way WayOf(const Case& given, Position position, const Window& window);
// Place within its phase, as Placement::order counts.
int OrderOf(const Case& given, const Way& way);

// How to do it: fills brief, how and method.
void AddMethod(const Case& given, const Weighing& weighing, Placement& out);
void AddWatch(const Case& given, const Weighing& weighing, Position position, Placement& out);

// Which tests tell most about the positions still open.
std::vector<BenchAsk> TestsToAsk(const Case& given, const Weighing& weighing);

}  // namespace query::placing
