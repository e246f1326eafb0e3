#include "query/likeness.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "kb/chemistry/fatty_acids.h"
#include "kb/chemistry/hansen.h"
#include "kb/text.h"

namespace query {
namespace {

constexpr std::array<const char*, 4> kKingdoms = {"gram_positive", "gram_negative", "yeast", "mould"};

// --- reading ---

double TrustOf(const kb::Fact* fact) {
  if (fact == nullptr) return 1;
  return fact->standing == kb::Standing::kMemory ? 0.7 : fact->standing == kb::Standing::kEstimate ? 0.8 : 1;
}

Measure MeasureOf(const kb::Property& property) {
  if (property.kind == kb::ValueKind::kChoice) {
    return property.id == "class" ? Measure::kClass : property.ordered ? Measure::kOrdered : Measure::kChoice;
  }
  return property.keys.empty() ? Measure::kNumber : Measure::kKeyed;
}

// The properties that are worked out from several facts; kNothing where the name is an ordinary one.
Measure DerivedMeasure(std::string_view name) {
  static constexpr std::array<std::pair<std::string_view, Measure>, 7> kNames = {{
      {"fatty_acids", Measure::kFattyAcids},
      {"components", Measure::kComponents},
      {"hansen", Measure::kHansen},
      {"spectrum", Measure::kSpectrum},
      {"uptake", Measure::kUptake},
      {"ph_window", Measure::kPhWindow},
      {"side", Measure::kSide},
  }};
  for (const auto& [known, measure] : kNames) {
    if (known == name) return measure;
  }
  return name.rfind("pka_", 0) == 0 ? Measure::kPka : Measure::kNothing;
}

// An alkane has no fatty acids: to compare them would be to call unknown what does not exist.
bool CanHave(const Catalogue& catalogue, std::string_view compared, IngredientIx ix) {
  const auto property = catalogue.FindProperty(compared == "fatty_acids"  ? "fatty_acid_pct"
                                               : compared == "components" ? "component_pct"
                                                                          : compared);
  if (!property) return true;
  const std::vector<std::string>& classes = catalogue.properties()[*property].classes;
  if (classes.empty()) return true;
  return std::find(classes.begin(), classes.end(), catalogue.Choice(ix, "class")) != classes.end();
}

void ShowWords(const Catalogue& catalogue, const kb::Property& property, IngredientIx ix, Showing& out) {
  for (const kb::Fact& fact : catalogue.Facts(ix, property.id)) {
    if (std::find(out.words.begin(), out.words.end(), fact.text) == out.words.end())
      out.words.push_back(fact.text);
  }
  if (out.words.empty()) return;
  std::sort(out.words.begin() + 1, out.words.end());
  if (property.id == "class") out.family = catalogue.Family(out.words.front());
  out.place = static_cast<std::size_t>(
      std::find(property.choices.begin(), property.choices.end(), out.words.front()) -
      property.choices.begin());
}

void ShowKeyed(const Catalogue& catalogue, std::string_view property, IngredientIx ix, Showing& out) {
  for (const kb::Fact& fact : catalogue.Facts(ix, property)) out.keyed.emplace_back(fact.key, fact.number);
}

// A component is held once: the facts come most trusted first.
void ShowComponents(const Catalogue& catalogue, IngredientIx ix, Showing& out) {
  for (const std::string_view property : {"allergen_pct", "component_pct"}) {
    for (const kb::Fact& fact : catalogue.Facts(ix, property)) {
      if (fact.number) out.shares.emplace(fact.key, fact.number->mid());
    }
  }
}

std::optional<kb::Range> PkaOf(const Catalogue& catalogue, IngredientIx ix, bool last) {
  std::optional<double> found;
  for (const kb::Fact& fact : catalogue.Facts(ix, "pka")) {
    if (!fact.number) continue;
    const double value = fact.number->mid();
    if (!found || (last ? value > *found : value < *found)) found = value;
  }
  return found ? std::optional(kb::Range{*found, *found}) : std::nullopt;
}

// --- meeting ---

double ClassLikeness(const Showing& a, const Showing& b) {
  if (a.words.front() == b.words.front()) return 1;
  return a.family == b.family ? 0.6 : 0;
}

// Choices with an order: neighbours are nearly alike, the far ends are not.
Met MeetOrdered(const Ruler& ruler, const Showing& a, const Showing& b) {
  Met met;
  const auto difference = static_cast<double>(b.place) - static_cast<double>(a.place);
  double distance = std::abs(difference) / static_cast<double>(ruler.steps);
  if (ruler.by.better == (difference > 0 ? "later" : "earlier")) distance /= 2;
  met.likeness = 1 - distance;
  met.order = difference > 0 ? 1 : difference < 0 ? -1 : 0;
  return met;
}

bool Holds(const std::vector<std::string_view>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// Choices without an order: alike or not.
double ChoiceLikeness(const Showing& a, const Showing& b) {
  const auto both = static_cast<std::size_t>(std::count_if(
      a.words.begin(), a.words.end(), [&](std::string_view word) { return Holds(b.words, word); }));
  const double all = static_cast<double>(a.words.size() + b.words.size() - both);
  const double shared = static_cast<double>(both) / all;
  // What is listed first is what it is mainly for: meeting there counts more than the length of the lists.
  const bool main = Holds(b.words, a.words.front()) || Holds(a.words, b.words.front());
  return a.words.front() == b.words.front() ? 0.6 + 0.4 * shared : main ? 0.35 + 0.4 * shared : 0.5 * shared;
}

// Ranges that touch are alike; apart, likeness falls with the gap between their middles.
Met MeetNumbers(const Ruler& ruler, const kb::Range& a, const kb::Range& b) {
  double x = a.mid();
  double y = b.mid();
  if (ruler.by.ratio) {
    x = std::log(std::max(x, 1e-9));
    y = std::log(std::max(y, 1e-9));
  }
  Met met;
  met.likeness = std::exp(-std::abs(x - y) / ruler.scale);
  if (std::abs(x - y) > 0.25 * ruler.scale) met.order = y > x ? 1 : -1;
  return met;
}

// The figures that both know, key by key; of two papers the most trusted one speaks for a key.
template <class Pair>
void ForShared(const Showing& a, const Showing& b, const Pair& pair) {
  for (std::size_t i = 0; i < a.keyed.size(); ++i) {
    const auto& key = a.keyed[i].first;  // no structured binding: clang 14 lets no lambda hold one
    const auto& number = a.keyed[i].second;
    if (!number) continue;
    const auto same = [&](const auto& other) { return other.first == key; };
    const auto other = std::find_if(b.keyed.begin(), b.keyed.end(), same);
    if (other == b.keyed.end() || !other->second) continue;
    const auto earlier = [&](const auto& one) { return one.first == key && one.second; };
    if (std::any_of(a.keyed.begin(), a.keyed.begin() + static_cast<std::ptrdiff_t>(i), earlier)) continue;
    pair(key, *number, *other->second);
  }
}

Met MeetKeyed(const Ruler& ruler, const Showing& a, const Showing& b) {
  double sum = 0;
  int shared = 0;
  ForShared(a, b, [&](std::string_view, const kb::Range& x, const kb::Range& y) {
    sum += ruler.measure == Measure::kUptake ? std::exp(-std::abs(std::log((x.mid() + 1) / (y.mid() + 1))))
                                             : MeetNumbers(ruler, x, y).likeness.value_or(0);
    ++shared;
  });
  Met met;
  met.counts = shared > 0;
  if (shared > 0) met.likeness = sum / shared;
  return met;
}

// What two oils share of all that is known of either (the quantitative form of Jaccard's coefficient, after Ruzicka,
// Folia Geobot. Phytotax. 1 (1958)): it needs no profile that sums to 100 %, as printed ones of essential oils do not.
Met MeetComponents(const Showing& a, const Showing& b) {
  Met met;
  met.counts = !a.shares.empty() || !b.shares.empty();
  if (a.shares.empty() || b.shares.empty()) return met;
  double shared = 0;
  double all = 0;
  auto x = a.shares.begin();
  auto y = b.shares.begin();
  while (x != a.shares.end() || y != b.shares.end()) {
    const int order = x == a.shares.end() ? 1 : y == b.shares.end() ? -1 : x->first.compare(y->first);
    const double left = order <= 0 ? (x++)->second : 0;
    const double right = order >= 0 ? (y++)->second : 0;
    shared += std::min(left, right);
    all += std::max(left, right);
  }
  if (all > 0) met.likeness = shared / all;
  return met;
}

int RatingOf(std::string_view word) {
  return word == "good" ? 3 : word == "moderate" ? 2 : word == "weak" ? 1 : word == "none" ? 0 : -1;
}

// `words` holds one word a kingdom, "" where it is not known.
Met MeetSpectra(const Showing& a, const Showing& b) {
  Met met;
  double sum = 0;
  int known = 0;
  int lacks = 0;
  for (std::size_t i = 0; i < kKingdoms.size(); ++i) {
    met.counts = met.counts || !a.words[i].empty() || !b.words[i].empty();
    const int left = RatingOf(a.words[i]);
    const int right = RatingOf(b.words[i]);
    if (left < 0 || right < 0) continue;
    ++known;
    lacks += std::max(0, left - right);
    // Covering more than the missing one is no fault.
    sum += right >= left ? 1 - 0.1 * (right - left) : 1 - (left - right) / 3.0;
  }
  if (known == 0) return met;
  met.likeness = sum / known;
  met.order = lacks > 0 ? -1 : 0;
  return met;
}

Met MeetWindows(const Showing& a, const Showing& b, std::optional<double> ph) {
  Met met;
  met.counts = a.number || b.number;
  if (!b.number) return met;
  if (ph) {
    // What matters is whether it works at the pH that the product has.
    const double outside = std::max({b.number->low - *ph, *ph - b.number->high, 0.0});
    met.likeness = std::exp(-outside / 0.5);
    return met;
  }
  if (!a.number) return met;
  const double shared = std::min(a.number->high, b.number->high) - std::max(a.number->low, b.number->low);
  const double width = std::max(a.number->high - a.number->low, 0.1);
  met.likeness = std::clamp(shared / width, 0.0, 1.0);
  return met;
}

Met MeetSides(Side a, Side b) {
  Met met;
  met.counts = a != Side::kUnknown || b != Side::kUnknown;
  if (a == Side::kUnknown || b == Side::kUnknown) return met;
  met.likeness = a == b ? 1 : a == Side::kBoth || b == Side::kBoth ? 0.8 : 0;
  return met;
}

Met MeetWords(const Ruler& ruler, const Showing& a, const Showing& b) {
  Met met;
  if (!a.words.empty() && !b.words.empty()) {
    if (ruler.measure == Measure::kOrdered) {
      met = MeetOrdered(ruler, a, b);
    } else {
      met.likeness = ChoiceLikeness(a, b);
    }
  }
  met.counts = !a.words.empty() || !b.words.empty();
  return met;
}

// --- words ---

std::string Words(const kb::Range& range) {
  if (range.low == range.high) return fmt::format("{:g}", range.low);
  return fmt::format("{:g}-{:g}", range.low, range.high);
}

std::string Words(const kb::chemistry::FattyAcidProfile& profile) {
  std::vector<std::pair<kb::chemistry::FattyAcid, double>> order(profile.begin(), profile.end());
  std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  std::string out;
  for (std::size_t i = 0; i < std::min<std::size_t>(order.size(), 3); ++i) {
    out += fmt::format("{}{} {:.0f} %", i == 0 ? "" : ", ", kb::chemistry::ToString(order[i].first),
                       order[i].second);
  }
  return out;
}

std::string Words(const std::map<std::string_view, double>& shares) {
  std::vector<std::pair<std::string_view, double>> order(shares.begin(), shares.end());
  std::stable_sort(order.begin(), order.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  std::string out;
  for (std::size_t i = 0; i < std::min<std::size_t>(order.size(), 3); ++i) {
    out += fmt::format("{}{} {:.0f} %", i == 0 ? "" : ", ", kb::Fold(order[i].first), order[i].second);
  }
  return out;
}

std::string Words(const kb::chemistry::HansenPoint& point) {
  return fmt::format("{:.1f}/{:.1f}/{:.1f}", point.dispersion, point.polar, point.hydrogen_bonding);
}

std::string WordsOf(const Ruler& ruler, const Showing& showing) {
  switch (ruler.measure) {
    case Measure::kClass:
    case Measure::kOrdered:
    case Measure::kChoice: {
      std::vector<std::string_view> words = showing.words;
      std::sort(words.begin(), words.end());
      return fmt::format("{}", fmt::join(words, ", "));
    }
    case Measure::kFattyAcids:
      return showing.acids ? Words(*showing.acids) : "";
    case Measure::kComponents:
      return Words(showing.shares);
    case Measure::kSpectrum: {
      std::string out;
      for (std::size_t i = 0; i < kKingdoms.size(); ++i) {
        if (!showing.words[i].empty())
          out += fmt::format("{}{} {}", out.empty() ? "" : ", ", kKingdoms[i], showing.words[i]);
      }
      return out;
    }
    case Measure::kHansen:
      return showing.hansen ? Words(*showing.hansen) : "";
    case Measure::kSide:
      return std::string(SideName(showing.side));
    case Measure::kPka:
      return showing.number ? fmt::format("{:.2f}", showing.number->mid()) : "";
    case Measure::kNumber:
    case Measure::kPhWindow:
      return showing.number ? Words(*showing.number) : "";
    default:
      return "";
  }
}

// Both in words: some measures only speak of what both know.
void Say(const Ruler& ruler, const Showing& a, const Showing& b, Compared& out) {
  if (ruler.measure == Measure::kKeyed || ruler.measure == Measure::kUptake) {
    const bool uptake = ruler.measure == Measure::kUptake;
    const auto add = [&](std::string& text, std::string_view key, const kb::Range& number) {
      if (!text.empty()) text += ", ";
      text += uptake ? fmt::format("{} at {} % RH", Words(number), key)
                     : fmt::format("{} {}", key, Words(number));
    };
    ForShared(a, b, [&](std::string_view key, const kb::Range& x, const kb::Range& y) {
      add(out.missing, key, x);
      add(out.stand_in, key, y);
    });
  } else {
    out.missing = WordsOf(ruler, a);
    out.stand_in = WordsOf(ruler, b);
  }
}

Compared InWords(const Ruler& ruler, const Showing& a, const Showing& b, const Met& met) {
  Compared out;
  out.property = ruler.by.property;
  out.weight = ruler.by.weight;
  out.likeness = met.likeness;
  out.order = met.order;
  Say(ruler, a, b, out);
  return out;
}

}  // namespace

Ruler RulerFor(const Catalogue& catalogue, const kb::Comparison& by) {
  Ruler ruler;
  ruler.by = by;
  ruler.measure = DerivedMeasure(by.property);
  ruler.scale = by.scale > 0 ? by.scale : 1;
  const auto ix = catalogue.FindProperty(by.property);
  if (ruler.measure != Measure::kNothing || !ix) return ruler;
  ruler.property = &catalogue.properties()[*ix];
  ruler.measure = MeasureOf(*ruler.property);
  ruler.scale = by.scale > 0 ? by.scale : 0.1 * (ruler.property->high - ruler.property->low);
  ruler.steps = std::max<std::size_t>(ruler.property->choices.size(), 2) - 1;
  return ruler;
}

Showing Show(const Catalogue& catalogue, const Ruler& ruler, IngredientIx ix) {
  Showing out;
  const std::string& name = ruler.by.property;
  out.possible = CanHave(catalogue, name, ix);
  out.trust = TrustOf(catalogue.Best(ix, name));
  switch (ruler.measure) {
    case Measure::kNothing:
      break;
    case Measure::kClass:
    case Measure::kOrdered:
    case Measure::kChoice:
      ShowWords(catalogue, *ruler.property, ix, out);
      break;
    case Measure::kKeyed:
      ShowKeyed(catalogue, name, ix, out);
      break;
    case Measure::kUptake:
      ShowKeyed(catalogue, "uptake_pct", ix, out);
      break;
    case Measure::kNumber:
      out.number = catalogue.Number(ix, name);
      break;
    case Measure::kFattyAcids:
      out.acids = FattyAcidsOf(catalogue, ix);
      if (out.acids) {
        if (auto ready = kb::chemistry::MakeReady(*out.acids)) out.ready = std::move(*ready);
      }
      break;
    case Measure::kComponents:
      ShowComponents(catalogue, ix, out);
      break;
    case Measure::kHansen:
      out.hansen = HansenOf(catalogue, ix);
      break;
    case Measure::kSpectrum:
      for (const char* kingdom : kKingdoms) out.words.push_back(catalogue.Choice(ix, "spectrum", kingdom));
      break;
    case Measure::kPhWindow:
      out.number = kb::ProductPh(catalogue, ix);
      break;
    case Measure::kSide:
      out.side = SideOf(catalogue, ix);
      break;
    case Measure::kPka:
      out.number = PkaOf(catalogue, ix, name == "pka_last");
      break;
  }
  return out;
}

Met Meet(const Ruler& ruler, const Showing& a, const Showing& b, std::optional<double> ph) {
  Met met;
  switch (ruler.measure) {
    case Measure::kNothing:
      break;
    case Measure::kClass:
      met.counts = !a.words.empty() || !b.words.empty();
      if (!a.words.empty() && !b.words.empty()) met.likeness = ClassLikeness(a, b);
      break;
    case Measure::kOrdered:
    case Measure::kChoice:
      return MeetWords(ruler, a, b);
    case Measure::kKeyed:
    case Measure::kUptake:
      return MeetKeyed(ruler, a, b);
    case Measure::kNumber:
      if (a.number && b.number) met = MeetNumbers(ruler, *a.number, *b.number);
      met.counts = a.number || b.number;
      break;
    case Measure::kFattyAcids:
      met.counts = a.acids || b.acids;
      if (a.ready && b.ready) met.likeness = 1 - kb::chemistry::DistanceOf(*a.ready, *b.ready);
      break;
    case Measure::kComponents:
      return MeetComponents(a, b);
    case Measure::kHansen:
      if (a.hansen && b.hansen) {
        constexpr double kScale = 5;  // MPa^0.5; radii of cosmetic solutes run from 4 to 10
        const auto distance = kb::chemistry::HansenDistance(*a.hansen, *b.hansen);
        if (distance) met.likeness = std::exp(-*distance / kScale);
      }
      met.counts = a.hansen || b.hansen;  // known of one alone it is a gap
      break;
    case Measure::kSpectrum:
      return MeetSpectra(a, b);
    case Measure::kPhWindow:
      return MeetWindows(a, b, ph);
    case Measure::kSide:
      return MeetSides(a.side, b.side);
    case Measure::kPka:
      met.counts = a.number || b.number;
      if (a.number && b.number)
        met.likeness = std::exp(-std::abs(a.number->mid() - b.number->mid()) / ruler.scale);
      break;
  }
  return met;
}

Tally TallyOf(const Ruler& ruler, const Showing& missing, const Showing& stand_in, const Met& met) {
  Tally out;
  if (!missing.possible || !stand_in.possible) return out;
  // A property that neither record holds says nothing about this pair: what an alkane's fatty acids are is no gap.
  if (!met.counts) return out;
  const double weight = ruler.by.weight;
  out.all = weight;
  if (!met.likeness) return out;
  out.known = weight;
  out.sum = weight * *met.likeness;
  out.trust = weight * std::min(missing.trust, stand_in.trust);
  return out;
}

Compared CompareProperty(const Catalogue& catalogue, const kb::Comparison& by, IngredientIx missing,
                         IngredientIx stand_in, std::optional<double> ph) {
  const Ruler ruler = RulerFor(catalogue, by);
  const Showing a = Show(catalogue, ruler, missing);
  const Showing b = Show(catalogue, ruler, stand_in);
  return InWords(ruler, a, b, Meet(ruler, a, b, ph));
}

Likeness Compare(const Catalogue& catalogue, const kb::Function& role, IngredientIx missing,
                 IngredientIx stand_in, std::optional<double> ph) {
  Likeness out;
  Tally tally;
  for (const kb::Comparison& by : role.compare) {
    const Ruler ruler = RulerFor(catalogue, by);
    const Showing a = Show(catalogue, ruler, missing);
    const Showing b = Show(catalogue, ruler, stand_in);
    const Met met = Meet(ruler, a, b, ph);
    if (!a.possible || !b.possible || !met.counts) continue;
    tally.Add(TallyOf(ruler, a, b, met));
    out.compared.push_back(InWords(ruler, a, b, met));
  }
  out.value = tally.value();
  out.confidence = tally.confidence();
  return out;
}

}  // namespace query
