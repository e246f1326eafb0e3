// The rules of data/placing.toml, weighed.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "kb/derived.h"
#include "kb/placing.h"
#include "query/place_parts.h"

namespace query::placing {
namespace {

// Log-odds for the positions that a record names, in its order; those further on count as the last.
constexpr std::array<double, 4> kUsualWeights = {7.5, 3.5, 2.2, 1.2};
constexpr double kLeastSecond = 0.01;  // share below which a position is not worth naming

constexpr std::array<std::string_view, kNameCount> kNames = {
    "absorbs_oil", "charge", "class",    "dissolving",  "electrolyte",  "family",    "form",
    "function",    "heated", "how_in",   "in_ethanol",  "in_glycol",    "in_oil",    "in_water",
    "keeps",       "kind",   "log_p",    "lumps",       "max_c",        "melting_c", "melts",
    "molar_mass",  "needs",  "needs_c",  "neutralise",  "phase",        "polymer",   "shear",
    "solution",    "stands", "stays_on", "water_class", "water_g_per_l"};

// Where a name is, by its length and three of its letters: rules ask thousands of times for these few.
constexpr std::size_t kBuckets = 128;
constexpr std::size_t BucketOf(std::string_view name) {
  const auto letter = [&](std::size_t i) {
    return static_cast<std::size_t>(static_cast<unsigned char>(name[i]));
  };
  return (name.size() + letter(0) + 7 * letter(name.size() - 1) + 7 * letter(name.size() / 2)) % kBuckets;
}

constexpr std::array<std::uint8_t, kBuckets> kBucket = [] {
  std::array<std::uint8_t, kBuckets> buckets{};
  buckets.fill(kNoName);
  for (std::size_t i = 0; i < kNames.size(); ++i) buckets[BucketOf(kNames[i])] = static_cast<std::uint8_t>(i);
  return buckets;
}();
// Another name that falls into a taken bucket asks for another sum.
static_assert([] {
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (kBucket[BucketOf(kNames[i])] != i) return false;
  }
  return true;
}());

std::size_t At(Position position) {
  return static_cast<std::size_t>(position);
}

std::optional<double> Quantity(const Case& given, std::string_view name) {
  if (name == "level") return given.level;
  if (name == "water") return given.room.water;
  if (name == "oil") return given.room.oil;
  if (name == "glycol") return given.room.glycol;
  if (name == "surfactant") return given.room.surfactant;
  if (name == "salt") return given.room.electrolyte;
  if (name == "process") return given.room.process_c.value_or(kb::kHoldC);
  const std::uint8_t number = given.rules.NumberOf(name);
  return number == kNoName ? std::nullopt : given.known.At(number).number;
}

bool Compares(double value, const std::string& sign, double number) {
  if (sign == "<") return value < number;
  if (sign == "<=") return value <= number;
  if (sign == ">") return value > number;
  if (sign == ">=") return value >= number;
  return value == number;
}

// Most words differ in length or in one of two letters: that is seen without a call.
bool Same(std::string_view a, const std::string& b) {
  return a.size() == b.size() &&
         (a.empty() || (a.front() == b.front() && a[a.size() / 2] == b[a.size() / 2] && a == b));
}

bool SaysOneOf(const Case& given, const Known::Entry& entry, const std::vector<std::string>& values) {
  for (const std::string_view choice : given.known.Choices(entry)) {
    for (const std::string& value : values) {
      if (Same(choice, value)) return true;
    }
  }
  return false;
}

bool HoldsTerm(const Case& given, const kb::PlacingTerm& term, std::uint8_t name) {
  static constexpr Known::Entry kUnknown;
  const Known::Entry& entry = name == kNoName ? kUnknown : given.known.At(name);
  if (term.sign.empty()) return entry.count > 0 && SaysOneOf(given, entry, term.values);
  if (term.sign == "not") return entry.known && !SaysOneOf(given, entry, term.values);
  if (term.sign == "known") return entry.known;
  const auto value = Quantity(given, term.name);
  return value && Compares(*value, term.sign, term.number);
}

// The positions that the record, or the maker, names as usual.
void AddUsual(const Case& given, Words words, Weighing& out) {
  const auto named = given.known.Choices(given.known.At(static_cast<std::uint8_t>(Name::kPhase)));
  for (std::size_t i = 0; i < named.size(); ++i) {
    const auto found = std::find(kb::kPositionIds.begin(), kb::kPositionIds.end(), named[i]);
    if (found == kb::kPositionIds.end()) continue;
    const auto position = static_cast<std::size_t>(found - kb::kPositionIds.begin());
    const double weight = kUsualWeights[std::min(i, kUsualWeights.size() - 1)];
    out.score[position] += weight;
    out.usual[position] = true;
    if (words == Words::kWithout) continue;
    const Trait* trait = Find(given.traits, "phase");
    const std::string_view from = trait == nullptr ? std::string_view() : trait->from;
    Evidence item;
    item.weights[position] = weight;
    item.says = fmt::format("{} {} ({})", i == 0 ? "its usual position:" : "another position of it:",
                            PositionWords(kPositions[position]), from);
    out.evidence.push_back(std::move(item));
  }
}

void AddRule(const Case& given, const kb::PlacingRule& rule, Words words, Weighing& out) {
  for (std::size_t i = 0; i < kPositionCount; ++i) {
    if (i < rule.weights.size()) out.score[i] += rule.weights[i];
    if (i < rule.out.size() && rule.out[i]) out.out[i] = true;
  }
  if (words == Words::kWithout) return;
  Evidence item;
  item.rule = &rule;
  item.says = Filled(given, rule.says);
  for (std::size_t i = 0; i < kPositionCount; ++i) {
    item.weights[i] = i < rule.weights.size() ? rule.weights[i] : 0;
    item.out[i] = i < rule.out.size() && rule.out[i];
  }
  out.evidence.push_back(std::move(item));
}

void AddRules(const Case& given, Words words, Weighing& out) {
  const std::uint8_t* name = given.rules.terms().data();
  for (const kb::PlacingRule& rule : given.rules.placing().rules) {
    const std::uint8_t* const first = name;
    name += rule.terms.size();
    bool holds = true;
    for (std::size_t i = 0; holds && i < rule.terms.size(); ++i)
      holds = HoldsTerm(given, rule.terms[i], first[i]);
    if (holds) AddRule(given, rule, words, out);
  }
}

}  // namespace

Rulebook::Rulebook(const kb::Catalogue& catalogue) : placing_(catalogue.placing()) {
  terms_.reserve(2 * placing_.rules.size());
  for (const kb::PlacingRule& rule : placing_.rules) Take(rule.terms);
  for (const kb::BenchTest& test : placing_.tests) {
    for (const kb::PlacingTerm& term : test.terms) asks_family_ = asks_family_ || term.name == "family";
  }
  by_property_.assign(catalogue.properties().size(), kNoName);
  for (std::size_t i = 0; i < by_property_.size(); ++i)
    by_property_[i] = NumberOf(catalogue.properties()[i].id);
}

void Rulebook::Take(const std::vector<kb::PlacingTerm>& terms) {
  for (const kb::PlacingTerm& term : terms) {
    std::uint8_t number = NumberOf(term.name);
    if (number == kNoName && kNameCount + further_.size() < kMostNames) {
      number = static_cast<std::uint8_t>(kNameCount + further_.size());
      further_.push_back(term.name);
    }
    terms_.push_back(number);
    asks_family_ = asks_family_ || number == static_cast<std::uint8_t>(Name::kFamily);
  }
}

std::uint8_t Rulebook::NumberOf(std::string_view name) const {
  if (name.empty()) return kNoName;
  const std::uint8_t number = kBucket[BucketOf(name)];
  if (number != kNoName && kNames[number] == name) return number;
  const auto other = std::find(further_.begin(), further_.end(), name);
  return other == further_.end() ? kNoName
                                 : static_cast<std::uint8_t>(kNameCount + (other - further_.begin()));
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
    const std::uint8_t number = given.rules.NumberOf(name);
    const auto choices =
        number == kNoName ? std::span<const std::string_view>() : given.known.Choices(given.known.At(number));
    if (value) {
      out += Figure(*value);
    } else if (!choices.empty()) {
      out += choices.front();
    }
    text.remove_prefix(close + 1);
  }
  return out;
}

bool Holds(const Case& given, const std::vector<kb::PlacingTerm>& terms) {
  return std::all_of(terms.begin(), terms.end(), [&](const kb::PlacingTerm& term) {
    return HoldsTerm(given, term, given.rules.NumberOf(term.name));
  });
}

Weighing Weigh(const Case& given, Words words) {
  Weighing out;
  const std::vector<double>& prior = given.rules.placing().prior;
  for (std::size_t i = 0; i < kPositionCount && i < prior.size(); ++i) out.score[i] = prior[i];
  AddUsual(given, words, out);
  AddRules(given, words, out);
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

bool MayServe(const Weighing& weighing, Position position) {
  const std::size_t i = At(position);
  return !weighing.out[i] &&
         (position == weighing.best || weighing.usual[i] || weighing.share[i] >= kLeastSecond);
}

}  // namespace query::placing
