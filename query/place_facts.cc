// The facts of an ingredient, and what follows from them in a batch.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "kb/chemistry/solubility.h"
#include "kb/derived.h"
#include "kb/placing.h"
#include "query/facts.h"
#include "query/place_parts.h"

namespace query::placing {
namespace {

using kb::chemistry::DissolutionVerdict;
using kb::chemistry::SolubilityRange;

// How many times more of a solid dissolves at 70 to 75 C than at 25 C, where only the cold figure is known: 1 to 4 % a C over
// 50 C, as kb/chemistry/solubility.h says of solids in water.
constexpr SolubilityRange kHotGain = {1.6, 7};
constexpr double kLeastWater = 1;  // %
constexpr double kSolution = 0.3;  // share of water from which it is sold as a solution

void Add(Case& given, Name name, std::string_view choice) {
  given.known.AddChoice(static_cast<std::uint8_t>(name), choice);
}

// The general solubility equation for nonionic solids: log10 S (mol/L) = 0.5 - 0.01 (melting point - 25) - log P. An estimate,
// good to a factor of about ten. Jain and Yalkowsky 2001, J. Pharm. Sci. 90, 234-252 (from memory).
std::optional<SolubilityRange> EstimatedFromLogP(const Case& given) {
  const auto log_p = NumberOf(given, Name::kLogP);
  const auto melting = NumberOf(given, Name::kMeltingC);
  const auto mass = NumberOf(given, Name::kMolarMass);
  if (!log_p || !melting || !mass || *mass > 1000) return std::nullopt;
  const double log_s = 0.5 - 0.01 * std::max(0.0, *melting - kRoomC) - *log_p;
  const double grams = std::pow(10, log_s) * *mass;
  return SolubilityRange{grams / 10, grams * 10};
}

struct InWater {
  std::optional<SolubilityRange> cold, hot;
};

InWater SolubilityOf(const Case& given, std::optional<double> hot_c) {
  InWater known;
  std::vector<kb::chemistry::SolubilityPoint> points;
  for (const Known::Figure& figure : given.known.water_figures()) {
    if (figure.number > 0) points.push_back({figure.number, figure.at_c});
    if (figure.number == 0) known.cold = SolubilityRange{0, 0.1};
  }
  if (!points.empty()) {
    if (const auto cold = kb::chemistry::SolubilityAt(points, kRoomC)) known.cold = cold->range;
    if (hot_c) {
      if (const auto hot = kb::chemistry::SolubilityAt(points, *hot_c)) known.hot = hot->range;
    }
  }
  if (!known.cold) {
    std::string name(ChoiceOf(given, Name::kWaterClass));
    std::replace(name.begin(), name.end(), '-', ' ');
    if (name == "miscible") known.cold = SolubilityRange{1e6, std::numeric_limits<double>::infinity()};
    if (const auto soluble = kb::chemistry::ParseSolubilityClass(name))
      known.cold = kb::chemistry::ClassBounds(*soluble);
  }
  if (!known.cold && ChoiceOf(given, Name::kInWater).empty()) known.cold = EstimatedFromLogP(given);
  if (known.cold && !known.hot)
    known.hot = SolubilityRange{known.cold->low * kHotGain.low, known.cold->high * kHotGain.high};
  return known;
}

// What the level does in the water that is there: "" where that cannot be said.
std::string_view Dissolving(const Case& given) {
  const std::string_view in_water = ChoiceOf(given, Name::kInWater);
  if (given.room.water < kLeastWater || in_water == "disperses" || in_water == "swells") return "";
  // An acid that is neutralised first dissolves as its salt, of which these figures say nothing.
  if (Says(given, Name::kNeutralise, "yes") || Says(given, Name::kHowIn, "neutralise")) return "";
  const InWater known = SolubilityOf(given, given.room.process_c);
  if (!known.cold) return in_water == "insoluble" ? "no" : "";
  const auto cold = kb::chemistry::Dissolve(given.level, given.room.water, known.cold);
  const auto hot = kb::chemistry::Dissolve(given.level, given.room.water, known.hot);
  if (!cold || !hot) return "";
  switch (cold->verdict) {
    case DissolutionVerdict::kDissolves:
      return "cold";
    case DissolutionVerdict::kBorderline:
      return "borderline";
    case DissolutionVerdict::kDoesNotDissolve:
      return hot->verdict == DissolutionVerdict::kDoesNotDissolve ? "no" : "crystals";
    case DissolutionVerdict::kUnknown:
      break;
  }
  return "";
}

void AddHeatTraits(Case& given) {
  const double process = given.room.process_c.value_or(kb::kHoldC);
  const std::string_view form = ChoiceOf(given, Name::kForm);
  const auto needs = NumberOf(given, Name::kNeedsC);
  if (form == "liquid" || form == "viscous-liquid") {
    Add(given, Name::kMelts, "liquid");
  } else if (const auto melting = NumberOf(given, Name::kMeltingC)) {
    // A solid that has to be heated on purpose pulls the hot phase up with it.
    const double reaches = std::max(process, needs.value_or(0));
    Add(given, Name::kMelts, *melting <= reaches ? "yes" : "no");
  }
  if (const auto most = NumberOf(given, Name::kMaxC)) {
    Add(given, Name::kStands, *most >= 70 ? "heat" : *most > kb::kCoolDownC ? "warm" : "cool");
  }
  if (needs) Add(given, Name::kNeeds, *needs > kb::kCoolDownC ? "heat" : "none");
}

void AddSignals(Case& given) {
  AddHeatTraits(given);
  static constexpr std::array<std::string_view, 8> kPolymers = {
      "gum",    "cellulosic",     "acrylate",         "synthetic-polymer",
      "pectin", "polysaccharide", "cationic-polymer", "starch"};
  if (!Knows(given, Name::kPolymer) && SaysAny(given, Name::kClass, kPolymers))
    Add(given, Name::kPolymer, "yes");
  const std::string_view chemical_class = ChoiceOf(given, Name::kClass);
  if (given.rules.asks_family() && !chemical_class.empty())
    Add(given, Name::kFamily, given.catalogue.Family(chemical_class));
  Add(given, Name::kKind, kb::FormName(given.room.kind.form));
  Add(given, Name::kHeated, given.room.process_c ? "yes" : "no");
  const std::string_view verdict = Dissolving(given);
  given.solubility_aside = verdict.empty() && given.room.water >= kLeastWater &&
                           (!given.known.water_figures().empty() || Knows(given, Name::kWaterClass));
  given.estimate_aside = verdict.empty() && given.room.water >= kLeastWater && !given.solubility_aside &&
                         Knows(given, Name::kInWater) && EstimatedFromLogP(given);
  if (verdict.empty()) return;
  Add(given, Name::kDissolving, verdict);
  // A figure says what it does in water as well as a word would.
  if (!Knows(given, Name::kInWater) && (verdict == "cold" || verdict == "no"))
    Add(given, Name::kInWater, verdict == "cold" ? "dissolves" : "insoluble");
}

// For a range, the end that does no harm: the lower maximum; else the middle.
double Careful(std::uint8_t name, const kb::Range& range) {
  return name == static_cast<std::uint8_t>(Name::kMaxC) ? range.low : range.mid();
}

}  // namespace

void Known::AddChoice(std::uint8_t name, std::string_view choice) {
  Entry& entry = entries_[name];
  if (entry.count == 0) entry.first = static_cast<std::uint16_t>(choices_.size());
  entry.known = true;
  ++entry.count;
  choices_.push_back(choice);
}

// Of several figures the first is the most trusted; of several stated maxima the lowest holds.
void Known::AddNumber(std::uint8_t name, double number, std::optional<double> at_c) {
  Entry& entry = entries_[name];
  entry.known = true;
  if (!entry.number || (name == static_cast<std::uint8_t>(Name::kMaxC) && number < *entry.number))
    entry.number = number;
  if (name == static_cast<std::uint8_t>(Name::kWaterGPerL)) water_figures_.push_back({number, at_c});
}

const Trait* Find(const Traits& traits, std::string_view property) {
  const auto found = std::find_if(traits.begin(), traits.end(),
                                  [&](const Trait& trait) { return trait.property == property; });
  return found == traits.end() ? nullptr : &*found;
}

bool Knows(const Case& given, Name name) {
  return given.known.At(static_cast<std::uint8_t>(name)).known;
}

std::string_view ChoiceOf(const Case& given, Name name) {
  const auto choices = given.known.Choices(given.known.At(static_cast<std::uint8_t>(name)));
  return choices.empty() ? std::string_view() : choices.front();
}

bool Says(const Case& given, Name name, std::string_view choice) {
  const auto choices = given.known.Choices(given.known.At(static_cast<std::uint8_t>(name)));
  return std::find(choices.begin(), choices.end(), choice) != choices.end();
}

bool SaysAny(const Case& given, Name name, std::span<const std::string_view> choices) {
  return std::any_of(choices.begin(), choices.end(),
                     [&](std::string_view choice) { return Says(given, name, choice); });
}

std::optional<double> NumberOf(const Case& given, Name name) {
  return given.known.At(static_cast<std::uint8_t>(name)).number;
}

bool IsSolid(const Case& given) {
  static constexpr std::array<std::string_view, 4> kSolid = {"powder", "crystals", "flakes", "solid"};
  return SaysAny(given, Name::kForm, kSolid);
}

bool Swells(const Case& given) {
  return Says(given, Name::kInWater, "swells") || Says(given, Name::kLumps, "yes");
}

bool DissolvesInWater(const Case& given) {
  return Says(given, Name::kInWater, "dissolves") ||
         SaysAny(given, Name::kDissolving, std::array<std::string_view, 2>{"cold", "borderline"});
}

bool DissolvesInOil(const Case& given) {
  return Says(given, Name::kInOil, "dissolves") || Says(given, Name::kInOil, "polar-oils-only");
}

bool NeedsBase(const Case& given) {
  return Says(given, Name::kInWater, "insoluble") &&
         (Says(given, Name::kHowIn, "neutralise") || Says(given, Name::kNeutralise, "yes"));
}

bool IsWater(const Case& given) {
  return Says(given, Name::kClass, "water");
}

bool IsLiquid(const Case& given) {
  return Says(given, Name::kForm, "liquid") || Says(given, Name::kForm, "viscous-liquid");
}

Case MakeCase(const kb::Catalogue& catalogue, const Rulebook& rules, Traits traits, const Room& room,
              double level) {
  Case given(catalogue, rules, room, level);
  given.traits = std::move(traits);
  for (const Trait& trait : given.traits) {
    const std::uint8_t name = rules.NumberOf(trait.property);
    if (name == kNoName) continue;
    // A property that is given twice was joined by whoever gave it, but for the points of a solubility curve.
    if (given.known.At(name).known && !trait.number) continue;
    for (const std::string& choice : trait.choices) given.known.AddChoice(name, choice);
    if (trait.number) given.known.AddNumber(name, *trait.number, trait.at_c);
  }
  AddSignals(given);
  return given;
}

Case MakeCase(const kb::Catalogue& catalogue, const Rulebook& rules, kb::IngredientIx ix, const Room& room,
              double level) {
  Case given(catalogue, rules, room, level);
  given.known.Reserve();
  for (const kb::Fact& fact : catalogue.Facts(ix)) {
    const std::uint8_t name = rules.NumberOf(fact.property);
    if (name == kNoName) continue;
    if (name == static_cast<std::uint8_t>(Name::kWaterGPerL)) {
      if (!fact.number || !fact.context.empty()) continue;
      given.known.AddNumber(name, fact.number->low, fact.at_c);
      if (fact.number->high > fact.number->low) given.known.AddNumber(name, fact.number->high, fact.at_c);
    } else if (fact.number) {
      given.known.AddNumber(name, Careful(name, *fact.number));
    } else {
      given.known.AddChoice(name, fact.text);
    }
  }
  for (const kb::FunctionIx function : catalogue.at(ix).functions)
    given.known.AddChoice(static_cast<std::uint8_t>(Name::kFunction), catalogue.function(function).id);
  if (WaterShare(catalogue, ix) >= kSolution) Add(given, Name::kSolution, "yes");
  AddSignals(given);
  return given;
}

}  // namespace query::placing

namespace query {

Traits TraitsOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  using placing::Name;
  const placing::Rulebook rules(catalogue);
  Traits traits;
  const auto from = [&](const kb::Fact& fact) {
    return fmt::format("its record, {}", kb::StandingName(fact.standing));
  };
  for (const kb::Fact& fact : catalogue.Facts(ix)) {
    const std::uint8_t name = rules.NumberOf(fact.property);
    const std::string& property = catalogue.properties()[fact.property].id;
    if (name == placing::kNoName) continue;
    if (name == static_cast<std::uint8_t>(Name::kWaterGPerL)) {
      if (!fact.number || !fact.context.empty()) continue;
      traits.push_back({property, {}, fact.number->low, fact.at_c, from(fact)});
      if (fact.number->high > fact.number->low)
        traits.push_back({property, {}, fact.number->high, fact.at_c, from(fact)});
      continue;
    }
    if (traits.empty() || traits.back().property != property)
      traits.push_back({property, {}, {}, {}, from(fact)});
    Trait& trait = traits.back();
    if (!fact.number) {
      trait.choices.push_back(fact.text);
      continue;
    }
    const double number = placing::Careful(name, *fact.number);
    if (!trait.number || (name == static_cast<std::uint8_t>(Name::kMaxC) && number < *trait.number))
      trait.number = number;
  }
  Trait functions{"function", {}, {}, {}, "its record"};
  for (const kb::FunctionIx function : catalogue.at(ix).functions)
    functions.choices.push_back(catalogue.function(function).id);
  if (!functions.choices.empty()) traits.push_back(std::move(functions));
  if (WaterShare(catalogue, ix) >= placing::kSolution)
    traits.push_back({"solution", {"yes"}, {}, {}, "its composition"});
  return traits;
}

}  // namespace query
