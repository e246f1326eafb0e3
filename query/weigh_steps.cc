#include "query/weigh_steps.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "query/assess_say.h"
#include "query/facts.h"

namespace query {
namespace {

constexpr int kHoldMinutes = 20;  // of the heated phases of an emulsion; common practice

struct HowWords {
  std::string_view how, words;
  int rank;  // where in its phase
};
// The first of these that an ingredient's record says is the one that is said.
constexpr std::array<HowWords, 13> kHow = {{
    {"pre-wet", "stir into the glycol or glycerin of the batch first", 3},
    {"pre-disperse", "disperse in a part of the liquid first", 3},
    {"hydrate-hot", "stir into hot water and let it swell", 2},
    {"sprinkle", "sprinkle onto the moving liquid, little by little", 3},
    {"neutralise", "let it swell, then neutralise", 3},
    {"dissolve-first", "dissolve in a little of the phase first", 1},
    {"dry-mix", "mix dry with other powders first", 3},
    {"grind", "grind or mill in", 3},
    {"high-shear", "high shear", 3},
    {"melt", "melt in", 1},
    {"drop-by-drop", "drop by drop, stirring", 4},
    {"last", "last of all, stirring", 5},
    {"stir-in", "stir in", 2},
}};

const HowWords* HowOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  for (const HowWords& how : kHow) {
    if (catalogue.Says(ix, "how_in", how.how)) return &how;
  }
  return nullptr;
}

int RankOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  if (catalogue.Choice(ix, "class") == "water") return 0;
  if (parts::IsMainly(catalogue, ix, {"acidifier", "alkaliser"})) return 5;
  const HowWords* how = HowOf(catalogue, ix);
  return how == nullptr ? 2 : how->rank;
}

// Where a phase stands in the making.
struct Course {
  bool hold = false;          // the hot phases are held
  bool first = true;          // nothing is made yet
  bool into_wet = false;      // it meets a wet phase made before it
  bool brings_water = false;  // of its own
};

std::string PhaseStep(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase,
                      const Course& course) {
  const bool hold = course.hold;
  std::vector<std::string> names;
  for (const WeighLine& line : phase.lines)
    names.push_back(catalogue.at(formula.lines[line.line].ingredient).name);
  std::string step = fmt::format("Phase {} ({}): {}.", phase.phase, phase.name, parts::Joined(names));
  if (phase.heat_to_c) {
    step += fmt::format(" Heat to {:.0f} C", *phase.heat_to_c);
    const bool wet = !parts::IsOilPhase({phase.phase, phase.name, 0});
    if (!hold && course.into_wet && !course.brings_water) {
      return step.substr(0, step.rfind(" Heat to")) +
             fmt::format(" Warm what is made so far to {:.0f} C and stir it in until all is even.",
                         *phase.heat_to_c);
    }
    step += !hold ? ", stirring, until all is even."
            : wet ? fmt::format(", covered, and hold for {} minutes; make up the water that steams off.",
                                kHoldMinutes)
                  : fmt::format(", and hold for {} minutes.", kHoldMinutes);
    if (phase.not_above_c && *phase.not_above_c < *phase.heat_to_c + 15) {
      step += fmt::format(" Not above {:.0f} C.", *phase.not_above_c);
    }
  } else if (phase.add_below_c) {
    step += fmt::format(" Add one by one below {:.0f} C, stirring each in.", *phase.add_below_c);
  } else {
    step += course.first ? " Mix until even; no heat needed."
                         : " Stir into what is made so far until even; no heat needed.";
  }
  return step;
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

std::string HowItGoesIn(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const HowWords* how = HowOf(catalogue, ix);
  return how == nullptr ? std::string{} : std::string(how->words);
}

void PutInOrder(const kb::Catalogue& catalogue, const kb::Formula& formula, WeighPhase& phase) {
  std::stable_sort(phase.lines.begin(), phase.lines.end(), [&](const WeighLine& a, const WeighLine& b) {
    return RankOf(catalogue, formula.lines[a.line].ingredient) <
           RankOf(catalogue, formula.lines[b.line].ingredient);
  });
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
  const bool hold = kb::IsEmulsion(sheet.kind.form) && assessment.composition.water > 1;
  for (std::size_t i = 0; i < sheet.phases.size(); ++i) {
    Course course;
    course.hold = hold;
    course.first = i == 0;
    course.brings_water = BringsWater(catalogue, formula, sheet.phases[i]);
    for (std::size_t before = 0; before < i; ++before)
      course.into_wet = course.into_wet || BringsWater(catalogue, formula, sheet.phases[before]);
    steps.push_back(PhaseStep(catalogue, formula, sheet.phases[i], course));
    if (hot.size() > 1 && i == last_hot) steps.push_back(JoinStep(sheet, hot));
  }
  if (assessment.composition.water >= 5) steps.push_back(PhStep(catalogue, assessment));
  steps.emplace_back(
      "Weigh the whole and make up lost water, fill, and label with name, day and batch number; keep a "
      "sample.");
  if (assessment.preservation.needed) {
    steps.emplace_back("What holds water is challenge-tested (ISO 11930) before it is sold.");
  }
  return steps;
}

}  // namespace query
