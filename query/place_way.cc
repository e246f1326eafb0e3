// How it goes in: the steps with amounts, for each position.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/derived.h"
#include "query/place_parts.h"

namespace query::placing {
namespace {

std::string Grams(double grams) {
  if (grams >= 10) return fmt::format("{:.0f} g", grams);
  if (grams >= 1) return fmt::format("{:.1f} g", grams);
  return fmt::format("{:.2g} g", grams);
}

// Grams of so many per cent of the batch.
std::string Amount(const Case& given, double pct) {
  return Grams(pct / 100 * given.batch_g);
}

// Grams of glycol that wet a powder, as far as the batch has some.
std::string GlycolWords(const Case& given, double parts) {
  const double wanted = parts * given.level;
  const bool named = given.phase != nullptr && given.room.most_glycol &&
                     given.room.most_glycol_pct >= std::min(wanted, given.room.glycol);
  const std::string what = named ? given.catalogue.at(*given.room.most_glycol).name : "glycerin or glycol";
  if (given.room.glycol >= wanted) return fmt::format("{} of the batch's {}", Amount(given, wanted), what);
  if (given.room.glycol > 0.3 * wanted)
    return fmt::format("the {} of {} that the batch holds", Amount(given, given.room.glycol), what);
  return fmt::format(
      "{} of glycerin or propanediol (taken from the water: the batch holds {})", Amount(given, wanted),
      given.room.glycol > 0 ? "only " + Amount(given, given.room.glycol) : std::string("none"));
}

bool IsPhAdjuster(const Case& given) {
  const std::string_view main = ChoiceOf(given, Name::kFunction);
  return main == "acidifier" || main == "alkaliser";
}

// Does the batch see heat before this goes in? A maker's formula says so; else a hot phase somewhere in it.
bool AfterHeat(const Case& given) {
  return given.phase != nullptr ? given.phase->cool_down : given.room.process_c.has_value();
}

// Into a phase of a maker's formula that nobody heats.
bool IntoCold(const Case& given) {
  return given.phase != nullptr && !given.phase->heated && !given.phase->cool_down;
}

Way IntoHotWater(const Case& given, const Window& window) {
  const std::string amount = Amount(given, given.level);
  const std::string heat = Celsius(window);
  if (IsWater(given)) {
    return {"",
            fmt::format("It is the water phase itself: weigh in {}, a little more for what steams off, and "
                        "heat to {}.",
                        amount, heat)};
  }
  if (Swells(given)) {
    return {
        "wet it first, let it swell hot",
        fmt::format("Wet {} with {} to a loose paste, pour it into the fast-stirred water, heat to {} and "
                    "stir for 20 minutes.",
                    amount, GlycolWords(given, 4), heat),
        true};
  }
  if (NeedsBase(given))
    return {"neutralise it in the water",
            fmt::format("Bring {} into the water phase, heated to {}.", amount, heat)};
  if (Says(given, Name::kInWater, "insoluble") && !DissolvesInWater(given)) {
    return {"melt in",
            fmt::format("Add {} to the hot water phase at {} and stir slowly until it has melted in and none "
                        "is seen.",
                        amount, heat)};
  }
  if (DissolvesInWater(given)) {
    return {IsLiquid(given) ? "" : "dissolve",
            fmt::format("Stir {} into the water phase while it is cool, and heat to {}{}.", amount, heat,
                        IsLiquid(given) ? "" : " until it is dissolved")};
  }
  return {IsLiquid(given) ? "" : "stir in until even",
          fmt::format("Stir {} into the water phase, heat to {} and stir until it is even, without grains.",
                      amount, heat)};
}

// Does its own stated maximum keep it below the usual hold?
bool IsHurtByHold(const Case& given, const Window& window) {
  const auto stands = NumberOf(given, Name::kMaxC);
  return stands && *stands < kUsualHoldLow && window.max_c >= *stands;
}

Way HeatedWater(const Case& given, const Window& window) {
  Way way = IntoHotWater(given, window);
  if (IsHurtByHold(given, window)) {
    way.how += fmt::format(
        " It must not see more than {:.0f} C: where the water is made hotter for the emulsion, let it fall "
        "to that first.",
        window.max_c);
    way.apart = true;
  }
  return way;
}

Way HeatedOil(const Case& given, const Window& window) {
  const std::string amount = Amount(given, given.level);
  Way way;
  if (IsSolid(given) || !Knows(given, Name::kForm)) {
    way = {"heat until clear",
           fmt::format("Weigh {} into the oil phase and heat to {}, stirring, until the oil is clear against "
                       "the light; then hold it for 10 minutes more.",
                       amount, Celsius(window))};
  } else {
    way.how = fmt::format("Weigh {} into the oil phase and heat it with the others to {}.", amount,
                          Celsius(window));
  }
  if (IsHurtByHold(given, window)) {
    way.how += fmt::format(
        " It must not see more than {:.0f} C: melt the rest first, let the oil fall to that, then dissolve "
        "it.",
        window.max_c);
    way.apart = true;
  }
  return way;
}

Way IntoColdPhase(const Case& given) {
  const std::string amount = Amount(given, given.level);
  const bool powder = Says(given, Name::kForm, "powder") || Says(given, Name::kForm, "crystals");
  if (given.phase->dry && powder)
    return {
        "sieve in",
        fmt::format("Weigh {} in, and sieve or mill it with the other powders until all is even.", amount)};
  if (given.phase->dry)
    return {"by drops, rubbing",
            fmt::format("Drop {} onto the stirred powder and rub it in until no wet clump is left.", amount)};
  if (given.phase->oil)
    return {powder ? "wet and rub in" : "",
            powder
                ? fmt::format("Stir {} into the oils and rub or shear it until no dry speck is left.", amount)
                : fmt::format("Weigh {} into the oil phase and stir; it needs no heat.", amount)};
  if (IsWater(given))
    return {"", fmt::format("It is the water phase itself: weigh in {}; it needs no heat.", amount)};
  if (Swells(given))
    return {"wet it first, let it swell",
            fmt::format("Wet {} with {} (or rain it thinly in), pour that into the fast-stirred water, and "
                        "let it swell for 30 minutes.",
                        amount, GlycolWords(given, 4)),
            true};
  const std::string into = given.phase->late ? "the batch" : "the water phase";
  if (IsLiquid(given))
    return {"", fmt::format("Stir {} into {} in a thin stream; it needs no heat.", amount, into)};
  const bool dissolves = DissolvesInWater(given);
  if (dissolves && IsPhAdjuster(given))
    return {
        "dissolve in water held back, by drops",
        fmt::format("Dissolve {} in {} of water held back and add that by drops, stirring slowly, with an "
                    "eye on the pH.",
                    amount, Amount(given, 9 * given.level)),
        true, 9 * given.level};
  return {dissolves ? "dissolve" : "stir in until even",
          fmt::format("Stir {} into {} until it is {}; it needs no heat.", amount, into,
                      dissolves ? "clear" : "even, without grains")};
}

Way CoolDown(const Case& given, const Window& window) {
  if (IntoCold(given) && (!given.phase->late || !DissolvesInOil(given))) return IntoColdPhase(given);
  const std::string amount = Amount(given, given.level);
  Way way;
  way.how = AfterHeat(given)
                ? fmt::format("Let the batch cool below {:.0f} C, then add {}", window.max_c, amount)
                : fmt::format("Add {} last, not above {:.0f} C", amount, window.max_c);
  const bool oily = DissolvesInOil(given);
  if (Says(given, Name::kForm, "powder") || Says(given, Name::kForm, "crystals")) {
    way.apart = true;
    way.brief = oily ? "dissolve in a little oil first" : "rub down with a spoonful of the batch";
    way.how +=
        oily ? fmt::format(", dissolved in about {} of a light oil or ester first, with slow stirring.",
                           Amount(given, std::max(1.0, 3 * given.level)))
             : ": sift it on, or rub it with a spoonful of the batch to a smooth paste and stir that in.";
  } else if (oily && !Says(given, Name::kInWater, "dissolves") && given.room.oil < 0.3 &&
             given.room.water > 1) {
    way.apart = true;
    way.brief = "mix with its solubiliser first";
    way.how +=
        ", mixed with its solubiliser first (three to ten parts), in a thin stream with slow stirring.";
  } else {
    way.how += IsSolid(given) ? ", stirring slowly until it is evenly spread."
                              : " in a thin stream, stirring slowly for five minutes.";
  }
  return way;
}

// Water to hold back, % of the batch: enough to dissolve it with some to spare, where that is known.
double HeldBack(const Case& given) {
  if (IsLiquid(given) && !Swells(given)) return std::min(std::max(1.0, given.level), given.room.water * 0.9);
  double pct = std::max(5.0, 3 * given.level);
  if (const auto solubility = NumberOf(given, Name::kWaterGPerL); solubility && *solubility > 0)
    pct = std::max(pct, 1.3 * given.level * 1000 / *solubility);
  if (Swells(given)) pct = std::max(pct, 50 * given.level);
  return std::min(pct, std::max(1.0, given.room.water * 0.9));
}

Way CoolDownWater(const Case& given, const Window& window) {
  if (IntoCold(given)) return IntoColdPhase(given);
  const std::string amount = Amount(given, given.level);
  const double held_back = HeldBack(given);
  const std::string water = Amount(given, held_back);
  if (Swells(given)) {
    return {
        "let it swell in water held back",
        fmt::format("Hold back {} of the water. Rain {} thinly onto it under fast stirring (or wet it with "
                    "{} first), let it swell for 30 minutes, and add that to the batch below {:.0f} C.",
                    water, amount, GlycolWords(given, 4), window.max_c),
        true, held_back};
  }
  if (SaysAny(given, Name::kClass, std::array<std::string_view, 3>{"water", "hydrosol", "plant-juice"}) &&
      given.level > 5) {
    return {
        "in place of as much water",
        fmt::format("Keep {} of it apart in place of as much water and add it to the batch below {:.0f} C.",
                    amount, window.max_c)};
  }
  if (IsLiquid(given)) {
    return {"with a little cool water held back",
            fmt::format("Mix {} with {} of cool water held back and add it to the batch below {:.0f} C, "
                        "stirring slowly.",
                        amount, water, window.max_c),
            true, held_back};
  }
  const bool dissolves = DissolvesInWater(given);
  return {
      dissolves ? "dissolve in cool water held back" : "stir into cool water held back",
      fmt::format("Hold back {} of distilled water, {} {} in it below {:.0f} C until it is {}, and add that "
                  "to the batch once it has cooled below {:.0f} C.",
                  water, dissolves ? "dissolve" : "stir", amount, window.max_c, dissolves ? "clear" : "even",
                  window.max_c),
      true, held_back};
}

Way DisperseInOil(const Case& given, const Window& window) {
  // Two and a half parts wet most powders; no more than the batch has, with some left to rinse the mortar.
  const double wanted = std::max(1.0, 2.5 * given.level);
  const double oil = given.room.oil > 0 ? std::min(wanted, std::max(0.5, 0.8 * given.room.oil)) : wanted;
  Way way{"wet and rub in oil first",
          fmt::format("Wet {} with about {} of the batch's oils or ester, rub or shear it until no dry speck "
                      "is left, and ",
                      Amount(given, given.level), Amount(given, oil)),
          true};
  if (const auto needs = NumberOf(given, Name::kNeedsC); needs && *needs > kb::kCoolDownC)
    way.how += fmt::format("warm it to {} under shear, then ", Celsius(window));
  way.how += given.room.water >= 1 ? "put it into the oil phase before the phases meet."
                                   : "let that down with the rest of the oils.";
  if (Says(given, Name::kInWater, "swells"))
    way.how +=
        " Though it belongs to the water, oil keeps its grains apart until shear brings them there: it then "
        "thickens within minutes.";
  return way;
}

Way DisperseInGlycol(const Case& given, const Window& window) {
  if (Says(given, Name::kInGlycol, "dissolves") || Says(given, Name::kInGlycol, "partly")) {
    return {"dissolve in glycol first",
            fmt::format("Dissolve {} in {}, stirred and warmed to no more than {:.0f} C until it is clear; "
                        "stir that slowly into the water phase, or into the batch as it cools.",
                        Amount(given, given.level), GlycolWords(given, 6), window.max_c),
            true};
  }
  return {"wet with glycol first",
          fmt::format("Wet {} with {}, stir until no dry speck is left, and add that to the stirred water "
                      "phase.",
                      Amount(given, given.level), GlycolWords(given, 4)),
          true};
}

Way Slurry(const Case& given) {
  if (Swells(given)) {
    return {"to a slurry first",
            fmt::format("Stir {} into {} to a lump-free slurry, pour it at once into the fast-stirred water, "
                        "and let it swell for 20 to 30 minutes with slow stirring.",
                        Amount(given, given.level), GlycolWords(given, 5)),
            true};
  }
  const std::string liquid = given.room.water >= 1 ? "glycerin, glycol or water" : "oil";
  return {
      "rub to a paste first",
      fmt::format("Rub {} with about {} of {} in a mortar or on a tile to a smooth paste without dry specks, "
                  "thin it with a little of the batch, and stir it in.",
                  Amount(given, given.level), Amount(given, std::max(0.5, 1.5 * given.level)), liquid),
      true};
}

}  // namespace

Way WayOf(const Case& given, Position position, const Window& window) {
  switch (position) {
    case Position::kHeatedWater:
      return HeatedWater(given, window);
    case Position::kHeatedOil:
      return HeatedOil(given, window);
    case Position::kCoolDown:
      return CoolDown(given, window);
    case Position::kCoolDownWater:
      return CoolDownWater(given, window);
    case Position::kDisperseInOil:
      return DisperseInOil(given, window);
    case Position::kDisperseInGlycol:
      return DisperseInGlycol(given, window);
    case Position::kSlurry:
      return Slurry(given);
  }
  return {};
}

int OrderOf(const Case& given, const Way& way) {
  if (IsWater(given)) return 0;
  if (Says(given, Name::kHowIn, "last")) return 5;
  if (IsPhAdjuster(given) || Says(given, Name::kHowIn, "drop-by-drop")) return 4;
  if (ChoiceOf(given, Name::kFunction) == "chelating-agent") return 1;
  return way.apart ? 3 : 2;
}

}  // namespace query::placing
