// What surrounds the way in: the window of temperature, what to see when it is right and when not, and what to look out for.
#include <fmt/format.h>

#include <algorithm>

#include "kb/derived.h"
#include "query/place_parts.h"

namespace query::placing {
namespace {

constexpr std::size_t kMostTips = 6;
constexpr std::size_t kMostLimits = 2;

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
      return IsSolid(given) ? "The oil is clear at temperature, without a haze or grains." : "";
    case Position::kCoolDown:
      return "The batch is even, without streaks, oil rings or specks.";
    case Position::kDisperseInOil:
    case Position::kSlurry:
      return "A smear between two glasses is even, without specks.";
    case Position::kDisperseInGlycol:
      return Says(given, Name::kInGlycol, "dissolves")
                 ? "Clear in the glycol, and clear when it has met the water."
                 : "";
  }
  return "";
}

std::string WrongWords(const Case& given, Position position) {
  switch (position) {
    case Position::kHeatedWater:
    case Position::kCoolDownWater:
      return DissolvesInWater(given) && IsSolid(given)
                 ? "Grains or needles next day: more of it than the cold water holds."
                 : "";
    case Position::kHeatedOil:
      return IsSolid(given)
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

Window WindowOf(const Room& room, std::optional<double> needs_c, std::optional<double> stands_c,
                Position position) {
  const double needs = needs_c && *needs_c > kb::kCoolDownC ? *needs_c : 0;
  double low = std::max(needs, room.process_c ? *room.process_c - kAbove : 0);
  if (low <= 0 || kb::IsEmulsion(room.kind.form)) low = std::max(low, kUsualHoldLow);
  Window window;
  switch (position) {
    case Position::kHeatedWater:
    case Position::kHeatedOil:
      window = {low, low + kAbove};
      break;
    case Position::kCoolDown:
    case Position::kCoolDownWater:
      break;
    case Position::kDisperseInOil:
    case Position::kDisperseInGlycol:
    case Position::kSlurry:
      window = {needs > 0 ? needs : kBenchC, low + kAbove};
      break;
  }
  if (stands_c) {
    window.max_c = std::min(window.max_c, *stands_c);
    if (IsHeated(position) && *stands_c < low) window.min_c = std::max(needs, kb::kCoolDownC);
  }
  window.min_c = std::min(window.min_c, window.max_c);
  return window;
}

LineFacts FactsOf(const Case& given, const Weighing& weighing) {
  LineFacts facts;
  facts.best = weighing.best;
  facts.share = weighing.share;
  facts.out = weighing.out;
  for (std::size_t i = 0; i < kPositionCount; ++i) facts.serves[i] = MayServe(weighing, kPositions[i]);
  facts.needs_c = NumberOf(given, Name::kNeedsC);
  facts.stands_c = NumberOf(given, Name::kMaxC);
  const std::string_view water = ChoiceOf(given, Name::kInWater);
  const bool into_water = water == "dissolves" || water == "swells" || water == "disperses";
  facts.oily = facts.best == Position::kHeatedOil || facts.best == Position::kDisperseInOil ||
               (facts.best != Position::kHeatedWater && DissolvesInOil(given) && !into_water);
  for (const Position late : {Position::kCoolDown, Position::kCoolDownWater}) {
    const auto i = static_cast<std::size_t>(late);
    facts.late = facts.late || facts.best == late || (weighing.usual[i] && !weighing.out[i]);
  }
  facts.liquid = IsLiquid(given);
  facts.powder = Says(given, Name::kForm, "powder") || Says(given, Name::kForm, "crystals");
  facts.mixes_cold = facts.liquid || DissolvesInWater(given);
  return facts;
}

void AddMethod(const Case& given, const Weighing& weighing, Placement& out) {
  Way way = WayOf(given, out.position, {out.min_c, out.max_c});
  std::string right, wrong;
  const auto heed = [&](const std::string& text) { out.hint += (out.hint.empty() ? "" : " ") + text; };
  for (const Evidence& item : weighing.evidence) {
    if (item.rule == nullptr || !HoldsAt(*item.rule, out.position)) continue;
    if (!item.rule->method.empty()) heed(Filled(given, item.rule->method));
    if (right.empty()) right = item.rule->right;
    if (wrong.empty()) wrong = item.rule->wrong;
  }
  if (Says(given, Name::kShear, "needs-high"))
    heed("It needs high shear: a homogeniser or stick blender for some minutes.");
  if (Says(given, Name::kShear, "low-only")) heed("Stir it only gently: high shear damages it.");
  if (right.empty()) right = RightWords(given, out.position);
  if (wrong.empty()) wrong = WrongWords(given, out.position);
  out.order = OrderOf(given, way);
  out.brief = std::move(way.brief);
  out.apart = way.apart;
  out.held_back_g = way.held_back / 100 * given.batch_g;
  out.how = std::move(way.how);
  out.method = fmt::format("For {:g} g of batch. {}", given.batch_g, out.how);
  if (!out.hint.empty()) out.method += ' ' + out.hint;
  if (!right.empty()) out.method += " Right: " + right;
  if (!wrong.empty()) out.method += " Wrong: " + wrong;
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
