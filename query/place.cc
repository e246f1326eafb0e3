// The answer: evidence weighed, the position chosen, its reasons, its rivals and what would decide between them.
#include "query/place.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/derived.h"
#include "kb/placing.h"
#include "query/facts.h"
#include "query/place_parts.h"

namespace query {
namespace {

using placing::Case;
using placing::Evidence;
using placing::Name;
using placing::Weighing;

constexpr double kStrangerLevel = 1;      // %, where nobody said
constexpr double kMostConfidence = 0.97;  // no set of facts makes a bench trial needless
constexpr double kSure = 0.85;            // above it nothing needs to be asked
constexpr std::size_t kMostSeconds = 3;
constexpr std::size_t kMostAsks = 3;
constexpr double kSpeaks = 0.25;   // log-odds that are worth a sentence about a rival
constexpr double kWhispers = 0.1;  // and about the position itself, where each may have tipped the scales

std::size_t At(Position position) {
  return static_cast<std::size_t>(position);
}

struct Level {
  double pct = kStrangerLevel;
  std::string because;
};

Level LevelOf(const kb::Catalogue& catalogue, const PlaceQuestion& question) {
  if (question.level) return {*question.level, "as given"};
  if (!question.ingredient) return {kStrangerLevel, "taken, as no level was given"};
  double pct = 0;
  for (const kb::FormulaLine& line : question.formula.lines) {
    if (line.ingredient == *question.ingredient) pct += line.pct;
  }
  if (pct > 0) return {pct, "as in the formula"};
  const kb::Ingredient& item = catalogue.at(*question.ingredient);
  const std::string function = item.functions.empty() ? "" : catalogue.function(item.functions.front()).id;
  const auto usual = UsualLevel(catalogue, *question.ingredient, function, question.formula.kind);
  // The geometric middle: levels of actives spread over decades.
  if (usual && usual->high > 0)
    return {std::sqrt(std::max(usual->low, 0.1 * usual->high) * usual->high), "a usual level"};
  return {kStrangerLevel, "taken, as no usual level is known"};
}

// Described facts first; the record's where the description is silent.
Traits Joined(const kb::Catalogue& catalogue, const PlaceQuestion& question) {
  Traits traits;
  const auto described = [&](std::string_view property) {
    return std::any_of(question.described.begin(), question.described.end(),
                       [&](const Trait& trait) { return trait.property == property; });
  };
  for (const Trait& trait : question.described) {
    const bool choice = !trait.number;
    auto held = std::find_if(traits.begin(), traits.end(),
                             [&](const Trait& t) { return t.property == trait.property; });
    if (held != traits.end() && choice) {
      held->choices.insert(held->choices.end(), trait.choices.begin(), trait.choices.end());
    } else if (held != traits.end() && trait.property == "max_c") {
      held->number = std::min(*held->number, *trait.number);
    } else {
      traits.push_back(trait);
    }
  }
  if (!question.ingredient) return traits;
  const Traits record = TraitsOf(catalogue, *question.ingredient);
  for (const Trait& trait : record) {
    // A stated maximum of the record holds beside a described one.
    if (trait.property == "max_c" && described("max_c")) {
      auto held =
          std::find_if(traits.begin(), traits.end(), [](const Trait& t) { return t.property == "max_c"; });
      held->number = std::min(*held->number, *trait.number);
      continue;
    }
    if (!described(trait.property)) traits.push_back(trait);
  }
  return traits;
}

std::vector<const Evidence*> ByWeight(const Weighing& weighing, Position position) {
  std::vector<const Evidence*> list;
  for (const Evidence& item : weighing.evidence) list.push_back(&item);
  std::stable_sort(list.begin(), list.end(), [&](const Evidence* a, const Evidence* b) {
    return a->weights[At(position)] > b->weights[At(position)];
  });
  return list;
}

void AddOnce(std::vector<std::string>& list, const std::string& text) {
  if (!text.empty() && std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
}

// Ids of the positions for which it holds, "heated-water, heated-oil".
template <class Predicate>
std::string PositionList(Predicate holds) {
  std::string ids;
  for (const Position position : kPositions) {
    if (holds(position)) ids += (ids.empty() ? "" : ", ") + std::string(PositionId(position));
  }
  return ids;
}

void AddBecause(const Weighing& weighing, Placement& out) {
  const std::size_t best = At(out.position);
  for (const Evidence* item : ByWeight(weighing, out.position)) {
    const std::string ruled_out =
        PositionList([&](Position p) { return p != out.position && item->out[At(p)]; });
    if (ruled_out.empty() && item->weights[best] < kWhispers) continue;
    AddOnce(out.because,
            ruled_out.empty() ? item->says : fmt::format("{} (rules out {})", item->says, ruled_out));
    if (item->rule != nullptr) AddOnce(out.sources, item->rule->source);
  }
  if (out.because.empty())
    out.because.push_back("nothing known speaks for a position: this is where most ingredients go in");
}

// What speaks against the position itself, or more for another one that is open.
void AddAgainst(const Case& given, const Weighing& weighing, Placement& out) {
  const std::size_t best = At(out.position);
  for (const Evidence& item : weighing.evidence) {
    const std::string rivals = PositionList([&](Position p) {
      return !weighing.out[At(p)] && item.weights[At(p)] > std::max(0.0, item.weights[best]);
    });
    if (!rivals.empty()) {
      AddOnce(out.against, fmt::format("{} (speaks for {})", item.says, rivals));
    } else if (item.weights[best] < 0 || item.out[best]) {
      AddOnce(out.against, item.says);
    }
  }
  if (given.solubility_aside) {
    AddOnce(out.against,
            "how much of it water dissolves is set aside: it disperses, swells or is neutralised, which no "
            "figure of solubility tells of");
  }
  if (given.estimate_aside)
    AddOnce(out.against,
            "what log P lets expect of its solubility in water is set aside: what it does there is known");
}

void AddSeconds(const Weighing& weighing, Placement& out) {
  std::vector<Position> rivals(kPositions.begin(), kPositions.end());
  std::stable_sort(rivals.begin(), rivals.end(),
                   [&](Position a, Position b) { return weighing.share[At(a)] > weighing.share[At(b)]; });
  for (const Position rival : rivals) {
    if (rival == out.position || weighing.out[At(rival)] || out.second.size() == kMostSeconds) continue;
    std::vector<std::string> reasons;
    for (const Evidence* item : ByWeight(weighing, rival)) {
      if (item->weights[At(rival)] < kSpeaks) break;
      if (reasons.size() < 2) AddOnce(reasons, item->says);
    }
    if (!placing::MayServe(weighing, rival)) continue;
    if (IsHeated(rival) && out.stands_c && *out.stands_c < kUsualHoldLow)
      AddOnce(reasons, fmt::format("only where that phase stays below {:g} C", *out.stands_c));
    out.second.push_back(
        {rival, reasons.empty() ? "nothing known rules it out" : fmt::format("{}", fmt::join(reasons, "; ")),
         weighing.share[At(rival)]});
  }
}

// Does anything in this batch take it?
void CheckFit(const Case& given, Placement& out) {
  const std::string_view water = placing::ChoiceOf(given, Name::kInWater);
  const std::string_view oil = placing::ChoiceOf(given, Name::kInOil);
  if (given.room.water < 1 && (water == "dissolves" || water == "swells") && oil == "insoluble") {
    out.fits = false;
    out.watch.push_back(
        "It needs water, and there is none in this batch: in oil it stays as grit or a separate layer. Leave "
        "it out, or give it "
        "a product with water.");
  }
  const bool oily = (oil == "dissolves" || oil == "polar-oils-only") && water == "insoluble";
  if (given.room.oil < 0.3 && oily && given.room.surfactant < 2) {
    out.fits = placing::ChoiceOf(given, Name::kNeeds) != "heat";
    out.watch.push_back(
        "There is no oil here to take it: mix it with three to ten parts of a solubiliser first, or it "
        "floats out as rings.");
  }
}

// Where the formula has it, if it may stay there; what is wrong with that, if it may not.
void PlaceInFormula(const Case& given, const kb::Formula& formula, const Making& making, std::size_t line,
                    const Weighing& weighing, Placement& out) {
  Making here = making;
  const PhaseMaking& phase = making.phases[formula.lines[line].phase];
  const LineMaking settled = Settle(placing::FactsOf(given, weighing), given.room, phase, making);
  here.lines[line] = settled;
  out.position = settled.position;
  out.min_c = settled.window.min_c;
  out.max_c = settled.window.max_c;
  if (const auto wrong = MisplacedLine(given.catalogue, formula, here, line)) {
    out.watch.push_back(fmt::format("{}: {}.", wrong->text, wrong->advice));
    out.moves = wrong->advice;
    return;
  }
  out.where = PlaceWords(phase, out.position);
  if (out.position == weighing.best) return;
  // It may stand here as well as in its first place: the confidence is that of all that serve.
  double served = 0;
  for (const Position position : kPositions) {
    if (placing::MayServe(weighing, position)) served += weighing.share[At(position)];
  }
  out.confidence = kMostConfidence * served;
  out.because.push_back(fmt::format("the formula has it in phase {} ({}), and it may go in there",
                                    formula.phases[formula.lines[line].phase], PhaseWords(phase)));
}

struct Asking {
  const Room& room;
  const placing::Rulebook& rules;
  const Making* making = nullptr;  // of the formula in which it stands
  std::size_t line = 0;
  double batch_g = 100;
  PlaceDepth depth = PlaceDepth::kFull;
};

Placement Answer(const kb::Catalogue& catalogue, const PlaceQuestion& question, const Traits& traits,
                 const Asking& asking) {
  const Level level = LevelOf(catalogue, question);
  Case given = placing::MakeCase(catalogue, asking.rules, traits, asking.room, level.pct);
  given.batch_g = asking.batch_g;
  const Weighing weighing = placing::Weigh(given);
  Placement out;
  out.ingredient = question.ingredient;
  out.what = question.ingredient ? catalogue.at(*question.ingredient).name
                                 : (question.what.empty() ? "the ingredient described" : question.what);
  out.level_pct = level.pct;
  out.level_because = level.because;
  out.position = weighing.best;
  out.where = PositionWords(out.position);
  out.shares = weighing.share;
  out.confidence = kMostConfidence * weighing.share[At(out.position)];
  out.stands_c = placing::NumberOf(given, Name::kMaxC);
  const placing::Window window =
      placing::WindowOf(given.room, placing::NumberOf(given, Name::kNeedsC), out.stands_c, out.position);
  out.min_c = window.min_c;
  out.max_c = window.max_c;
  if (asking.making != nullptr) {
    PlaceInFormula(given, question.formula, *asking.making, asking.line, weighing, out);
    if (out.moves.empty()) given.phase = &asking.making->phases[question.formula.lines[asking.line].phase];
  }
  placing::AddMethod(given, weighing, out);
  AddBecause(weighing, out);
  AddAgainst(given, weighing, out);
  AddSeconds(weighing, out);
  CheckFit(given, out);
  for (const std::string& remark : question.remarks) AddOnce(out.watch, remark);
  placing::AddWatch(given, weighing, out.position, out);
  if (asking.depth == PlaceDepth::kFull && out.confidence < kSure) {
    out.ask = placing::TestsToAsk(given, weighing);
    if (out.ask.size() > kMostAsks) out.ask.resize(kMostAsks);
  }
  return out;
}

}  // namespace

std::string_view PositionId(Position position) {
  return kb::kPositionIds[At(position)];
}

std::string_view PositionWords(Position position) {
  static constexpr std::array<std::string_view, kPositionCount> kWords = {
      "heated water phase",
      "heated oil phase",
      "cool-down",
      "cool-down, dissolved in water held back",
      "oil, dispersed first",
      "glycol, dissolved or wetted first",
      "slurry"};
  return kWords[At(position)];
}

bool IsHeated(Position position) {
  return position == Position::kHeatedWater || position == Position::kHeatedOil;
}

Placement Place(const kb::Catalogue& catalogue, const PlaceQuestion& question, PlaceDepth depth) {
  const placing::Rulebook rules(catalogue);
  const Room room = RoomOf(catalogue, question.formula, question.ingredient);
  Asking asking{room, rules};
  asking.depth = depth;
  std::optional<Making> making;
  const auto& lines = question.formula.lines;
  const auto found = std::find_if(lines.begin(), lines.end(), [&](const kb::FormulaLine& line) {
    return line.ingredient == question.ingredient;
  });
  if (question.as_it_stands && found != lines.end()) {
    making = MakingOf(catalogue, question.formula);
    asking.making = &*making;
    asking.line = static_cast<std::size_t>(found - lines.begin());
  }
  return Answer(catalogue, question, Joined(catalogue, question), asking);
}

std::vector<Placement> PlaceAll(const kb::Catalogue& catalogue, const kb::Formula& formula, double batch_g) {
  const placing::Rulebook rules(catalogue);
  const Making making = MakingOf(catalogue, formula);
  std::vector<Placement> out;
  PlaceQuestion question;
  question.formula = formula;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    question.ingredient = formula.lines[i].ingredient;
    question.level = formula.lines[i].pct;
    out.push_back(Answer(catalogue, question, Joined(catalogue, question),
                         {making.rooms[i], rules, &making, i, batch_g, PlaceDepth::kWithoutTests}));
  }
  return out;
}

}  // namespace query
