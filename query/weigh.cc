#include "query/weigh.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>

#include "kb/derived.h"
#include "kb/text.h"
#include "query/assess_say.h"
#include "query/facts.h"
#include "query/place_making.h"
#include "query/weigh_steps.h"

namespace query {
namespace {

constexpr double kWeighable = 10;  // divisions: below it half a division is more than a twentieth of the mass
constexpr double kNoError = 1e-9;  // what is left of an exact mass in a double
constexpr double kFewestSteps = 20;  // divisions in a batch: with fewer the sheet is noise

struct Gear {
  std::string_view caution, gear;
};
constexpr std::array<Gear, 12> kGear = {{
    {"dust", "dust mask (FFP2), weigh it out of the draught, no fan on"},
    {"corrosive", "goggles and gloves; acid and alkali into water, never water onto them"},
    {"vapour", "open the window"},
    {"flammable", "no flame, no hot plate"},
    {"eye", "goggles"},
    {"toxic", "gloves and goggles, and no more at hand than is weighed"},
    {"oxidiser", "goggles and gloves; keep it from oils, metals and heat"},
    {"irritant", "gloves"},
    {"sensitiser", "gloves: skin learns to react to it"},
    {"stains", "gloves and an old apron"},
    {"slippery", "wipe spills up at once"},
    {"peroxide-forming", "note the day of opening, discard it when old"},
}};

std::string_view GearFor(std::string_view caution) {
  const auto found =
      std::find_if(kGear.begin(), kGear.end(), [&](const Gear& gear) { return gear.caution == caution; });
  return found == kGear.end() ? std::string_view{} : found->gear;
}

// The hazards of handling; what a wearer has to know is on the label and not on the bench.
std::vector<WeighCaution> CautionsOf(const kb::Catalogue& catalogue, const kb::Formula& formula) {
  std::vector<WeighCaution> out;
  for (const Gear& gear : kGear) {
    WeighCaution caution;
    caution.what = gear.caution;
    caution.gear = GearFor(gear.caution);
    for (const kb::FormulaLine& line : formula.lines) {
      for (const kb::Fact& fact : catalogue.Facts(line.ingredient, "caution")) {
        if (fact.text != gear.caution) continue;
        if (std::find(caution.ingredients.begin(), caution.ingredients.end(), line.ingredient) !=
            caution.ingredients.end())
          continue;
        caution.ingredients.push_back(line.ingredient);
        caution.notes.push_back(fact.note);
      }
    }
    if (!caution.ingredients.empty()) out.push_back(std::move(caution));
  }
  return out;
}

// A batch that a person would name: two figures, not less.
double RoundedUp(double grams) {
  const double step = std::pow(10, std::floor(std::log10(grams)) - 1);
  return std::ceil(grams / step - 1e-9) * step;
}

// Does one part dissolve in nine of water and stay thin enough to weigh out?
bool DilutesInWater(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  constexpr double kTenth = 100;  // g/L
  if (catalogue.Choice(ix, "in_water") != "dissolves") return false;
  if (parts::HasAny(catalogue, ix,
                    {"water-gellant", "suspending-agent", "emulsion-stabiliser", "film-former",
                     "conditioning-polymer"}))
    return false;
  const std::string_view family = catalogue.Family(catalogue.Choice(ix, "class"));
  if (family == "gums" || family == "cellulosics" || family == "acrylates") return false;
  const auto held = catalogue.Number(ix, "water_g_per_l");
  return !held || held->low >= kTenth;
}

// What a small mass can be diluted with: something of the formula that it mixes with, so that the recipe stays the same.
std::string DilutionFor(const kb::Catalogue& catalogue, const kb::Formula& formula, std::size_t line,
                        double exact_g, double scale_g) {
  const Side side = SideOf(catalogue, formula.lines[line].ingredient);
  const std::size_t none = formula.lines.size();
  std::size_t carrier = none;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    const kb::FormulaLine& item = formula.lines[i];
    if (i == line || item.pct < 10 * formula.lines[line].pct) continue;
    const bool wet = catalogue.Choice(item.ingredient, "class") == "water";
    const std::string_view form = catalogue.Choice(item.ingredient, "form");
    const bool oil =
        SideOf(catalogue, item.ingredient) == Side::kOil && (form == "liquid" || form == "viscous-liquid");
    if ((side == Side::kOil ? oil : wet) && (carrier == none || item.pct > formula.lines[carrier].pct))
      carrier = i;
  }
  // What only swells or hardly dissolves gives no even dilution.
  const kb::IngredientIx ix = formula.lines[line].ingredient;
  if (side != Side::kOil && !DilutesInWater(catalogue, ix)) carrier = none;
  double fold = 10;
  while (exact_g * fold < kWeighable * scale_g && fold < 1e4) fold *= 10;
  const std::string amount = fmt::format("{:g} g of a 1 in {:g} dilution", exact_g * fold, fold);
  if (carrier == none) {
    return fmt::format("weigh it on a finer scale, or make a batch of {:g} g or more",
                       RoundedUp(kWeighable * scale_g / formula.lines[line].pct * 100));
  }
  return fmt::format("take {} in {}, and {:.3g} g less {}", amount,
                     catalogue.at(formula.lines[carrier].ingredient).name, exact_g * (fold - 1),
                     catalogue.at(formula.lines[carrier].ingredient).name);
}

void FillLines(const kb::Catalogue& catalogue, const kb::Formula& formula,
               const std::vector<long long>& counts, WeighSheet& sheet) {
  std::vector<Placement> places = PlaceAll(catalogue, formula, sheet.batch_g);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    WeighLine line;
    line.line = i;
    line.exact_g = formula.lines[i].pct / 100 * sheet.batch_g;
    line.grams = static_cast<double>(counts[i]) * sheet.scale_g;
    if (line.exact_g > 0) line.error = line.grams / line.exact_g - 1;
    if (std::abs(line.error) < kNoError) line.error = 0;
    line.place = std::move(places[i]);
    if (line.exact_g > 0 && line.exact_g < kWeighable * sheet.scale_g) {
      line.dilution = DilutionFor(catalogue, formula, i, line.exact_g, sheet.scale_g);
      sheet.warnings.push_back(fmt::format(
          "{}: {:.3g} g is {} a scale of {:g} g; {}", catalogue.at(formula.lines[i].ingredient).name,
          line.exact_g,
          line.exact_g < sheet.scale_g ? "less than can be weighed with" : "only a few divisions of",
          sheet.scale_g, line.dilution));
    }
    if (std::abs(line.error) > std::abs(sheet.largest_error)) {
      sheet.largest_error = line.error;
      sheet.largest_error_line = i;
    }
    WeighPhase& phase = sheet.phases[formula.lines[i].phase];
    phase.grams += line.grams;
    phase.lines.push_back(std::move(line));
  }
}

std::string CheckMasses(double batch_g, double scale_g) {
  if (!(batch_g >= kLeastBatch && batch_g <= kGreatestBatch)) {
    return fmt::format("a batch of {:g} g; expected {:g} to {:g} g", batch_g, kLeastBatch, kGreatestBatch);
  }
  if (!(scale_g >= kFinestScale && scale_g <= kCoarsestScale)) {
    return fmt::format("a scale of {:g} g; expected {:g} to {:g} g", scale_g, kFinestScale, kCoarsestScale);
  }
  if (batch_g / scale_g < kFewestSteps) {
    return fmt::format("a scale of {:g} g is too coarse for a batch of {:g} g; expected {:g} g or finer",
                       scale_g, batch_g, batch_g / kFewestSteps);
  }
  return {};
}

}  // namespace

std::optional<double> ReadMass(std::string_view text) {
  std::string plain(kb::Trim(text));
  std::replace(plain.begin(), plain.end(), ',', '.');
  double value = 0;
  const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), value);
  if (error != std::errc{} || !std::isfinite(value) || value <= 0) return std::nullopt;
  const std::string_view unit =
      kb::Trim(std::string_view(end, static_cast<std::size_t>(plain.data() + plain.size() - end)));
  if (unit.empty() || unit == "g" || unit == "G" || unit == "gram" || unit == "grams") return value;
  if (unit == "kg" || unit == "KG" || unit == "Kg") return value * 1000;
  if (unit == "mg") return value / 1000;
  return std::nullopt;
}

std::vector<long long> LargestRemainders(const std::vector<double>& shares, long long steps) {
  const double total = std::accumulate(shares.begin(), shares.end(), 0.0);
  std::vector<long long> counts(shares.size(), 0);
  if (total <= 0) return counts;
  std::vector<std::pair<double, std::size_t>> remainders;
  long long given = 0;
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const double exact = shares[i] / total * static_cast<double>(steps);
    // A share that comes to a whole number of steps but for the last digits of a double is that number.
    counts[i] = static_cast<long long>(std::floor(exact + 1e-9 * std::max(1.0, exact)));
    given += counts[i];
    remainders.emplace_back(exact - static_cast<double>(counts[i]), i);
  }
  std::stable_sort(remainders.begin(), remainders.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  for (std::size_t k = 0; given < steps; k = (k + 1) % remainders.size()) {
    ++counts[remainders[k].second];
    ++given;
  }
  return counts;
}

tl::expected<WeighSheet, std::string> Weigh(const kb::Catalogue& catalogue, const kb::Formula& formula,
                                            const Assessment& assessment, double batch_g, double scale_g) {
  if (std::string wrong = CheckMasses(batch_g, scale_g); !wrong.empty())
    return tl::unexpected(std::move(wrong));
  WeighSheet sheet;
  sheet.name = formula.name;
  sheet.kind = formula.kind;
  sheet.asked_g = batch_g;
  sheet.scale_g = scale_g;
  const long long steps = std::llround(batch_g / scale_g);
  sheet.batch_g = static_cast<double>(steps) * scale_g;
  if (std::abs(sheet.batch_g - batch_g) > 1e-6 * scale_g) {
    sheet.warnings.push_back(fmt::format("{:g} g cannot be shown by a scale of {:g} g: {:g} g are made",
                                         batch_g, scale_g, sheet.batch_g));
  }
  const Making making = MakingOf(catalogue, formula);
  for (std::size_t i = 0; i < formula.phases.size(); ++i) {
    const PhaseMaking& made = making.phases[i];
    WeighPhase& phase = sheet.phases.emplace_back();
    phase.phase = formula.phases[i];
    phase.name = PhaseWords(made);
    if (made.heated) phase.heat_to_c = made.window.min_c;
    if (made.heated) phase.heat_most_c = made.window.max_c;
    if (made.cool_down) phase.add_below_c = made.window.max_c;
    phase.not_above_c = made.stands_c;
  }
  std::vector<double> shares;
  for (const kb::FormulaLine& line : formula.lines) shares.push_back(line.pct);
  FillLines(catalogue, formula, LargestRemainders(shares, steps), sheet);
  for (WeighPhase& phase : sheet.phases) PutInOrder(phase);
  sheet.cautions = CautionsOf(catalogue, formula);
  std::copy_if(assessment.findings.begin(), assessment.findings.end(), std::back_inserter(sheet.findings),
               [](const Finding& finding) { return finding.severity != Severity::kNote; });
  sheet.steps = StepsOf(catalogue, formula, assessment, sheet);
  return sheet;
}

}  // namespace query
