#include "query/likeness.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "kb/chemistry/fatty_acids.h"
#include "kb/chemistry/hansen.h"
#include "kb/text.h"

namespace query {
namespace {

std::string Show(const kb::Range& range) {
  if (range.low == range.high) return fmt::format("{:g}", range.low);
  return fmt::format("{:g}-{:g}", range.low, range.high);
}

std::set<std::string, std::less<>> Choices(const Catalogue& catalogue, IngredientIx ix,
                                           std::string_view property) {
  std::set<std::string, std::less<>> out;
  for (const kb::Fact& fact : catalogue.Facts(ix, property)) out.insert(fact.text);
  return out;
}

std::string Join(const std::set<std::string, std::less<>>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

// The usual choice of a property where several claims stand: the first of the most trusted.
struct Pair {
  std::string_view a, b;
};

double ClassLikeness(const Catalogue& catalogue, Pair pair) {
  if (pair.a == pair.b) return 1;
  return catalogue.Family(pair.a) == catalogue.Family(pair.b) ? 0.6 : 0;
}

// Choices with an order: neighbours are nearly alike, the far ends are not. Without an order: alike or not.
void CompareChoice(const Catalogue& catalogue, const kb::Comparison& by, const kb::Property& property,
                   IngredientIx a, IngredientIx b, Compared& out) {
  const auto left = Choices(catalogue, a, property.id);
  const auto right = Choices(catalogue, b, property.id);
  if (left.empty() || right.empty()) return;
  const Pair pair{catalogue.Choice(a, property.id), catalogue.Choice(b, property.id)};
  if (property.id == "class") {
    out.likeness = ClassLikeness(catalogue, pair);
    return;
  }
  if (property.ordered) {
    const auto place = [&](std::string_view choice) {
      return std::distance(property.choices.begin(),
                           std::find(property.choices.begin(), property.choices.end(), choice));
    };
    const auto difference = place(pair.b) - place(pair.a);
    const auto steps = static_cast<double>(std::max<std::size_t>(property.choices.size() - 1, 1));
    double distance = std::abs(static_cast<double>(difference)) / steps;
    if (by.better == (difference > 0 ? "later" : "earlier")) distance /= 2;
    out.likeness = 1 - distance;
    out.order = difference > 0 ? 1 : difference < 0 ? -1 : 0;
    return;
  }
  std::set<std::string, std::less<>> both;
  std::set_intersection(left.begin(), left.end(), right.begin(), right.end(),
                        std::inserter(both, both.end()));
  const double all = static_cast<double>(left.size() + right.size() - both.size());
  const double shared = static_cast<double>(both.size()) / all;
  // What is listed first is what it is mainly for: meeting there counts more than the length of the lists.
  const bool main = right.contains(pair.a) || left.contains(pair.b);
  out.likeness = pair.a == pair.b ? 0.6 + 0.4 * shared : main ? 0.35 + 0.4 * shared : 0.5 * shared;
}

// Ranges that touch are alike; apart, likeness falls with the gap between their middles.
void CompareNumber(const kb::Comparison& by, const kb::Property& property, const kb::Range& a,
                   const kb::Range& b, Compared& out) {
  double x = a.mid();
  double y = b.mid();
  if (by.ratio) {
    x = std::log(std::max(x, 1e-9));
    y = std::log(std::max(y, 1e-9));
  }
  const double scale = by.scale > 0 ? by.scale : 0.1 * (property.high - property.low);
  out.likeness = std::exp(-std::abs(x - y) / scale);
  if (std::abs(x - y) > 0.25 * scale) out.order = y > x ? 1 : -1;
}

std::string ShowProfile(const kb::chemistry::FattyAcidProfile& profile) {
  std::vector<std::pair<kb::chemistry::FattyAcid, double>> order(profile.begin(), profile.end());
  std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  std::string out;
  for (std::size_t i = 0; i < std::min<std::size_t>(order.size(), 3); ++i) {
    out += fmt::format("{}{} {:.0f} %", i == 0 ? "" : ", ", kb::chemistry::ToString(order[i].first),
                       order[i].second);
  }
  return out;
}

void CompareFattyAcids(const Catalogue& catalogue, IngredientIx a, IngredientIx b, Compared& out) {
  const auto left = FattyAcidsOf(catalogue, a);
  const auto right = FattyAcidsOf(catalogue, b);
  if (left) out.missing = ShowProfile(*left);
  if (right) out.stand_in = ShowProfile(*right);
  if (!left || !right) return;
  const auto distance = kb::chemistry::ProfileDistance(*left, *right);
  if (distance) out.likeness = 1 - *distance;
}

void CompareHansen(const Catalogue& catalogue, IngredientIx a, IngredientIx b, Compared& out) {
  const auto left = HansenOf(catalogue, a);
  const auto right = HansenOf(catalogue, b);
  const auto show = [](const kb::chemistry::HansenPoint& point) {
    return fmt::format("{:.1f}/{:.1f}/{:.1f}", point.dispersion, point.polar, point.hydrogen_bonding);
  };
  // Known of one alone it is a gap, and is shown as one.
  if (left) out.missing = show(*left);
  if (right) out.stand_in = show(*right);
  if (!left || !right) return;
  const auto distance = kb::chemistry::HansenDistance(*left, *right);
  if (!distance) return;
  constexpr double kScale = 5;  // MPa^0.5; radii of cosmetic solutes run from 4 to 10
  out.likeness = std::exp(-*distance / kScale);
}

int RatingOf(std::string_view word) {
  return word == "good" ? 3 : word == "moderate" ? 2 : word == "weak" ? 1 : word == "none" ? 0 : -1;
}

void CompareSpectrum(const Catalogue& catalogue, IngredientIx a, IngredientIx b, Compared& out) {
  double sum = 0;
  int known = 0;
  int lacks = 0;
  for (const char* kingdom : {"gram_positive", "gram_negative", "yeast", "mould"}) {
    const std::string_view left_word = catalogue.Choice(a, "spectrum", kingdom);
    const std::string_view right_word = catalogue.Choice(b, "spectrum", kingdom);
    const auto show = [&](std::string& text, std::string_view word) {
      if (!word.empty()) text += fmt::format("{}{} {}", text.empty() ? "" : ", ", kingdom, word);
    };
    show(out.missing, left_word);
    show(out.stand_in, right_word);
    const int left = RatingOf(left_word);
    const int right = RatingOf(right_word);
    if (left < 0 || right < 0) continue;
    ++known;
    lacks += std::max(0, left - right);
    // Covering more than the missing one is no fault.
    sum += right >= left ? 1 - 0.1 * (right - left) : 1 - (left - right) / 3.0;
  }
  if (known == 0) return;
  out.likeness = sum / known;
  out.order = lacks > 0 ? -1 : 0;
}

void CompareUptake(const Catalogue& catalogue, IngredientIx a, IngredientIx b, Compared& out) {
  double sum = 0;
  int shared = 0;
  std::set<std::string>
      seen;  // crystal and glass, two papers: the most trusted figure of a humidity speaks for it
  for (const kb::Fact& fact : catalogue.Facts(a, "uptake_pct")) {
    const auto other = catalogue.Number(b, "uptake_pct", fact.key);
    if (!fact.number || !other || !seen.insert(fact.key).second) continue;
    sum += std::exp(-std::abs(std::log((fact.number->mid() + 1) / (other->mid() + 1))));
    out.missing +=
        fmt::format("{}{} at {} % RH", out.missing.empty() ? "" : ", ", Show(*fact.number), fact.key);
    out.stand_in += fmt::format("{}{} at {} % RH", out.stand_in.empty() ? "" : ", ", Show(*other), fact.key);
    ++shared;
  }
  if (shared > 0) out.likeness = sum / shared;
}

void ComparePhWindow(const Catalogue& catalogue, IngredientIx a, IngredientIx b, std::optional<double> ph,
                     Compared& out) {
  const auto left = kb::ProductPh(catalogue, a);
  const auto right = kb::ProductPh(catalogue, b);
  if (left) out.missing = Show(*left);
  if (right) out.stand_in = Show(*right);
  if (!right) return;
  if (ph) {
    // What matters is whether it works at the pH that the product has.
    const double outside = std::max({right->low - *ph, *ph - right->high, 0.0});
    out.likeness = std::exp(-outside / 0.5);
    return;
  }
  if (!left) return;
  const double shared = std::min(left->high, right->high) - std::max(left->low, right->low);
  const double width = std::max(left->high - left->low, 0.1);
  out.likeness = std::clamp(shared / width, 0.0, 1.0);
}

void CompareSide(const Catalogue& catalogue, IngredientIx a, IngredientIx b, Compared& out) {
  const Side left = SideOf(catalogue, a);
  const Side right = SideOf(catalogue, b);
  out.missing = SideName(left);
  out.stand_in = SideName(right);
  if (left == Side::kUnknown || right == Side::kUnknown) return;
  out.likeness = left == right ? 1 : left == Side::kBoth || right == Side::kBoth ? 0.8 : 0;
}

void ComparePka(const Catalogue& catalogue, const kb::Comparison& by, IngredientIx a, IngredientIx b,
                Compared& out) {
  const auto pick = [&](IngredientIx ix) -> std::optional<double> {
    std::optional<double> found;
    for (const kb::Fact& fact : catalogue.Facts(ix, "pka")) {
      if (!fact.number) continue;
      const double value = fact.number->mid();
      if (!found || (by.property == "pka_last" ? value > *found : value < *found)) found = value;
    }
    return found;
  };
  const auto left = pick(a);
  const auto right = pick(b);
  if (left) out.missing = fmt::format("{:.2f}", *left);
  if (right) out.stand_in = fmt::format("{:.2f}", *right);
  if (!left || !right) return;
  out.likeness = std::exp(-std::abs(*left - *right) / (by.scale > 0 ? by.scale : 1));
}

double TrustOf(const Catalogue& catalogue, IngredientIx ix, std::string_view property) {
  const kb::Fact* fact = catalogue.Best(ix, property);
  if (fact == nullptr) return 1;
  return fact->standing == kb::Standing::kMemory ? 0.7 : fact->standing == kb::Standing::kEstimate ? 0.8 : 1;
}

void CompareKeyed(const Catalogue& catalogue, const kb::Comparison& by, const kb::Property& property,
                  IngredientIx a, IngredientIx b, Compared& out) {
  double sum = 0;
  int shared = 0;
  std::set<std::string> seen;
  for (const kb::Fact& fact : catalogue.Facts(a, property.id)) {
    const auto other = catalogue.Number(b, property.id, fact.key);
    if (!fact.number || !other || !seen.insert(fact.key).second) continue;
    Compared one;
    CompareNumber(by, property, *fact.number, *other, one);
    sum += one.likeness.value_or(0);
    out.missing += fmt::format("{}{} {}", out.missing.empty() ? "" : ", ", fact.key, Show(*fact.number));
    out.stand_in += fmt::format("{}{} {}", out.stand_in.empty() ? "" : ", ", fact.key, Show(*other));
    ++shared;
  }
  if (shared > 0) out.likeness = sum / shared;
}

// The properties that are worked out from several facts; false where `by` names an ordinary one.
bool CompareDerived(const Catalogue& catalogue, const kb::Comparison& by, IngredientIx a, IngredientIx b,
                    std::optional<double> ph, Compared& out) {
  const std::string& name = by.property;
  if (name == "fatty_acids") {
    CompareFattyAcids(catalogue, a, b, out);
  } else if (name == "hansen") {
    CompareHansen(catalogue, a, b, out);
  } else if (name == "spectrum") {
    CompareSpectrum(catalogue, a, b, out);
  } else if (name == "uptake") {
    CompareUptake(catalogue, a, b, out);
  } else if (name == "ph_window") {
    ComparePhWindow(catalogue, a, b, ph, out);
  } else if (name == "side") {
    CompareSide(catalogue, a, b, out);
  } else if (name.rfind("pka_", 0) == 0) {
    ComparePka(catalogue, by, a, b, out);
  } else {
    return false;
  }
  return true;
}

}  // namespace

Compared CompareProperty(const Catalogue& catalogue, const kb::Comparison& by, IngredientIx missing,
                         IngredientIx stand_in, std::optional<double> ph) {
  Compared out;
  out.property = by.property;
  out.weight = by.weight;
  if (CompareDerived(catalogue, by, missing, stand_in, ph, out)) return out;
  const auto ix = catalogue.FindProperty(by.property);
  if (!ix) return out;
  const kb::Property& property = catalogue.properties()[*ix];
  if (property.kind == kb::ValueKind::kChoice) {
    out.missing = Join(Choices(catalogue, missing, property.id));
    out.stand_in = Join(Choices(catalogue, stand_in, property.id));
    CompareChoice(catalogue, by, property, missing, stand_in, out);
    return out;
  }
  if (!property.keys.empty()) {
    CompareKeyed(catalogue, by, property, missing, stand_in, out);
    return out;
  }
  const auto left = catalogue.Number(missing, by.property);
  const auto right = catalogue.Number(stand_in, by.property);
  if (left) out.missing = Show(*left);
  if (right) out.stand_in = Show(*right);
  if (left && right) CompareNumber(by, property, *left, *right, out);
  return out;
}

namespace {

// An alkane has no fatty acids: to compare them would be to call unknown what does not exist.
bool CanHave(const Catalogue& catalogue, std::string_view compared, IngredientIx ix) {
  const auto property = catalogue.FindProperty(compared == "fatty_acids" ? "fatty_acid_pct" : compared);
  if (!property) return true;
  const std::vector<std::string>& classes = catalogue.properties()[*property].classes;
  if (classes.empty()) return true;
  return std::find(classes.begin(), classes.end(), catalogue.Choice(ix, "class")) != classes.end();
}

}  // namespace

Likeness Compare(const Catalogue& catalogue, const kb::Function& role, IngredientIx missing,
                 IngredientIx stand_in, std::optional<double> ph) {
  Likeness out;
  double known = 0;
  double all = 0;
  double sum = 0;
  double trust = 0;
  for (const kb::Comparison& by : role.compare) {
    Compared one = CompareProperty(catalogue, by, missing, stand_in, ph);
    if (!CanHave(catalogue, by.property, missing) || !CanHave(catalogue, by.property, stand_in)) continue;
    // A property that neither record holds says nothing about this pair: what an alkane's fatty acids are is no gap.
    if (one.missing.empty() && one.stand_in.empty()) continue;
    all += by.weight;
    if (one.likeness) {
      known += by.weight;
      sum += by.weight * *one.likeness;
      trust += by.weight *
               std::min(TrustOf(catalogue, missing, by.property), TrustOf(catalogue, stand_in, by.property));
    }
    out.compared.push_back(std::move(one));
  }
  if (known > 0) out.value = sum / known;
  if (all > 0) out.confidence = trust / all;
  return out;
}

}  // namespace query
