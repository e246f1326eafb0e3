// How it goes in: the window of temperature, the steps with amounts, what to see, and what to look out for.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/derived.h"
#include "query/place_parts.h"

namespace query::placing {
namespace {

constexpr double kBatch = 100;        // g, for which amounts are told
constexpr double kUsualHoldLow = 70;  // C: usual hold of the hot phases is 70 to 75 C; common practice
constexpr double kAbove = 5;          // C above what it needs, so that the whole phase surely gets there
constexpr std::size_t kMostTips = 6;
constexpr std::size_t kMostLimits = 2;

std::string Grams(double grams) {
  if (grams >= 10) return fmt::format("{:.0f} g", grams);
  if (grams >= 1) return fmt::format("{:.1f} g", grams);
  return fmt::format("{:.2g} g", grams);
}

std::string Celsius(const Window& window) {
  const double low = std::round(window.min_c);
  const double high = std::round(window.max_c);
  return low >= high ? fmt::format("{:.0f} C", high) : fmt::format("{:.0f} to {:.0f} C", low, high);
}

bool Swells(const Case& given) {
  return Says(given.traits, "in_water", "swells") || Says(given.traits, "lumps", "yes");
}

bool DissolvesInWater(const Case& given) {
  return Says(given.traits, "in_water", "dissolves") ||
         SaysAny(given.traits, "dissolving", std::array<std::string_view, 2>{"cold", "borderline"});
}

bool DissolvesInOil(const Case& given) {
  return Says(given.traits, "in_oil", "dissolves") || Says(given.traits, "in_oil", "polar-oils-only");
}

// Grams of glycol that wet a powder, as far as the batch has some.
std::string GlycolWords(const Case& given, double parts) {
  const double wanted = parts * given.level;
  if (given.room.glycol >= wanted) return fmt::format("{} of the batch's glycerin or glycol", Grams(wanted));
  if (given.room.glycol > 0.3 * wanted)
    return fmt::format("the {} of glycerin or glycol that the batch holds", Grams(given.room.glycol));
  return fmt::format("{} of glycerin or propanediol (taken from the water: the batch holds {})",
                     Grams(wanted),
                     given.room.glycol > 0 ? "only " + Grams(given.room.glycol) : std::string("none"));
}

// An acid that dissolves only as its salt.
bool NeedsBase(const Case& given) {
  return Says(given.traits, "in_water", "insoluble") &&
         (Says(given.traits, "how_in", "neutralise") || Says(given.traits, "neutralise", "yes"));
}

std::string IntoHotWater(const Case& given, const Window& window) {
  const std::string amount = Grams(given.level);
  const std::string heat = Celsius(window);
  if (Says(given.traits, "class", "water")) {
    return fmt::format(
        "It is the water phase itself: weigh in {}, a little more for what steams off, and heat to {}.",
        amount, heat);
  }
  if (Swells(given)) {
    return fmt::format(
        "Wet {} with {} to a loose paste, pour it into the fast-stirred water, heat to {} and stir for 20 "
        "minutes.",
        amount, GlycolWords(given, 4), heat);
  }
  if (NeedsBase(given)) return fmt::format("Bring {} into the water phase, heated to {}.", amount, heat);
  if (Says(given.traits, "in_water", "insoluble") && !DissolvesInWater(given)) {
    return fmt::format(
        "Add {} to the hot water phase at {} and stir slowly until it has melted in and none is seen.",
        amount, heat);
  }
  if (DissolvesInWater(given)) {
    return fmt::format("Stir {} into the water phase while it is cool, and heat to {} until it is dissolved.",
                       amount, heat);
  }
  return fmt::format("Stir {} into the water phase, heat to {} and stir until it is even, without grains.",
                     amount, heat);
}

std::string HeatedWater(const Case& given, const Window& window) {
  std::string text = IntoHotWater(given, window);
  if (window.max_c < kUsualHoldLow) {
    text += fmt::format(
        " It must not see more than {:.0f} C: where the water is made hotter for the emulsion, let it fall "
        "to that "
        "first.",
        window.max_c);
  }
  return text;
}

std::string HeatedOil(const Case& given, const Window& window) {
  const std::string amount = Grams(given.level);
  std::string text;
  if (IsSolid(given.traits) || Find(given.traits, "form") == nullptr) {
    text = fmt::format(
        "Weigh {} into the oil phase and heat to {}, stirring, until the oil is clear against the light; "
        "then hold it "
        "for 10 minutes more.",
        amount, Celsius(window));
  } else {
    text = fmt::format("Weigh {} into the oil phase and heat it with the others to {}.", amount,
                       Celsius(window));
  }
  if (window.max_c < kUsualHoldLow) {
    text += fmt::format(
        " It must not see more than {:.0f} C: melt the rest first, let the oil fall to that, then dissolve "
        "it.",
        window.max_c);
  }
  return text;
}

std::string CoolDown(const Case& given, const Window& window) {
  const std::string amount = Grams(given.level);
  std::string text = given.room.process_c
                         ? fmt::format("Let the batch cool below {:.0f} C, then add {}", window.max_c, amount)
                         : fmt::format("Add {} last, not above {:.0f} C", amount, window.max_c);
  if (Says(given.traits, "form", "powder") || Says(given.traits, "form", "crystals")) {
    const bool oily = DissolvesInOil(given);
    text += oily ? fmt::format(", dissolved in about {} of a light oil or ester first, with slow stirring.",
                               Grams(std::max(1.0, 3 * given.level)))
                 : ": sift it on, or rub it with a spoonful of the batch to a smooth paste and stir that in.";
  } else if (DissolvesInOil(given) && !Says(given.traits, "in_water", "dissolves") && given.room.oil < 0.3 &&
             given.room.water > 1) {
    text += ", mixed with its solubiliser first (three to ten parts), in a thin stream with slow stirring.";
  } else {
    text += " in a thin stream, stirring slowly for five minutes.";
  }
  return text;
}

// Water to hold back, g: enough to dissolve it with some to spare, where that is known.
double HeldBack(const Case& given) {
  double grams = std::max(5.0, 3 * given.level);
  if (const auto solubility = NumberOf(given.traits, "water_g_per_l"); solubility && *solubility > 0)
    grams = std::max(grams, 1.3 * given.level * 1000 / *solubility);
  if (Swells(given)) grams = std::max(grams, 50 * given.level);
  return std::min(grams, std::max(1.0, given.room.water * 0.9));
}

std::string CoolDownWater(const Case& given, const Window& window) {
  const std::string amount = Grams(given.level);
  const std::string water = Grams(HeldBack(given));
  if (Swells(given)) {
    return fmt::format(
        "Hold back {} of the water. Rain {} thinly onto it under fast stirring (or wet it with {} first), "
        "let it "
        "swell for 30 minutes, and add that to the batch below {:.0f} C.",
        water, amount, GlycolWords(given, 4), window.max_c);
  }
  if (SaysAny(given.traits, "class", std::array<std::string_view, 3>{"water", "hydrosol", "plant-juice"}) &&
      given.level > 5) {
    return fmt::format(
        "Keep {} of it apart in place of as much water and add it to the batch below {:.0f} C.", amount,
        window.max_c);
  }
  if (Says(given.traits, "form", "liquid") || Says(given.traits, "form", "viscous-liquid")) {
    return fmt::format(
        "Mix {} with {} of cool water held back and add it to the batch below {:.0f} C, stirring slowly.",
        amount, water, window.max_c);
  }
  const bool dissolves = DissolvesInWater(given);
  return fmt::format(
      "Hold back {} of distilled water, {} {} in it below {:.0f} C until it is {}, and add that to the batch "
      "once it "
      "has cooled below {:.0f} C.",
      water, dissolves ? "dissolve" : "stir", amount, window.max_c, dissolves ? "clear" : "even",
      window.max_c);
}

std::string DisperseInOil(const Case& given, const Window& window) {
  std::string text = fmt::format(
      "Wet {} with about {} of the batch's oils or ester, rub or shear it until no dry speck is left, and ",
      Grams(given.level), Grams(std::max(1.0, 2.5 * given.level)));
  if (const auto needs = NumberOf(given.traits, "needs_c"); needs && *needs > kb::kCoolDownC)
    text += fmt::format("warm it to {} under shear, then ", Celsius(window));
  text += given.room.water >= 1 ? "put it into the oil phase before the phases meet."
                                : "let that down with the rest of the oils.";
  if (Says(given.traits, "in_water", "swells"))
    text +=
        " Though it belongs to the water, oil keeps its grains apart until shear brings them there: it then "
        "thickens within minutes.";
  return text;
}

std::string DisperseInGlycol(const Case& given, const Window& window) {
  const bool dissolves =
      Says(given.traits, "in_glycol", "dissolves") || Says(given.traits, "in_glycol", "partly");
  if (dissolves) {
    return fmt::format(
        "Dissolve {} in {}, stirred and warmed to no more than {:.0f} C until it is clear; stir that slowly "
        "into the "
        "water phase, or into the batch as it cools.",
        Grams(given.level), GlycolWords(given, 6), window.max_c);
  }
  return fmt::format(
      "Wet {} with {}, stir until no dry speck is left, and add that to the stirred water phase.",
      Grams(given.level), GlycolWords(given, 4));
}

std::string Slurry(const Case& given) {
  if (Swells(given)) {
    return fmt::format(
        "Stir {} into {} to a lump-free slurry, pour it at once into the fast-stirred water, and let it "
        "swell for 20 to 30 "
        "minutes with slow stirring.",
        Grams(given.level), GlycolWords(given, 5));
  }
  const std::string liquid = given.room.water >= 1 ? "glycerin, glycol or water" : "oil";
  return fmt::format(
      "Rub {} with about {} of {} in a mortar or on a tile to a smooth paste without dry specks, thin it "
      "with a little of the "
      "batch, and stir it in.",
      Grams(given.level), Grams(std::max(0.5, 1.5 * given.level)), liquid);
}

bool HoldsAt(const kb::PlacingRule& rule, Position position) {
  return rule.at.empty() || std::find(rule.at.begin(), rule.at.end(), PositionId(position)) != rule.at.end();
}

std::string RightWords(const Case& given, Position position) {
  switch (position) {
    case Position::kHeatedWater:
    case Position::kCoolDownWater:
      if (Swells(given)) return "An even gel without clear lumps.";
      return DissolvesInWater(given) || NeedsBase(given) ? "The water is clear, and stays so when it is cold."
                                                         : "The water is even, without grains.";
    case Position::kHeatedOil:
      return IsSolid(given.traits) ? "The oil is clear at temperature, without a haze or grains." : "";
    case Position::kCoolDown:
      return "The batch is even, without streaks, oil rings or specks.";
    case Position::kDisperseInOil:
    case Position::kSlurry:
      return "A smear between two glasses is even, without specks.";
    case Position::kDisperseInGlycol:
      return Says(given.traits, "in_glycol", "dissolves")
                 ? "Clear in the glycol, and clear when it has met the water."
                 : "";
  }
  return "";
}

std::string WrongWords(const Case& given, Position position) {
  switch (position) {
    case Position::kHeatedWater:
    case Position::kCoolDownWater:
      return DissolvesInWater(given) && IsSolid(given.traits)
                 ? "Grains or needles next day: more of it than the cold water holds."
                 : "";
    case Position::kHeatedOil:
      return IsSolid(given.traits)
                 ? "Grains in the cold product: it was not hot or not long enough for all of it to go in."
                 : "";
    case Position::kDisperseInGlycol:
      return "Crystals on cooling or when it meets the water: too little glycol for it.";
    default:
      return "";
  }
}

std::string Sentence(std::string text) {
  if (!text.empty() && text.back() != '.' && text.back() != '!') text += '.';
  return text;
}

void AddOnce(std::vector<std::string>& list, std::string text) {
  if (!text.empty() && std::find(list.begin(), list.end(), text) == list.end())
    list.push_back(std::move(text));
}

void AddRecordWatch(const Case& given, kb::IngredientIx ix, Placement& out) {
  const kb::Catalogue& catalogue = given.catalogue;
  for (const kb::Fact& fact : catalogue.Facts(ix, "max_c")) {
    if (!fact.note.empty() && fact.number && fact.number->low <= out.max_c + 15)
      AddOnce(out.watch, Sentence(fmt::format("Stands {:.0f} C: {}", fact.number->low, fact.note)));
  }
  std::size_t tips = 0;
  for (const kb::Fact& fact : catalogue.Facts(ix, "tip")) {
    if (++tips <= kMostTips) AddOnce(out.watch, fact.text);
  }
  if (const auto window = kb::ProductPh(catalogue, ix))
    AddOnce(out.watch,
            fmt::format("Works in a product of pH {} to {}.", Figure(window->low), Figure(window->high)));
  for (const kb::Fact& fact : catalogue.Facts(ix, "caution")) {
    AddOnce(out.watch, Sentence(fact.note.empty() ? fact.text : fmt::format("{}: {}", fact.text, fact.note)));
  }
  std::size_t limits = 0;
  for (const kb::Limit* limit : catalogue.LimitsOf(catalogue.at(ix).inci)) {
    if (!limit->max_pct || ++limits > kMostLimits) continue;
    AddOnce(out.watch,
            Sentence(fmt::format("{}: at most {} %{}", limit->jurisdiction, Figure(*limit->max_pct),
                                 limit->scope.empty() ? "" : ", " + limit->scope)));
  }
}

}  // namespace

Window WindowOf(const Case& given, Position position) {
  Window window;
  const double needs = NumberOf(given.traits, "needs_c").value_or(0);
  const double hot = std::max(kb::kHoldC, needs > kb::kCoolDownC ? needs + kAbove : 0);
  switch (position) {
    case Position::kHeatedWater:
    case Position::kHeatedOil:
      window = {std::max(needs > kb::kCoolDownC ? needs : kUsualHoldLow, 0.0), hot};
      break;
    case Position::kCoolDown:
    case Position::kCoolDownWater:
      window = {kBenchC, kCoolC};
      break;
    case Position::kDisperseInOil:
    case Position::kDisperseInGlycol:
    case Position::kSlurry:
      window = {needs > kb::kCoolDownC ? needs : kBenchC, hot};
      break;
  }
  if (const auto stands = NumberOf(given.traits, "max_c")) {
    window.max_c = std::min(window.max_c, *stands);
    if (IsHeated(position) && *stands < kUsualHoldLow) window.min_c = std::max(needs, kb::kCoolDownC);
  }
  window.min_c = std::min(window.min_c, window.max_c);
  return window;
}

std::string MethodOf(const Case& given, const Weighing& weighing, Position position, const Window& window) {
  std::string text = fmt::format("For {:.0f} g of batch. ", kBatch);
  switch (position) {
    case Position::kHeatedWater:
      text += HeatedWater(given, window);
      break;
    case Position::kHeatedOil:
      text += HeatedOil(given, window);
      break;
    case Position::kCoolDown:
      text += CoolDown(given, window);
      break;
    case Position::kCoolDownWater:
      text += CoolDownWater(given, window);
      break;
    case Position::kDisperseInOil:
      text += DisperseInOil(given, window);
      break;
    case Position::kDisperseInGlycol:
      text += DisperseInGlycol(given, window);
      break;
    case Position::kSlurry:
      text += Slurry(given);
      break;
  }
  std::string right, wrong;
  for (const Evidence& item : weighing.evidence) {
    if (item.rule == nullptr || !HoldsAt(*item.rule, position)) continue;
    if (!item.rule->method.empty()) text += ' ' + Filled(given, item.rule->method);
    if (right.empty()) right = item.rule->right;
    if (wrong.empty()) wrong = item.rule->wrong;
  }
  if (Says(given.traits, "shear", "needs-high"))
    text += " It needs high shear: a homogeniser or stick blender for some minutes.";
  if (Says(given.traits, "shear", "low-only")) text += " Stir it only gently: high shear damages it.";
  if (right.empty()) right = RightWords(given, position);
  if (wrong.empty()) wrong = WrongWords(given, position);
  if (!right.empty()) text += " Right: " + right;
  if (!wrong.empty()) text += " Wrong: " + wrong;
  return text;
}

void AddWatch(const Case& given, const Weighing& weighing, Position position, Placement& out) {
  if (out.ingredient) AddRecordWatch(given, *out.ingredient, out);
  const bool dust_said = out.ingredient && given.catalogue.Says(*out.ingredient, "caution", "dust");
  for (const Evidence& item : weighing.evidence) {
    if (item.rule == nullptr || !HoldsAt(*item.rule, position)) continue;
    if (item.rule->id == "dust" && dust_said) continue;
    AddOnce(out.watch, Filled(given, item.rule->watch));
  }
}

}  // namespace query::placing
