// The facts of an ingredient in a batch, what follows from them, and the rules weighed.
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
// Log-odds for the positions that a record names, in its order; those further on count as the last.
constexpr std::array<double, 4> kUsualWeights = {7.5, 3.5, 2.2, 1.2};

std::size_t At(Position position) {
  return static_cast<std::size_t>(position);
}

void Add(Traits& traits, std::string property, std::string choice, std::string from) {
  traits.push_back({std::move(property), {std::move(choice)}, {}, {}, std::move(from)});
}

// The general solubility equation for nonionic solids: log10 S (mol/L) = 0.5 - 0.01 (melting point - 25) - log P. An estimate,
// good to a factor of about ten. Jain and Yalkowsky 2001, J. Pharm. Sci. 90, 234-252 (from memory).
std::optional<SolubilityRange> EstimatedFromLogP(const Traits& traits) {
  const auto log_p = NumberOf(traits, "log_p");
  const auto melting = NumberOf(traits, "melting_c");
  const auto mass = NumberOf(traits, "molar_mass");
  if (!log_p || !melting || !mass || *mass > 1000) return std::nullopt;
  const double log_s = 0.5 - 0.01 * std::max(0.0, *melting - kRoomC) - *log_p;
  const double grams = std::pow(10, log_s) * *mass;
  return SolubilityRange{grams / 10, grams * 10};
}

struct InWater {
  std::optional<SolubilityRange> cold, hot;
};

InWater SolubilityOf(const Traits& traits, std::optional<double> hot_c) {
  InWater known;
  std::vector<kb::chemistry::SolubilityPoint> points;
  for (const Trait& trait : traits) {
    if (trait.property != "water_g_per_l" || !trait.number) continue;
    if (*trait.number > 0) points.push_back({*trait.number, trait.at_c});
    if (*trait.number == 0) known.cold = SolubilityRange{0, 0.1};
  }
  if (const auto cold = kb::chemistry::SolubilityAt(points, kRoomC)) known.cold = cold->range;
  if (hot_c) {
    if (const auto hot = kb::chemistry::SolubilityAt(points, *hot_c)) known.hot = hot->range;
  }
  if (!known.cold) {
    std::string name(ChoiceOf(traits, "water_class"));
    std::replace(name.begin(), name.end(), '-', ' ');
    if (name == "miscible") known.cold = SolubilityRange{1e6, std::numeric_limits<double>::infinity()};
    if (const auto soluble = kb::chemistry::ParseSolubilityClass(name))
      known.cold = kb::chemistry::ClassBounds(*soluble);
  }
  if (!known.cold && ChoiceOf(traits, "in_water").empty()) known.cold = EstimatedFromLogP(traits);
  if (known.cold && !known.hot)
    known.hot = SolubilityRange{known.cold->low * kHotGain.low, known.cold->high * kHotGain.high};
  return known;
}

// What the level does in the water that is there: "" where that cannot be said.
std::string_view Dissolving(const Case& given) {
  const std::string_view in_water = ChoiceOf(given.traits, "in_water");
  if (given.room.water < kLeastWater || in_water == "disperses" || in_water == "swells") return "";
  // An acid that is neutralised first dissolves as its salt, of which these figures say nothing.
  if (Says(given.traits, "neutralise", "yes") || Says(given.traits, "how_in", "neutralise")) return "";
  const InWater known = SolubilityOf(given.traits, given.room.process_c);
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
  Traits& traits = given.traits;
  const double process = given.room.process_c.value_or(kb::kHoldC);
  const std::string_view form = ChoiceOf(traits, "form");
  const auto needs = NumberOf(traits, "needs_c");
  if (form == "liquid" || form == "viscous-liquid") {
    Add(traits, "melts", "liquid", "its form");
  } else if (const auto melting = NumberOf(traits, "melting_c")) {
    // A solid that has to be heated on purpose pulls the hot phase up with it.
    const double reaches = std::max(process, needs.value_or(0));
    Add(traits, "melts", *melting <= reaches ? "yes" : "no", "its melting point");
  }
  if (const auto most = NumberOf(traits, "max_c")) {
    Add(traits, "stands", *most >= 70 ? "heat" : *most > kb::kCoolDownC ? "warm" : "cool", "max_c");
  }
  if (needs) Add(traits, "needs", *needs > kb::kCoolDownC ? "heat" : "none", "needs_c");
}

void AddSignals(Case& given) {
  Traits& traits = given.traits;
  AddHeatTraits(given);
  static constexpr std::array<std::string_view, 8> kPolymers = {
      "gum",    "cellulosic",     "acrylate",         "synthetic-polymer",
      "pectin", "polysaccharide", "cationic-polymer", "starch"};
  if (Find(traits, "polymer") == nullptr && SaysAny(traits, "class", kPolymers))
    Add(traits, "polymer", "yes", "its class");
  const std::string_view chemical_class = ChoiceOf(traits, "class");
  if (!chemical_class.empty())
    Add(traits, "family", std::string(given.catalogue.Family(chemical_class)), "its class");
  Add(traits, "kind", std::string(kb::FormName(given.room.kind.form)), "the batch");
  Add(traits, "heated", given.room.process_c ? "yes" : "no", "the batch");
  const std::string_view verdict = Dissolving(given);
  if (verdict.empty()) return;
  Add(traits, "dissolving", std::string(verdict), "its solubility");
  // A figure says what it does in water as well as a word would.
  if (Find(traits, "in_water") == nullptr && (verdict == "cold" || verdict == "no"))
    Add(traits, "in_water", verdict == "cold" ? "dissolves" : "insoluble", std::string(kImplied));
}

std::optional<double> Quantity(const Case& given, std::string_view name) {
  if (name == "level") return given.level;
  if (name == "water") return given.room.water;
  if (name == "oil") return given.room.oil;
  if (name == "glycol") return given.room.glycol;
  if (name == "surfactant") return given.room.surfactant;
  if (name == "salt") return given.room.electrolyte;
  if (name == "process") return given.room.process_c.value_or(kb::kHoldC);
  return NumberOf(given.traits, name);
}

bool Compares(double value, const std::string& sign, double number) {
  if (sign == "<") return value < number;
  if (sign == "<=") return value <= number;
  if (sign == ">") return value > number;
  if (sign == ">=") return value >= number;
  return value == number;
}

bool HoldsTerm(const Case& given, const kb::PlacingTerm& term) {
  const Trait* trait = Find(given.traits, term.name);
  if (term.sign == "known") return trait != nullptr;
  if (!term.sign.empty() && term.sign != "not") {
    const auto value = Quantity(given, term.name);
    return value && Compares(*value, term.sign, term.number);
  }
  if (trait == nullptr) return false;
  const bool any = std::any_of(term.values.begin(), term.values.end(), [&](const std::string& value) {
    return Says(given.traits, term.name, value);
  });
  return any != (term.sign == "not");
}

// The positions that the record, or the maker, names as usual.
void AddUsual(const Case& given, Weighing& out) {
  const Trait* phase = Find(given.traits, "phase");
  if (phase == nullptr) return;
  for (std::size_t i = 0; i < phase->choices.size(); ++i) {
    const auto found = std::find(kb::kPositionIds.begin(), kb::kPositionIds.end(), phase->choices[i]);
    if (found == kb::kPositionIds.end()) continue;
    Evidence item;
    const auto position = static_cast<std::size_t>(found - kb::kPositionIds.begin());
    item.weights[position] = kUsualWeights[std::min(i, kUsualWeights.size() - 1)];
    item.says = fmt::format("{} {} ({})", i == 0 ? "its usual position:" : "another position of it:",
                            PositionWords(kPositions[position]), phase->from);
    out.evidence.push_back(std::move(item));
  }
}

void AddRules(const Case& given, Weighing& out) {
  for (const kb::PlacingRule& rule : given.catalogue.placing().rules) {
    if (!Holds(given, rule.terms)) continue;
    Evidence item;
    item.rule = &rule;
    item.says = Filled(given, rule.says);
    for (std::size_t i = 0; i < kPositionCount; ++i) {
      item.weights[i] = i < rule.weights.size() ? rule.weights[i] : 0;
      item.out[i] = i < rule.out.size() && rule.out[i];
    }
    out.evidence.push_back(std::move(item));
  }
}

}  // namespace

const Trait* Find(const Traits& traits, std::string_view property) {
  const auto found = std::find_if(traits.begin(), traits.end(),
                                  [&](const Trait& trait) { return trait.property == property; });
  return found == traits.end() ? nullptr : &*found;
}

std::string_view ChoiceOf(const Traits& traits, std::string_view property) {
  const Trait* trait = Find(traits, property);
  return trait == nullptr || trait->choices.empty() ? std::string_view() : trait->choices.front();
}

bool Says(const Traits& traits, std::string_view property, std::string_view choice) {
  const Trait* trait = Find(traits, property);
  return trait != nullptr &&
         std::find(trait->choices.begin(), trait->choices.end(), choice) != trait->choices.end();
}

bool SaysAny(const Traits& traits, std::string_view property, std::span<const std::string_view> choices) {
  return std::any_of(choices.begin(), choices.end(),
                     [&](std::string_view choice) { return Says(traits, property, choice); });
}

std::optional<double> NumberOf(const Traits& traits, std::string_view property) {
  const Trait* trait = Find(traits, property);
  return trait == nullptr ? std::nullopt : trait->number;
}

bool IsSolid(const Traits& traits) {
  static constexpr std::array<std::string_view, 4> kSolid = {"powder", "crystals", "flakes", "solid"};
  return SaysAny(traits, "form", kSolid);
}

std::string Figure(double value) {
  if (value != 0 && std::abs(value) < 0.01) return fmt::format("{:.1g}", value);
  return std::abs(value) >= 100 ? fmt::format("{:.0f}", value) : fmt::format("{:.3g}", value);
}

std::string Filled(const Case& given, std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t open = text.find('{');
    const std::size_t close = text.find('}', open == std::string_view::npos ? 0 : open);
    if (open == std::string_view::npos || close == std::string_view::npos) return out.append(text);
    out.append(text.substr(0, open));
    const std::string_view name = text.substr(open + 1, close - open - 1);
    const auto value = Quantity(given, name);
    out += value ? Figure(*value) : std::string(ChoiceOf(given.traits, name));
    text.remove_prefix(close + 1);
  }
  return out;
}

bool Holds(const Case& given, const std::vector<kb::PlacingTerm>& terms) {
  return std::all_of(terms.begin(), terms.end(), [&](const auto& term) { return HoldsTerm(given, term); });
}

Case MakeCase(const kb::Catalogue& catalogue, Traits traits, const Room& room, double level) {
  Case given{catalogue, std::move(traits), room, level};
  AddSignals(given);
  return given;
}

Weighing Weigh(const Case& given) {
  Weighing out;
  const std::vector<double>& prior = given.catalogue.placing().prior;
  for (std::size_t i = 0; i < kPositionCount && i < prior.size(); ++i) out.score[i] = prior[i];
  AddUsual(given, out);
  AddRules(given, out);
  for (const Evidence& item : out.evidence) {
    for (std::size_t i = 0; i < kPositionCount; ++i) {
      out.score[i] += item.weights[i];
      out.out[i] = out.out[i] || item.out[i];
    }
  }
  // A paste can always be made: where every position is ruled out it is what is left.
  if (std::all_of(out.out.begin(), out.out.end(), [](bool o) { return o; }))
    out.out[At(Position::kSlurry)] = false;
  double total = 0;
  double most = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < kPositionCount; ++i) {
    if (out.out[i]) continue;
    if (out.score[i] > most) most = out.score[i], out.best = kPositions[i];
  }
  for (std::size_t i = 0; i < kPositionCount; ++i) {
    out.share[i] = out.out[i] ? 0 : std::exp(out.score[i] - most);
    total += out.share[i];
  }
  for (double& share : out.share) share /= total;
  return out;
}

}  // namespace query::placing

namespace query {
namespace {

// For a range, the end that does no harm: the lower maximum, the higher need.
double Careful(std::string_view property, const kb::Range& range) {
  if (property == "max_c") return range.low;
  if (property == "needs_c") return range.mid();
  return range.mid();
}

// Properties that say something about where it goes in; the rest of a record is not carried along.
constexpr std::array<std::string_view, 22> kCarried = {
    "form",        "class",   "in_water", "in_oil", "in_ethanol",  "in_glycol", "water_class", "log_p",
    "melting_c",   "needs_c", "max_c",    "phase",  "how_in",      "lumps",     "shear",       "neutralise",
    "electrolyte", "charge",  "stays_on", "keeps",  "absorbs_oil", "molar_mass"};

}  // namespace

Traits TraitsOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  Traits traits;
  const auto from = [&](const kb::Fact& fact) {
    return fmt::format("its record, {}", kb::StandingName(fact.standing));
  };
  for (const std::string_view property : kCarried) {
    const auto facts = catalogue.Facts(ix, property);
    if (facts.empty()) continue;
    Trait trait{std::string(property), {}, {}, {}, from(facts.front())};
    for (const kb::Fact& fact : facts) {
      if (!fact.number) {
        trait.choices.push_back(fact.text);
        continue;
      }
      const double number = Careful(property, *fact.number);
      // Several stated maxima: the lowest holds. Otherwise the most trusted figure.
      if (!trait.number || (property == "max_c" && number < *trait.number)) trait.number = number;
    }
    traits.push_back(std::move(trait));
  }
  for (const kb::Fact& fact : catalogue.Facts(ix, "water_g_per_l")) {
    if (!fact.number || !fact.context.empty()) continue;
    for (const double end : {fact.number->low, fact.number->high}) {
      traits.push_back({"water_g_per_l", {}, end, fact.at_c, from(fact)});
      if (fact.number->low == fact.number->high) break;
    }
  }
  Trait functions{"function", {}, {}, {}, "its record"};
  for (const kb::FunctionIx function : catalogue.at(ix).functions)
    functions.choices.push_back(catalogue.function(function).id);
  if (!functions.choices.empty()) traits.push_back(std::move(functions));
  if (const double share = WaterShare(catalogue, ix); share >= 0.3)
    traits.push_back({"solution", {"yes"}, {}, {}, "its composition"});
  return traits;
}

Room RoomOf(const kb::Catalogue& catalogue, const kb::Formula& formula,
            std::optional<kb::IngredientIx> without) {
  static constexpr std::array<std::string_view, 3> kGlycols = {"glycol", "polyol", "alkanediol"};
  static constexpr std::array<std::string_view, 4> kSalts = {"inorganic-salt", "organic-acid-salt",
                                                             "hygroscopic-salt", "inorganic-base"};
  const auto any = [](const auto& list, std::string_view item) {
    return !item.empty() && std::find(list.begin(), list.end(), item) != list.end();
  };
  Room room;
  room.kind = formula.kind;
  for (const kb::FormulaLine& line : formula.lines) {
    const kb::IngredientIx ix = line.ingredient;
    const std::string_view chemical_class = catalogue.Choice(ix, "class");
    room.water += line.pct * WaterShare(catalogue, ix);
    if (IsLipid(catalogue, ix)) room.oil += line.pct;
    if (any(kGlycols, chemical_class)) room.glycol += line.pct;
    if (any(kSalts, chemical_class)) room.electrolyte += line.pct;
    for (const char* function : {"surfactant-anionic", "surfactant-amphoteric", "surfactant-nonionic"}) {
      if (!catalogue.HasFunction(ix, function)) continue;
      room.surfactant += line.pct * ActiveShare(catalogue, ix);
      break;
    }
    const auto needs = catalogue.Number(ix, "needs_c");
    if (ix != without && needs && needs->mid() > kb::kCoolDownC)
      room.process_c = std::max(room.process_c.value_or(kb::kHoldC), needs->mid());
  }
  return room;
}

}  // namespace query
