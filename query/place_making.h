// The making of one formula: what each phase is, and where each of its lines goes in. Decided here, once, from the placing of
// every line in its own batch; `place`, `check` and `weigh` all say what this says.
//
// Each line is weighed by itself first, as if it stood nowhere. From that follows what each phase is: heated to what its lines
// need, a cool-down where most of what it holds goes in late and a hot phase comes before it, else cold. A line then goes in
// where it stands, if a position that serves it is there; otherwise it stands wrongly and `standing` says how.
//
// Pure. Temperatures in C, amounts in % of the whole. Thresholds are common practice unless said otherwise.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "query/place.h"

namespace query {

inline constexpr double kBenchC = 20;        // least temperature of an unheated workplace
inline constexpr double kCoolC = 40;         // highest temperature of the additions to the cooled batch
inline constexpr double kUsualHoldLow = 70;  // the usual hold of hot phases is 70 to 75 C
inline constexpr double kAbove = 5;  // above what is needed, so that the whole phase surely gets there

struct Window {
  double min_c = kBenchC, max_c = kCoolC;
};
// "70 to 75 C", "70 C"
std::string Celsius(const Window& window);

struct PhaseMaking {
  bool oil = false;                         // by the weight of its lines; else it is of water
  bool dry = false;                         // powders in a product without water
  bool heated = false;                      // on purpose, alone or with the phase that it meets
  bool cool_down = false;                   // goes in when the batch has cooled
  bool late = false;                        // most of it goes in last, though nothing was heated before it
  std::optional<double> needs_c, stands_c;  // greatest need and lowest stated maximum of its lines
  Window window;                            // what a heated phase is brought to; else where it is added
  std::vector<std::size_t> needs_lines, stands_lines;  // who sets needs_c and stands_c
};
// "heated water", "oil", "cool-down" ...
std::string PhaseWords(const PhaseMaking& phase);
// A position in that phase, for people: "heated water phase", "oil phase, no heat" ...
std::string PlaceWords(const PhaseMaking& phase, Position position);

enum class Standing : std::uint8_t {
  kRight,
  kTooHot,     // it stands less than its phase is heated to
  kTooCool,    // it has to be heated, and its phase is not
  kTooEarly,   // it goes in late, and its phase is heated
  kOtherSide,  // it goes into the other phase that is heated
};

struct LineMaking {
  Position position = Position::kCoolDown;
  Window window;
  Standing standing = Standing::kRight;
  std::optional<double> needs_c, stands_c;  // to melt, hydrate or dissolve; lowest stated maximum
  bool stays_hot = false;  // too hot, but it goes into that phase all the same: when that has cooled
};

// What placing found about a line by itself.
struct LineFacts {
  Position best = Position::kCoolDown;
  std::array<double, kPositionCount> share{};
  std::array<bool, kPositionCount> serves{};  // the best, or one that the answer names as second
  std::array<bool, kPositionCount> out{};     // ruled out
  std::optional<double> needs_c, stands_c;
  bool oily = false;  // of the oils, wherever it goes in
  bool late = false;  // usual, or best, when the batch has cooled
  bool liquid = false, powder = false;
  bool mixes_cold = false;  // a liquid, or it dissolves in the water that is there at 25 C
};

struct Making {
  std::vector<PhaseMaking> phases;
  std::vector<LineMaking> lines;
  std::vector<Room> rooms;  // of each line
  bool heats = false;       // is anything heated?
  bool hot_water = false, hot_oil = false;
};

Making MakingOf(const kb::Catalogue& catalogue, const kb::Formula& formula);

// The place of a line in a phase, by what is known of it.
LineMaking Settle(const LineFacts& facts, const Room& room, const PhaseMaking& phase, const Making& making);

// What to say of a line that stands wrongly; nullopt for one that does not.
struct Misplaced {
  std::string text, advice;
  bool grave = true;               // more than a matter of a shorter hold
  const kb::Fact* fact = nullptr;  // that it rests on; may be nullptr
};
std::optional<Misplaced> MisplacedLine(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                       const Making& making, std::size_t line);

}  // namespace query
