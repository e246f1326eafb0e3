#include "query/place_making.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/derived.h"
#include "query/assess_say.h"
#include "query/facts.h"
#include "query/place_parts.h"

namespace query {
namespace {

using placing::Weighing;
using placing::Words;

constexpr double kSlack = 5;    // C: an overheating of less is a matter of a shorter hold; ours
constexpr double kNoWater = 1;  // % of water below which a product is dry

std::size_t At(Position position) {
  return static_cast<std::size_t>(position);
}

bool IsLate(Position position) {
  return position == Position::kCoolDown || position == Position::kCoolDownWater;
}

bool IsOily(Position position) {
  return position == Position::kHeatedOil || position == Position::kDisperseInOil;
}

// What the lines bring to the batch, summed once, and the two greatest needs for heat: a line's own does not count for itself.
class Batch {
 public:
  Batch(const kb::Catalogue& catalogue, const kb::Formula& formula) {
    room_.kind = formula.kind;
    for (const kb::FormulaLine& line : formula.lines) Add(catalogue, line);
  }

  Room RoomOf(std::optional<kb::IngredientIx> without) const {
    Room room = room_;
    const double needs = without && without == neediest_ ? second_need_ : greatest_need_;
    if (needs <= 0) return room;
    const bool held = kb::IsEmulsion(room.kind.form);
    room.process_c = (held ? std::max(needs, kUsualHoldLow) : needs) + kAbove;
    return room;
  }

 private:
  void Add(const kb::Catalogue& catalogue, const kb::FormulaLine& line) {
    const kb::IngredientIx ix = line.ingredient;
    const std::string_view what = catalogue.Choice(ix, "class");
    room_.water += line.pct * WaterShare(catalogue, ix);
    if (IsLipid(catalogue, ix)) room_.oil += line.pct;
    if (what == "glycol" || what == "polyol" || what == "alkanediol") {
      room_.glycol += line.pct;
      if (line.pct > room_.most_glycol_pct) room_.most_glycol = ix, room_.most_glycol_pct = line.pct;
    }
    if (what == "inorganic-salt" || what == "organic-acid-salt" || what == "hygroscopic-salt" ||
        what == "inorganic-base")
      room_.electrolyte += line.pct;
    if (parts::HasAny(catalogue, ix, {"surfactant-anionic", "surfactant-amphoteric", "surfactant-nonionic"}))
      room_.surfactant += line.pct * ActiveShare(catalogue, ix);
    const auto needs = catalogue.Number(ix, "needs_c");
    if (!needs || needs->mid() <= kb::kCoolDownC || ix == neediest_) return;
    if (needs->mid() > greatest_need_) {
      second_need_ = greatest_need_;
      greatest_need_ = needs->mid();
      neediest_ = ix;
    } else {
      second_need_ = std::max(second_need_, needs->mid());
    }
  }

  Room room_;
  std::optional<kb::IngredientIx> neediest_;
  double greatest_need_ = 0, second_need_ = 0;
};

// What the lines of a phase ask for together, % of the whole.
struct Demand {
  double late = 0;     // goes in, or may go in, when the batch has cooled
  double last = 0;     // goes in then before all else
  double needing = 0;  // has to be heated above the cool-down
  double oil = 0, water = 0, powder = 0, total = 0;
  double brings_water = 0;
};

void AddDemand(const LineFacts& facts, double pct, double water_share, Demand& demand, PhaseMaking& phase) {
  if (facts.needs_c && *facts.needs_c > kCoolC && (!phase.needs_c || *facts.needs_c > *phase.needs_c))
    phase.needs_c = facts.needs_c;
  if (facts.stands_c && (!phase.stands_c || *facts.stands_c < *phase.stands_c))
    phase.stands_c = facts.stands_c;
  if (facts.needs_c && *facts.needs_c > kb::kCoolDownC) {
    demand.needing += pct;
  } else if (facts.late) {
    demand.late += pct;
  }
  if (facts.best == Position::kCoolDown) demand.last += pct;
  (facts.oily ? demand.oil : demand.water) += pct;
  if (facts.powder) demand.powder += pct;
  demand.brings_water += pct * water_share;
  demand.total += pct;
}

// The last phases whose lines go in when the batch has cooled, after one that is heated. The phase that holds an emulsion's water
// is made hot, whatever is in it, and so is the one that holds most of its oils, if anything there needs heat.
std::size_t FirstCoolDown(const kb::Formula& formula, const Making& making,
                          const std::vector<Demand>& demands) {
  std::size_t first_hot = 0;
  while (first_hot < demands.size() && !making.phases[first_hot].needs_c) ++first_hot;
  std::size_t wettest = 0;
  std::size_t fattest = 0;
  for (std::size_t i = 0; i < demands.size(); ++i) {
    if (demands[i].brings_water > demands[wettest].brings_water) wettest = i;
    if (demands[i].oil > demands[fattest].oil) fattest = i;
  }
  std::size_t first = demands.size();
  while (first > first_hot + 1) {
    const Demand& demand = demands[first - 1];
    if (demand.late <= 0 || demand.late < demand.needing) break;
    const bool water = first - 1 == wettest && demand.brings_water > 0;
    const bool oils = first - 1 == fattest && demand.needing > 0;
    if (kb::IsEmulsion(formula.kind.form) && (water || oils)) break;
    --first;
  }
  return first;
}

// Phases that meet hot are brought to one temperature, or the cooler one sets the fats of the other.
void SetPhases(const kb::Formula& formula, const std::vector<LineFacts>& facts,
               const std::vector<Demand>& demands, Making& making) {
  const std::size_t cool_from = FirstCoolDown(formula, making, demands);
  const bool emulsion = kb::IsEmulsion(formula.kind.form);
  std::optional<double> together;
  for (std::size_t i = 0; i < cool_from; ++i) {
    const auto& needs = making.phases[i].needs_c;
    if (needs && (!together || *needs > *together)) together = needs;
  }
  if (together && emulsion) together = std::max(*together, kUsualHoldLow);
  double water = 0;
  double powder = 0;
  double total = 0;
  for (const Demand& demand : demands) {
    water += demand.brings_water;
    powder += demand.powder;
    total += demand.total;
  }
  const bool dry = water < kNoWater && powder > 0.5 * total;
  for (std::size_t i = 0; i < demands.size(); ++i) {
    PhaseMaking& phase = making.phases[i];
    const Demand& demand = demands[i];
    phase.cool_down = i >= cool_from;
    phase.heated = !phase.cool_down && (phase.needs_c || (emulsion && together));
    phase.oil = demand.oil > demand.water;
    phase.dry = dry;
    phase.late = !phase.cool_down && !phase.heated && i > 0 && demand.last > 0.5 * demand.total;
    if (phase.heated) {
      const double low = emulsion ? *together : *phase.needs_c;
      phase.window = {low, low + kAbove};
      // Who stands less than the least is told so by itself; the others are not overheated for nothing.
      for (std::size_t line = 0; line < facts.size(); ++line) {
        const auto& stands = facts[line].stands_c;
        if (formula.lines[line].phase == i && stands && *stands >= low)
          phase.window.max_c = std::min(phase.window.max_c, *stands);
      }
      making.heats = true;
      (phase.oil ? making.hot_oil : making.hot_water) = true;
    } else if (phase.stands_c) {
      phase.window.max_c = std::min(kCoolC, *phase.stands_c);
      phase.window.min_c = std::min(kBenchC, phase.window.max_c);
    }
  }
}

// Positions that are served where a phase is.
bool ServedBy(const PhaseMaking& phase, Position position) {
  switch (position) {
    case Position::kHeatedWater:
      return phase.heated && !phase.oil;
    case Position::kHeatedOil:
      return phase.heated && phase.oil;
    case Position::kCoolDown:
      return !phase.heated;
    case Position::kCoolDownWater:
      return !phase.heated && !phase.dry && (phase.cool_down || !phase.oil);
    case Position::kDisperseInOil:
      return phase.oil || phase.cool_down || phase.dry;
    case Position::kDisperseInGlycol:
      return !phase.oil || phase.cool_down;
    case Position::kSlurry:
      return true;
  }
  return false;
}

std::optional<Position> BestServed(const LineFacts& facts, const PhaseMaking& phase) {
  std::optional<Position> best;
  for (const Position position : kPositions) {
    if (!facts.serves[At(position)] || !ServedBy(phase, position)) continue;
    if (!best || facts.share[At(position)] > facts.share[At(*best)]) best = position;
  }
  return best;
}

}  // namespace

std::string Celsius(const Window& window) {
  const double low = std::round(window.min_c);
  const double high = std::round(window.max_c);
  return low >= high ? fmt::format("{:.0f} C", high) : fmt::format("{:.0f} to {:.0f} C", low, high);
}

Room RoomOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
            std::optional<kb::IngredientIx> without) {
  return Batch(catalogue, formula).RoomOf(without);
}

std::string PhaseWords(const PhaseMaking& phase) {
  if (phase.cool_down) return "cool-down";
  if (phase.late) return "last additions";
  if (phase.dry && !phase.oil) return phase.heated ? "heated powder" : "powder";
  return std::string(phase.heated ? "heated " : "") + (phase.oil ? "oil" : "water");
}

std::string PlaceWords(const PhaseMaking& phase, Position position) {
  const bool plain = position == Position::kCoolDown || position == Position::kCoolDownWater;
  if (phase.heated || phase.cool_down || !plain) return std::string(PositionWords(position));
  return fmt::format("{}, no heat", phase.late ? PhaseWords(phase) : PhaseWords(phase) + " phase");
}

Making MakingOf(const kb::Catalogue& catalogue, const kb::Formula& formula) {
  const Batch batch(catalogue, formula);
  const placing::Rulebook rules(catalogue);
  Making making;
  making.phases.resize(formula.phases.size());
  std::vector<Demand> demands(formula.phases.size());
  std::vector<LineFacts> facts;
  facts.reserve(formula.lines.size());
  making.lines.reserve(formula.lines.size());
  making.rooms.reserve(formula.lines.size());
  for (const kb::FormulaLine& line : formula.lines) {
    const Room& room = making.rooms.emplace_back(batch.RoomOf(line.ingredient));
    const placing::Case given = placing::MakeCase(catalogue, rules, line.ingredient, room, line.pct);
    const Weighing weighing = placing::Weigh(given, Words::kWithout);
    facts.push_back(placing::FactsOf(given, weighing));
    AddDemand(facts.back(), line.pct, WaterShare(catalogue, line.ingredient), demands[line.phase],
              making.phases[line.phase]);
  }
  SetPhases(formula, facts, demands, making);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    PhaseMaking& phase = making.phases[formula.lines[i].phase];
    // Whoever is within a degree of what sets the phase sets it too.
    if (phase.needs_c && facts[i].needs_c && *facts[i].needs_c >= *phase.needs_c - 1)
      phase.needs_lines.push_back(i);
    if (phase.stands_c && facts[i].stands_c && *facts[i].stands_c <= *phase.stands_c + 1)
      phase.stands_lines.push_back(i);
    making.lines.push_back(Settle(facts[i], making.rooms[i], phase, making));
  }
  return making;
}

LineMaking Settle(const LineFacts& facts, const Room& room, const PhaseMaking& phase, const Making& making) {
  LineMaking line;
  line.needs_c = facts.needs_c;
  line.stands_c = facts.stands_c;
  line.position = facts.best;
  line.window = placing::WindowOf(room, facts.needs_c, facts.stands_c, facts.best);
  auto served = BestServed(facts, phase);
  if (phase.heated && facts.stands_c && *facts.stands_c < phase.window.min_c) {
    line.standing = Standing::kTooHot;
    line.stays_hot = served.has_value() && IsHeated(facts.best);
    return line;
  }
  if (!phase.heated && facts.needs_c && *facts.needs_c > kb::kCoolDownC) {
    line.standing = Standing::kTooCool;
    return line;
  }
  // Dry powders are sieved together as they are.
  if (phase.dry && !phase.heated && facts.powder && !facts.out[At(Position::kCoolDown)])
    served = Position::kCoolDown;
  // What mixes in cold is at home in any phase that is not heated, though a hot one is usual.
  if (!served && !phase.heated && facts.mixes_cold) {
    const Position cold =
        facts.liquid || phase.oil || phase.dry ? Position::kCoolDown : Position::kCoolDownWater;
    if (!facts.out[At(cold)]) served = cold;
  }
  if (!served) {
    const bool elsewhere = IsOily(facts.best) ? making.hot_oil : making.hot_water;
    if (phase.heated && IsLate(facts.best)) {
      line.standing = Standing::kTooEarly;
    } else if (phase.heated && elsewhere) {
      line.standing = Standing::kOtherSide;
    }
    if (line.standing != Standing::kRight) return line;
    served = facts.best;
  }
  line.position = *served;
  line.window = phase.window;
  if (facts.stands_c) line.window.max_c = std::min(line.window.max_c, *facts.stands_c);
  if (!phase.heated) {
    line.window = {kBenchC, std::min(kCoolC, facts.stands_c.value_or(kCoolC))};
  }
  line.window.min_c = std::min(line.window.min_c, line.window.max_c);
  return line;
}

namespace {

const kb::Fact* FactOf(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::string_view property,
                       std::optional<double> number) {
  for (const kb::Fact& fact : catalogue.Facts(ix, property)) {
    if (fact.number && (!number || fact.number->low == *number)) return &fact;
  }
  return catalogue.Best(ix, property);
}

std::string GoesTo(const LineMaking& line) {
  return IsLate(line.position)
             ? fmt::format("move it to the {}, below {:.0f} C", PositionWords(line.position),
                           line.window.max_c)
             : fmt::format("move it: {}, {}", PositionWords(line.position), Celsius(line.window));
}

}  // namespace

std::optional<Misplaced> MisplacedLine(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                       const Making& making, std::size_t index) {
  const LineMaking& line = making.lines[index];
  if (line.standing == Standing::kRight) return std::nullopt;
  const kb::IngredientIx ix = formula.lines[index].ingredient;
  const std::string& name = catalogue.at(ix).name;
  const std::size_t at = formula.lines[index].phase;
  const PhaseMaking& phase = making.phases[at];
  const std::string& letter = formula.phases[at];
  Misplaced out;
  out.advice = GoesTo(line);
  switch (line.standing) {
    case Standing::kTooHot:
      out.fact = FactOf(catalogue, ix, "max_c", line.stands_c);
      out.grave = phase.window.min_c - *line.stands_c > kSlack;
      out.text = fmt::format("{} stands {:.0f} C, and phase {} is heated to {}", name, *line.stands_c, letter,
                             Celsius(phase.window));
      if (!phase.needs_lines.empty())
        out.text += fmt::format(" for {}", parts::LineNames(catalogue, formula, phase.needs_lines));
      if (out.fact != nullptr && !out.fact->note.empty()) out.text += fmt::format(" ({})", out.fact->note);
      if (line.stays_hot)
        out.advice = fmt::format("let the phase fall to {:.0f} C before it goes in, and keep the hold short",
                                 line.window.max_c);
      break;
    case Standing::kTooCool:
      out.fact = FactOf(catalogue, ix, "needs_c", std::nullopt);
      out.text = fmt::format(
          "{} needs {:.0f} C to {}, and phase {} goes in when the batch has cooled below {:.0f} C", name,
          *line.needs_c, IsOily(line.position) ? "melt in" : "hydrate or dissolve", letter,
          phase.window.max_c);
      break;
    case Standing::kTooEarly:
      out.fact = catalogue.Best(ix, "phase");
      out.text =
          fmt::format("{} goes in late, and phase {} is heated to {}", name, letter, Celsius(phase.window));
      break;
    case Standing::kOtherSide:
      out.fact = catalogue.Best(ix, IsOily(line.position) ? "in_oil" : "in_water");
      out.text = fmt::format("{} goes into the {}, and phase {} is the {}", name,
                             PositionWords(line.position), letter, PhaseWords(phase));
      break;
    case Standing::kRight:
      break;
  }
  return out;
}

}  // namespace query
