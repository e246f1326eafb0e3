// Editing a formula: putting one thing for another, and an ingredient into a formula that lacks it.
#include <algorithm>
#include <cmath>
#include <map>

#include "query/swap.h"

namespace query {
namespace {

// A level that nobody named, as it would be written down: two figures.
double TwoFigures(double pct) {
  const double unit = std::pow(10, std::floor(std::log10(pct)) - 1);
  return std::round(pct / unit) * unit;
}

enum class Room { kWater, kOil, kCoolDown };

Room RoomOf(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view phase = catalogue.Choice(ix, "phase");
  if (phase == "cool-down" || phase == "cool-down-water") return Room::kCoolDown;
  if (phase == "heated-oil" || phase == "disperse-in-oil") return Room::kOil;
  if (phase == "heated-water") return Room::kWater;
  return SideOf(catalogue, ix) == Side::kOil ? Room::kOil : Room::kWater;
}

// What each phase of the formula is, by the weight of its lines.
std::vector<Room> RoomsOf(const Catalogue& catalogue, const kb::Formula& formula) {
  std::vector<std::map<Room, double>> weight(formula.phases.size());
  for (const kb::FormulaLine& line : formula.lines)
    weight[line.phase][RoomOf(catalogue, line.ingredient)] += line.pct;
  std::vector<Room> rooms;
  for (const auto& by_room : weight) {
    Room room = Room::kWater;
    double most = -1;
    for (const auto& [candidate, pct] : by_room) {
      if (pct > most) room = candidate, most = pct;
    }
    rooms.push_back(room);
  }
  return rooms;
}

// The phase for an ingredient: `usual` where it can stay, else the first phase of its room.
std::size_t PhaseFor(const Catalogue& catalogue, const kb::Formula& formula, IngredientIx ix,
                     std::size_t usual) {
  const std::vector<Room> rooms = RoomsOf(catalogue, formula);
  if (usual < rooms.size()) {
    // Wherever the record allows it, it stays where the missing one was.
    for (const kb::Fact& fact : catalogue.Facts(ix, "phase")) {
      const bool oil = fact.text == "heated-oil" || fact.text == "disperse-in-oil";
      const bool late = fact.text == "cool-down" || fact.text == "cool-down-water";
      const Room room = oil ? Room::kOil : late ? Room::kCoolDown : Room::kWater;
      if (rooms[usual] == room) return usual;
    }
  }
  const Room wanted = RoomOf(catalogue, ix);
  const auto found = std::find(rooms.begin(), rooms.end(), wanted);
  if (found != rooms.end()) return static_cast<std::size_t>(found - rooms.begin());
  return std::min(usual, formula.phases.empty() ? 0 : formula.phases.size() - 1);
}

// Makes the total 100 again with the balance line; never below zero.
void Balance(const Catalogue& catalogue, kb::Formula& formula, IngredientIx not_this) {
  std::optional<std::size_t> rest = formula.BalanceLine(catalogue);
  if (!rest) {  // without water the largest line takes it up, as a maker of balms does
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
      if (formula.lines[i].ingredient == not_this) continue;
      if (!rest || formula.lines[i].pct > formula.lines[*rest].pct) rest = i;
    }
  }
  if (!rest) return;
  double others = 0;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (i != *rest) others += formula.lines[i].pct;
  }
  formula.lines[*rest].pct = std::max(0.0, 100 - others);
}

// Where one line takes more than the balance can give, the others keep their proportions in what is left.
void MakeRoom(kb::Formula& formula, IngredientIx for_this) {
  double its_own = 0;
  double others = 0;
  for (const kb::FormulaLine& line : formula.lines)
    (line.ingredient == for_this ? its_own : others) += line.pct;
  const double left = std::max(0.0, 100 - its_own);
  if (others <= left || others <= 0) return;
  for (kb::FormulaLine& line : formula.lines) {
    if (line.ingredient != for_this) line.pct *= left / others;
  }
}

void AddLine(const Catalogue& catalogue, kb::Formula& formula, const BlendPart& part, std::size_t usual_phase,
             std::size_t before) {
  for (kb::FormulaLine& line : formula.lines) {
    if (line.ingredient == part.ingredient && !line.rest) {
      line.pct += part.level_pct;
      return;
    }
  }
  kb::FormulaLine line;
  line.ingredient = part.ingredient;
  line.pct = part.level_pct;
  line.phase = PhaseFor(catalogue, formula, part.ingredient, usual_phase);
  line.written = catalogue.at(part.ingredient).name;
  std::size_t at = std::min(before, formula.lines.size());
  if (line.phase != usual_phase) {  // behind the last line of its phase
    at = 0;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
      if (formula.lines[i].phase <= line.phase) at = i + 1;
    }
  }
  formula.lines.insert(formula.lines.begin() + static_cast<std::ptrdiff_t>(at), std::move(line));
}

}  // namespace

kb::Formula Replace(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line,
                    const std::vector<BlendPart>& blend) {
  kb::Formula after = formula;
  const kb::FormulaLine gone = formula.lines[line];
  if (gone.rest && !blend.empty()) {  // the line that fills up to 100 keeps doing so
    after.lines[line].ingredient = blend.front().ingredient;
    after.lines[line].written = catalogue.at(blend.front().ingredient).name;
    Balance(catalogue, after, blend.front().ingredient);
    return after;
  }
  after.lines.erase(after.lines.begin() + static_cast<std::ptrdiff_t>(line));
  for (std::size_t i = 0; i < blend.size(); ++i) AddLine(catalogue, after, blend[i], gone.phase, line + i);
  Balance(catalogue, after, blend.empty() ? gone.ingredient : blend.front().ingredient);
  return after;
}

std::size_t PutIn(const Catalogue& catalogue, kb::Formula& formula, IngredientIx ingredient,
                  std::optional<double> level_pct, std::string_view role) {
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (formula.lines[i].ingredient != ingredient) continue;
    if (level_pct && !formula.lines[i].rest) formula.lines[i].pct = *level_pct;
    Balance(catalogue, formula, ingredient);
    MakeRoom(formula, ingredient);
    return i;
  }
  std::string function(role);
  const auto& functions = catalogue.at(ingredient).functions;
  if (function.empty() && !functions.empty()) function = catalogue.function(functions.front()).id;
  double pct = level_pct.value_or(1);
  if (!level_pct) {
    if (const auto usual = UsualLevel(catalogue, ingredient, function, formula.kind)) {
      pct = TwoFigures(std::sqrt(std::max(usual->low, 0.01) * std::max(usual->high, 0.01)));
    }
  }
  // In the place of what plays its part already, so that the typical formula does not have the job done twice.
  const auto plays = catalogue.FindFunction(function);
  std::size_t phase = formula.phases.empty() ? 0 : formula.phases.size() - 1;
  for (std::size_t i = formula.lines.size(); i-- > 0;) {
    const kb::FormulaLine& line = formula.lines[i];
    if (line.rest || !plays ||
        catalogue.FunctionRank(line.ingredient, *plays) != std::optional<std::size_t>(0))
      continue;
    phase = line.phase;
    formula.lines.erase(formula.lines.begin() + static_cast<std::ptrdiff_t>(i));
  }
  AddLine(catalogue, formula, {ingredient, pct}, phase, formula.lines.size());
  // The new line stands where its phase ends, so that phases stay together.
  std::stable_sort(formula.lines.begin(), formula.lines.end(),
                   [](const kb::FormulaLine& a, const kb::FormulaLine& b) { return a.phase < b.phase; });
  Balance(catalogue, formula, ingredient);
  MakeRoom(formula, ingredient);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (formula.lines[i].ingredient == ingredient) return i;
  }
  return 0;
}

}  // namespace query
