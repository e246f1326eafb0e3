#include "query/weigh_steps.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "query/assess_say.h"
#include "query/facts.h"
#include "query/place_making.h"

namespace query {
namespace {

constexpr double kSteams = 5;     // % of water: with less there is none to make up and no pH to measure
constexpr int kHoldMinutes = 20;  // of the heated phases of an emulsion; common practice

// Where a phase stands in the making.
struct Course {
  bool hold = false;          // the hot phases are held
  bool first = true;          // nothing is made yet
  bool into_wet = false;      // it meets a wet phase made before it
  bool brings_water = false;  // of its own
  bool first_wet = false;     // the first that does
};

const std::string& NameOf(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighLine& line) {
  return catalogue.at(formula.lines[line.line].ingredient).name;
}

// A sentence behind a colon.
std::string Lowered(std::string text) {
  if (text.size() > 1 && text[1] >= 'a' && text[1] <= 'z') text[0] = static_cast<char>(std::tolower(text[0]));
  return text;
}

std::string Raised(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

// What is prepared apart, line by line.
std::string ApartWords(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase) {
  std::string text;
  for (const WeighLine& line : phase.lines) {
    const Placement& place = line.place;
    if (!place.moves.empty() || !place.apart) continue;
    text += fmt::format(" {}: {}{}{}", Raised(NameOf(catalogue, formula, line)), Lowered(place.how),
                        place.hint.empty() ? "" : " ", place.hint);
  }
  return text;
}

// What to heed with the others, said once for all that it holds for.
std::string HintWords(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase) {
  std::vector<std::pair<std::string, std::vector<std::string>>> hints;
  std::size_t stay = 0;
  for (const WeighLine& line : phase.lines) {
    const Placement& place = line.place;
    if (!place.moves.empty()) continue;
    ++stay;
    if (place.apart || place.hint.empty()) continue;
    auto known =
        std::find_if(hints.begin(), hints.end(), [&](const auto& hint) { return hint.first == place.hint; });
    if (known == hints.end()) known = hints.insert(hints.end(), {place.hint, {}});
    known->second.push_back(NameOf(catalogue, formula, line));
  }
  std::string text;
  for (const auto& [hint, names] : hints) {
    text += names.size() == stay ? " " + hint
                                 : fmt::format(" {}: {}", Raised(parts::Joined(names)), Lowered(hint));
  }
  return text;
}

// Water that later lines need, kept from the first phase that has some.
std::string HeldBack(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet) {
  double grams = 0;
  std::vector<std::string> names;
  for (const WeighPhase& phase : sheet.phases) {
    for (const WeighLine& line : phase.lines) {
      if (line.place.held_back_g <= 0) continue;
      grams += line.place.held_back_g;
      names.push_back(NameOf(catalogue, formula, line));
    }
  }
  return names.empty() ? std::string()
                       : fmt::format(" Keep {:.3g} g of the water back for {}.", grams, parts::Joined(names));
}

std::string HeatWords(const WeighPhase& phase, const Course& course) {
  const bool wet = !parts::IsOilPhase({phase.phase, phase.name, 0});
  if (!course.hold && course.into_wet && !course.brings_water)
    return fmt::format(" Warm what is made so far to {} and stir it in until all is even.",
                       Celsius({*phase.heat_to_c, *phase.heat_most_c}));
  std::string text = fmt::format(" Heat to {}", Celsius({*phase.heat_to_c, *phase.heat_most_c}));
  return text + (!course.hold ? ", stirring, until all is even."
                 : wet ? fmt::format(", covered, and hold for {} minutes; make up the water that steams off.",
                                     kHoldMinutes)
                       : fmt::format(", and hold for {} minutes.", kHoldMinutes));
}

std::string PhaseStep(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet,
                      const WeighPhase& phase, const Course& course) {
  std::vector<std::string> names;
  for (const WeighLine& line : phase.lines) {
    if (line.place.moves.empty()) names.push_back(NameOf(catalogue, formula, line));
  }
  std::string step = fmt::format("Phase {} ({}): {}.", phase.phase, phase.name,
                                 names.empty() ? "nothing that may stay there" : parts::Joined(names));
  if (names.empty()) return step;
  if (phase.add_below_c)
    step += fmt::format(" Below {:.0f} C add one by one, stirring slowly.", *phase.add_below_c);
  if (course.first_wet) step += HeldBack(catalogue, formula, sheet);
  step += ApartWords(catalogue, formula, phase);
  if (phase.heat_to_c) {
    step += HeatWords(phase, course);
  } else if (!phase.add_below_c) {
    step += course.first ? " Mix until even; no heat needed."
                         : " Stir into what is made so far until even; no heat needed.";
  }
  step += HintWords(catalogue, formula, phase);
  return step;
}

// What stands in the wrong phase, at the time when it goes in.
struct Moved {
  std::size_t after = 0;  // the phase after whose step it comes
  std::string step;
};

std::vector<Moved> MovedLines(const kb::Catalogue& catalogue, const kb::Formula& formula,
                              const WeighSheet& sheet) {
  std::vector<Moved> out;
  for (std::size_t i = 0; i < sheet.phases.size(); ++i) {
    for (const WeighLine& line : sheet.phases[i].lines) {
      const Placement& place = line.place;
      if (place.moves.empty()) continue;
      Moved moved{IsHeated(place.position) ? i : sheet.phases.size() - 1, ""};
      const bool oil = place.position == Position::kHeatedOil;
      for (std::size_t other = 0; other < sheet.phases.size() && IsHeated(place.position); ++other) {
        const WeighPhase& phase = sheet.phases[other];
        if (phase.heat_to_c && parts::IsOilPhase({phase.phase, phase.name, 0}) == oil) moved.after = other;
      }
      moved.step = fmt::format("{} does not belong in phase {}: {}. {}{}{}",
                               Raised(NameOf(catalogue, formula, line)), sheet.phases[i].phase, place.moves,
                               place.how, place.hint.empty() ? "" : " ", place.hint);
      out.push_back(std::move(moved));
    }
  }
  return out;
}

bool BringsWater(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase) {
  return std::any_of(phase.lines.begin(), phase.lines.end(), [&](const WeighLine& line) {
    return WaterShare(catalogue, formula.lines[line.line].ingredient) > 0.5;
  });
}

std::string JoinStep(const WeighSheet& sheet, const std::vector<std::string>& hot) {
  const bool water_in_oil = sheet.kind.form == kb::Form::kEmulsionWo;
  return fmt::format(
      "Bring phases {} together hot and stir hard for 3 to 5 minutes{}; then stir slowly while it cools.",
      parts::Joined(hot), water_in_oil ? ", the water in a thin stream into the oils" : "");
}

std::string PhStep(const kb::Catalogue& catalogue, const Assessment& assessment) {
  const PhEstimate& ph = assessment.ph;
  std::string step = "Measure the pH at room temperature (a meter, or strips of narrow range).";
  if (ph.from_target && ph.used) {
    step += fmt::format(" Target {:.3g}.", *ph.used);
    if (ph.adjust) {
      const auto with = catalogue.FindId(ph.adjust->with);
      step += fmt::format(" By the sum about {} % {} is needed: add four fifths, measure, go on by the drop.",
                          parts::Figure(ph.adjust->pct), with ? catalogue.at(*with).name : ph.adjust->with);
    } else {
      step += " Lower it with citric or lactic acid, raise it with dilute sodium hydroxide, by the drop.";
    }
  } else if (ph.estimate) {
    step += fmt::format(" The estimate is {:.1f}; it is no measurement.", *ph.estimate);
  }
  return step;
}

}  // namespace

void PutInOrder(WeighPhase& phase) {
  std::stable_sort(phase.lines.begin(), phase.lines.end(),
                   [](const WeighLine& a, const WeighLine& b) { return a.place.order < b.place.order; });
}

std::vector<std::string> StepsOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                 const Assessment& assessment, const WeighSheet& sheet) {
  std::vector<std::string> steps;
  steps.emplace_back(
      "Clean and disinfect tools, vessels and the bench; weigh every phase before heating any.");
  std::vector<std::string> hot;
  std::size_t last_hot = 0;
  for (std::size_t i = 0; i < sheet.phases.size(); ++i) {
    if (!sheet.phases[i].heat_to_c) continue;
    hot.push_back(sheet.phases[i].phase);
    last_hot = i;
  }
  const std::vector<Moved> moved = MovedLines(catalogue, formula, sheet);
  const bool hold = kb::IsEmulsion(sheet.kind.form) && assessment.composition.water > 1;
  for (std::size_t i = 0; i < sheet.phases.size(); ++i) {
    Course course;
    course.hold = hold;
    course.first = i == 0;
    course.brings_water = BringsWater(catalogue, formula, sheet.phases[i]);
    for (std::size_t before = 0; before < i; ++before)
      course.into_wet = course.into_wet || BringsWater(catalogue, formula, sheet.phases[before]);
    course.first_wet = course.brings_water && !course.into_wet;
    steps.push_back(PhaseStep(catalogue, formula, sheet, sheet.phases[i], course));
    for (const Moved& one : moved) {
      if (one.after == i) steps.push_back(one.step);
    }
    if (hot.size() > 1 && i == last_hot) steps.push_back(JoinStep(sheet, hot));
  }
  if (assessment.composition.water >= kSteams) steps.push_back(PhStep(catalogue, assessment));
  steps.push_back(std::string(assessment.composition.water >= kSteams
                                  ? "Weigh the whole and make up lost water, fill"
                                  : "Fill") +
                  ", and label with name, day and batch number; keep a sample.");
  if (assessment.preservation.needed) {
    steps.emplace_back("What holds water is challenge-tested (ISO 11930) before it is sold.");
  }
  return steps;
}

}  // namespace query
