#include "query/assess_dose.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "kb/chemistry/acid_base.h"
#include "query/assess_say.h"
#include "query/facts.h"
#include "query/solutes.h"

namespace query {
namespace {

constexpr double kDoseMost = 5;     // %, as sold: more is a change of formula and no adjustment
constexpr double kDropDose = 0.01;  // %, as sold: less is dosed by the drop from a dilution

// One acid or base as it is sold: its record in the base, and the pure substance in it.
struct Doser {
  kb::IngredientIx sold = 0;
  kb::IngredientIx pure = 0;
  double strength = 1;  // grams of the pure one a gram as sold
};

std::optional<Doser> DoserOf(const kb::Catalogue& catalogue, kb::IngredientIx sold) {
  Doser doser{sold, sold, 1};
  for (const kb::Component& part : catalogue.at(sold).composition) {
    if (!part.ingredient || WaterShare(catalogue, *part.ingredient) > 0.5) continue;
    doser.pure = *part.ingredient;
    doser.strength = part.pct / 100;
  }
  return SoluteOf(catalogue, doser.pure) ? std::optional(doser) : std::nullopt;
}

// What the formula holds already goes first: one more ingredient is one more on the label.
std::optional<Doser> ChooseDoser(const kb::Catalogue& catalogue, const kb::Formula& formula, bool up) {
  for (const kb::FormulaLine& line : formula.lines) {
    if (!parts::IsMainly(catalogue, line.ingredient, {up ? "alkaliser" : "acidifier"})) continue;
    if (auto doser = DoserOf(catalogue, line.ingredient)) return doser;
  }
  const auto ids =
      up ? std::array<std::string_view, 3>{"sodium-hydroxide-10", "sodium-hydroxide-20", "sodium-hydroxide"}
         : std::array<std::string_view, 3>{"citric-acid-50", "citric-acid", "lactic-acid-80"};
  for (const std::string_view id : ids) {
    const auto sold = catalogue.FindId(id);
    if (!sold) continue;
    if (auto doser = DoserOf(catalogue, *sold)) return doser;
  }
  return std::nullopt;
}

}  // namespace

tl::expected<PhDose, std::string> DoseToReach(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                              const Assessment& assessment, double target,
                                              std::optional<kb::IngredientIx> with) {
  const PhEstimate& ph = assessment.ph;
  const double water = assessment.composition.water;
  if (!ph.estimate) return tl::unexpected("no pH could be worked out: " + ph.because);
  const bool up = *ph.estimate < target;
  const auto doser = with ? DoserOf(catalogue, *with) : ChooseDoser(catalogue, formula, up);
  if (!doser) {
    return tl::unexpected(with ? fmt::format("no acid constants are known for {}", catalogue.at(*with).name)
                               : std::string("no acid or base whose constants are known"));
  }
  const std::string& name = catalogue.at(doser->sold).name;
  const double molar_mass = catalogue.Number(doser->pure, "molar_mass")->mid();
  const double most = MolalityOf(kDoseMost * doser->strength, molar_mass, water);
  const auto list = SolutesOf(catalogue, assessment.substances, water);
  const auto dose = kb::chemistry::DoseForPh(list.solutes, *SoluteOf(catalogue, doser->pure), target,
                                             std::min(most, kb::chemistry::kGreatestMolality));
  if (!dose) {
    return tl::unexpected(fmt::format("up to {} % {} does not bring it from about pH {:.1f} to {:.3g}",
                                      parts::Figure(kDoseMost), name, *ph.estimate, target));
  }
  PhDose out;
  out.with = doser->sold;
  out.up = up;
  out.target = target;
  out.pct = PctOf(dose->molality, molar_mass, water) / doser->strength;
  const double half_band = (ph.high.value_or(*ph.estimate) - ph.low.value_or(*ph.estimate)) / 2;
  const double doubt = PctOf(dose->after.buffer_capacity * half_band, molar_mass, water) / doser->strength;
  out.low = std::max(0.0, out.pct - doubt);
  out.high = out.pct + doubt;
  const kb::Fact* pka = catalogue.Best(doser->pure, "pka", "1");
  out.source = pka == nullptr ? std::string("common-practice") : parts::SourceOf(catalogue, pka);
  return out;
}

std::string DoseWords(const kb::Catalogue& catalogue, const PhDose& dose) {
  // Two figures: the pH that it rests on is no better.
  return fmt::format("about {:.2g} % {} ({:.2g} to {:.2g}) brings it to pH {:.3g}", dose.pct,
                     catalogue.at(dose.with).name, dose.low, dose.high, dose.target);
}

std::string DoseAdvice(const kb::Catalogue& catalogue, const PhDose& dose) {
  return DoseWords(catalogue, dose) + (dose.pct < kDropDose
                                           ? "; dilute it tenfold and add it by the drop, measuring"
                                           : "; add four fifths, measure, and go on by the drop");
}

}  // namespace query
