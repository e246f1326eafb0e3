// The pH by charge balance, each ingredient's window against it, and what brings it to the target.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/chemistry/acid_base.h"
#include "kb/chemistry/activity.h"
#include "query/assess_dose.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"
#include "query/solutes.h"

namespace query::parts {
namespace {

constexpr std::string_view kTopic = "ph";
constexpr double kLeastWater = 5;    // %: below that a pH means nothing
constexpr double kLittleWater = 30;  // %: below that, or with much glycol, every acid constant moves
constexpr double kMuchGlycol = 10;   // % of what is in the water phase; acid_base.h says where it holds
constexpr double kAtTarget = 0.15;   // pH: nobody sets it closer by the sum
constexpr double kMissingShare =
    0.5;                         // of the mass that is reckoned with: more left out may decide the pH; ours
constexpr double kClose = 0.05;  // pH: windows are printed to a tenth

// The window that counts for the product; preservatives have theirs in AddPreservation.
const kb::Fact* WindowFact(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  for (const char* property : {"ph_use", "ph_stable"}) {
    const kb::Fact* fact = catalogue.Best(ix, property);
    if (fact != nullptr && fact->number) return fact;
  }
  return nullptr;
}

// What happens beyond a window, in the words of what it is for.
std::string Consequence(const kb::Catalogue& catalogue, kb::IngredientIx ix, const kb::Fact& window,
                        bool high) {
  if (!window.note.empty()) return window.note;
  if (HasAny(catalogue, ix, {"water-gellant", "emulsion-stabiliser", "suspending-agent"}))
    return "the gel thins or fails to form";
  if (HasAny(catalogue, ix, {"emulsifier-ow", "emulsifier-wo"})) return "the emulsion may break";
  if (HasAny(catalogue, ix, {"surfactant-anionic", "surfactant-amphoteric", "surfactant-nonionic"})) {
    return "it foams less, clouds or breaks down";
  }
  if (HasAny(catalogue, ix, {"cationic-conditioner", "conditioning-polymer"}))
    return "it loses its hold on hair";
  if (HasAny(catalogue, ix, {"exfoliating-acid"}))
    return high ? "too little of the free acid is left to work" : "so much free acid stings and may burn";
  if (window.property == catalogue.FindProperty("ph_stable")) return "it keeps badly";
  return "it works less or keeps badly";
}

void SayWindow(const Setting& setting, const kb::FormulaLine& line, const kb::Fact& window, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const PhEstimate& ph = out.ph;
  const kb::Range& range = *window.number;
  const bool high = *ph.used > range.high + kClose;
  if (!high && *ph.used >= range.low - kClose) return;
  // An estimate whose band reaches into the window is no proof that it lies outside.
  const bool sure = ph.from_target || (high ? ph.low > range.high : ph.high < range.low);
  const kb::Ingredient& item = catalogue.at(line.ingredient);
  const std::string about = ph.from_target ? "the target pH" : "the estimated pH";
  Finding& finding =
      Say(out, sure ? Severity::kWarn : Severity::kNote, kTopic, "ph:window:" + item.id,
          fmt::format("{} wants pH {:g} to {:g}, {} is {:.3g}: {}", item.name, range.low, range.high, about,
                      *ph.used, Consequence(catalogue, line.ingredient, window, high)),
          high ? fmt::format("bring the pH to {:g} or below, or replace it", range.high)
               : fmt::format("bring the pH to {:g} or above, or replace it", range.low));
  finding.ingredients = {line.ingredient};
  finding.sources = {SourceOf(catalogue, &window)};
}

void CheckWindows(const Setting& setting, Assessment& out) {
  if (!out.ph.used) return;
  for (const kb::FormulaLine& line : setting.formula.lines) {
    if (line.pct <= 0) continue;
    if (IsMainly(setting.catalogue, line.ingredient, {"preservative", "acidifier", "alkaliser", "buffer"}))
      continue;
    const kb::Fact* window = WindowFact(setting.catalogue, line.ingredient);
    if (window != nullptr) SayWindow(setting, line, *window, out);
  }
}

void AddAdjustment(const Setting& setting, Assessment& out) {
  PhEstimate& ph = out.ph;
  const double target = *ph.used;
  // Water that hardly anything buffers lies anywhere in a wide band; a dose would be make-believe.
  if (std::abs(*ph.estimate - target) < kAtTarget || (*ph.low <= target && target <= *ph.high)) return;
  const kb::Catalogue& catalogue = setting.catalogue;
  const bool up = *ph.estimate < target;
  const auto dose = DoseToReach(catalogue, setting.formula, out, target);
  std::string advice;
  if (dose) {
    ph.adjust = PhEstimate::Adjustment{catalogue.at(dose->with).id, dose->pct, DoseWords(catalogue, *dose)};
    advice = DoseAdvice(catalogue, *dose);
  } else {
    advice = dose.error() + ": look at what drives the pH";
  }
  std::vector<std::string> pushing;
  for (const kb::FormulaLine& line : setting.formula.lines) {
    if (IsMainly(catalogue, line.ingredient, {up ? "acidifier" : "alkaliser"}))
      pushing.push_back(catalogue.at(line.ingredient).name);
  }
  if (!pushing.empty()) advice += fmt::format("; or take less of the {}", Joined(pushing));
  Finding& finding = Say(out, Severity::kNote, kTopic, "ph:adjust",
                         fmt::format("the estimate is pH {:.1f} ({:.1f} to {:.1f}), the target {:.3g}",
                                     *ph.estimate, *ph.low, *ph.high, target),
                         std::move(advice));
  if (dose) finding.ingredients = {dose->with};
  finding.sources = {dose ? dose->source : std::string("common-practice")};
}

std::string BandWords(const PhEstimate& ph, double water, double glycols) {
  std::string text = "charge balance over the acids, bases and salts in the water, 25 C";
  if (ph.ionic_strength > kb::chemistry::kDaviesLimit) text += "; so salty that it is an order of size";
  if (water < kLittleWater) {
    text += "; with so little water it is an order of size";
  } else if (glycols > kMuchGlycol / 100 * (water + glycols)) {
    text += "; glycols shift every acid constant, so the band is wider than it looks";
  }
  if (!ph.missing.empty()) text += "; without " + Joined(ph.missing);
  return text;
}

void NoEstimate(const Setting& setting, std::string because, Assessment& out) {
  out.unknown.push_back("the pH: " + because);
  out.ph.because = std::move(because);
  CheckWindows(setting, out);
}

}  // namespace

void AddPh(const Setting& setting, Assessment& out) {
  PhEstimate& ph = out.ph;
  const double water = out.composition.water;
  if (water < kLeastWater) {
    ph.because = "too little water for a pH to mean anything";
    return;
  }
  ph.used = setting.formula.target_ph;
  ph.from_target = ph.used.has_value();
  const SoluteList list = SolutesOf(setting.catalogue, out.substances, water);
  ph.missing = list.missing;
  if (list.solutes.empty()) {
    NoEstimate(setting, "nothing in it whose acid constants are known: measure", out);
    return;
  }
  if (list.missing_pct > kMissingShare * list.pct) {
    NoEstimate(setting,
               fmt::format("{} {} no acid constants here and may decide the pH: measure", Joined(ph.missing),
                           ph.missing.size() == 1 ? "has" : "have"),
               out);
    return;
  }
  const bool full = setting.depth == Depth::kFull;
  // Against a target no window asks how sure the estimate is.
  const auto detail = full             ? kb::chemistry::Detail::kAll
                      : ph.from_target ? kb::chemistry::Detail::kNoBand
                                       : kb::chemistry::Detail::kNoDrivers;
  const auto solved = kb::chemistry::SolvePh(list.solutes, detail);
  if (!solved) {
    NoEstimate(setting, solved.error().what, out);
    return;
  }
  if (!ph.missing.empty()) {
    out.unknown.push_back(fmt::format("no acid constants for {}: the pH estimate leaves {} out",
                                      Joined(ph.missing), ph.missing.size() == 1 ? "it" : "them"));
  }
  ph.estimate = solved->ph;
  if (detail != kb::chemistry::Detail::kNoBand) {
    ph.low = solved->ph_low;
    ph.high = solved->ph_high;
  }
  ph.ionic_strength = solved->ionic_strength;
  ph.buffer_capacity = solved->buffer_capacity;
  for (const kb::chemistry::Driver& driver : solved->drivers) {
    ph.drivers.push_back({driver.name, driver.buffer_share, solved->ph - driver.ph_without});
  }
  ph.because = BandWords(ph, water, out.composition.glycols);
  if (!ph.used) ph.used = ph.estimate;
  if (full && ph.from_target) AddAdjustment(setting, out);
  CheckWindows(setting, out);
}

}  // namespace query::parts
