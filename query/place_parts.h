// What the files of `place` share; nobody else includes it.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "query/place.h"

namespace query::placing {

inline constexpr double kRoomC = 25;   // C
inline constexpr double kBenchC = 20;  // C: least temperature of an unheated workplace
inline constexpr double kCoolC =
    40;  // C: highest temperature of the additions to the cooled batch; common practice

// `from` of a trait that follows from another one.
inline constexpr std::string_view kImplied = "from its solubility";

// Everything known about an ingredient in a batch, with what follows from it (kb/placing.h) appended as further traits.
struct Case {
  const kb::Catalogue& catalogue;
  Traits traits;
  Room room;
  double level = 1;  // % of the whole
};

const Trait* Find(const Traits& traits, std::string_view property);
std::string_view ChoiceOf(const Traits& traits, std::string_view property);  // "" where unknown
bool Says(const Traits& traits, std::string_view property, std::string_view choice);
bool SaysAny(const Traits& traits, std::string_view property, std::span<const std::string_view> choices);
std::optional<double> NumberOf(const Traits& traits, std::string_view property);
bool IsSolid(const Traits& traits);

// The case with what follows from the traits.
Case MakeCase(const kb::Catalogue& catalogue, Traits traits, const Room& room, double level);

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
  std::array<double, kPositionCount> share{};  // sums to 1
  Position best = Position::kCoolDown;
};

Weighing Weigh(const Case& given);

bool Holds(const Case& given, const std::vector<kb::PlacingTerm>& terms);
// The text with {name} replaced by the value of that trait or figure.
std::string Filled(const Case& given, std::string_view text);
std::string Figure(double value);

// The window of a position for this case: never above what the ingredient is stated to stand.
struct Window {
  double min_c = kBenchC, max_c = kCoolC;
};
Window WindowOf(const Case& given, Position position);

// How to do it, in sentences.
std::string MethodOf(const Case& given, const Weighing& weighing, Position position, const Window& window);
void AddWatch(const Case& given, const Weighing& weighing, Position position, Placement& out);

// Which tests tell most about the positions still open.
std::vector<BenchAsk> TestsToAsk(const Case& given, const Weighing& weighing);

}  // namespace query::placing
