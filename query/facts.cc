#include "query/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

#include "kb/text.h"

namespace query {
namespace {

constexpr std::size_t kDeepest =
    8;  // blends in blends; the indexer refuses cycles, this only bounds the walk

void AddShares(const Catalogue& catalogue, IngredientIx ix, double share, std::size_t depth,
               std::map<std::string, double>& shares) {
  const kb::Ingredient& item = catalogue.at(ix);
  if (item.composition.empty() || depth == kDeepest) {
    shares[item.inci] += share;
    return;
  }
  for (const kb::Component& part : item.composition) {
    const double mass = share * part.pct / 100;
    if (part.ingredient) {
      AddShares(catalogue, *part.ingredient, mass, depth + 1, shares);
    } else {
      shares[part.inci] += mass;
    }
  }
}

// What one source says of a fat's acids in one manner, typical figures or ranges.
struct ProfileOfSource {
  kb::chemistry::FattyAcidProfile shares;
  double sum = 0;
  kb::Standing standing = kb::Standing::kOwn;  // of the least trusted figure in it
  bool ranges = false;

  void Add(const kb::chemistry::FattyAcid& acid, double pct, kb::Standing how_far) {
    if (!shares.emplace(acid, pct).second) return;
    sum += pct;
    standing = std::max(standing, how_far);
  }
  // Analyses leave out traces, so up to 10 % may be missing; above 101 kb::chemistry takes no profile.
  bool Whole() const { return sum >= 90 && sum <= 101; }
  // Lower is better: whole ones by trust, then single figures before ranges, then by what is missing.
  std::tuple<bool, kb::Standing, bool, double> Rank() const {
    if (!Whole()) return {true, kb::Standing::kOwn, false, std::abs(sum - 100)};
    return {false, standing, ranges, std::abs(sum - 100)};
  }
};

}  // namespace

bool GoesIntoWater(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view water = catalogue.Choice(ix, "in_water");
  return water == "dissolves" || water == "swells" || water == "disperses";
}

bool GoesIntoOil(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view oil = catalogue.Choice(ix, "in_oil");
  return !oil.empty() && oil != "insoluble";
}

double WaterShare(const Catalogue& catalogue, IngredientIx ix) {
  const std::string_view chemical_class = catalogue.Choice(ix, "class");
  if (chemical_class == "water") return 1;
  const kb::Ingredient& item = catalogue.at(ix);
  if (item.composition.empty()) {
    // Distillates and juices are water with traces in it.
    return chemical_class == "hydrosol" || chemical_class == "plant-juice" ? 0.98 : 0;
  }
  double share = 0;
  for (const kb::Component& part : item.composition) {
    if (part.ingredient) share += part.pct / 100 * WaterShare(catalogue, *part.ingredient);
  }
  return share;
}

std::optional<kb::Range> UsualLevel(const Catalogue& catalogue, IngredientIx ix, std::string_view function,
                                    kb::Kind kind) {
  const kb::Fact* best = nullptr;
  int best_score = -1;
  for (const kb::Fact& fact : catalogue.Facts(ix, "use_pct")) {
    if (!fact.number) continue;
    int score = 0;
    if (fact.function == function) {
      score += 6;
    } else if (fact.function.empty()) {
      score += 3;
    }
    // A balm is left on skin too, and it is the level in balms that counts.
    if (fact.context == kb::FormName(kind.form)) {
      score += 2;
    } else if (fact.context == kb::UseName(kind.use)) {
      score += 1;
    } else if (!fact.context.empty()) {
      score -= 1;
    }
    if (score > best_score) best = &fact, best_score = score;
  }
  return best == nullptr ? std::nullopt : best->number;
}

bool IsLipid(const Catalogue& catalogue, IngredientIx ix) {
  static constexpr std::array<std::string_view, 7> kFamilies = {
      "oils", "solid-fats", "waxes", "light-oils", "silicones", "fatty-alcohols-and-acids", "wool-fats"};
  const std::string_view family = catalogue.Family(catalogue.Choice(ix, "class"));
  if (std::find(kFamilies.begin(), kFamilies.end(), family) == kFamilies.end()) return false;
  // PEG-12 dimethicone and PEG-75 lanolin bear an oil's name and dissolve in water.
  return SideOf(catalogue, ix) != Side::kWater;
}

const kb::Fact* RequiredHlbFact(const Catalogue& catalogue, IngredientIx ix, bool water_in_oil) {
  const std::string_view wanted = water_in_oil ? "wo" : "ow";
  for (const kb::Fact& fact : catalogue.Facts(ix, "hlb_required")) {
    if (fact.number && (fact.context == wanted || (fact.context.empty() && !water_in_oil))) return &fact;
  }
  return nullptr;
}

double ActiveShare(const Catalogue& catalogue, IngredientIx ix) {
  if (const auto active = catalogue.Number(ix, "active_pct"))
    return std::clamp(active->mid() / 100, 0.0, 1.0);
  return std::max(0.0, 1 - WaterShare(catalogue, ix));
}

std::optional<kb::chemistry::FattyAcidProfile> FattyAcidsOf(const Catalogue& catalogue, IngredientIx ix) {
  // The facts come most trusted first, so the first figure of an acid is the one to keep.
  std::map<std::pair<kb::SourceIx, std::string>, ProfileOfSource> by_source;
  ProfileOfSource together;
  for (const kb::Fact& fact : catalogue.Facts(ix, "fatty_acid_pct")) {
    const auto acid = kb::chemistry::ParseFattyAcid(fact.key);
    if (!fact.number || !acid) continue;
    ProfileOfSource& own = by_source[{fact.source, fact.context}];
    own.ranges = fact.context != "typical";
    own.Add(*acid, fact.number->mid(), fact.standing);
    together.Add(*acid, fact.number->mid(), fact.standing);
  }
  if (by_source.empty()) return std::nullopt;
  auto best = std::min_element(by_source.begin(), by_source.end(), [](const auto& a, const auto& b) {
    return a.second.Rank() < b.second.Rank();
  });
  const bool patch = !best->second.Whole() && together.Rank() < best->second.Rank();
  return std::move(patch ? together.shares : best->second.shares);
}

std::optional<kb::chemistry::HansenPoint> HansenOf(const Catalogue& catalogue, IngredientIx ix) {
  const auto d = catalogue.Number(ix, "hansen_d");
  const auto p = catalogue.Number(ix, "hansen_p");
  const auto h = catalogue.Number(ix, "hansen_h");
  if (!d || !p || !h) return std::nullopt;
  return kb::chemistry::HansenPoint{d->mid(), p->mid(), h->mid()};
}

ClaimAnswer KeepsClaim(const Catalogue& catalogue, IngredientIx ix, std::string_view claim) {
  const auto rules = catalogue.claims();
  const auto rule =
      std::find_if(rules.begin(), rules.end(), [&](const kb::ClaimRule& r) { return r.id == claim; });
  if (rule == rules.end()) return {ClaimState::kUnknown, "there is no such claim"};
  return kb::KeepsClaim(catalogue, ix, *rule);
}

std::string NameAndInci(const Catalogue& catalogue, IngredientIx ix) {
  const kb::Ingredient& item = catalogue.at(ix);
  if (kb::Fold(item.name) == kb::Fold(item.inci)) return item.name;
  return fmt::format("{} ({})", item.name, item.inci);
}

std::vector<std::string> LabelNames(const Catalogue& catalogue, IngredientIx ix) {
  if (catalogue.at(ix).composition.empty()) return {catalogue.at(ix).inci};
  std::map<std::string, double> shares;
  AddShares(catalogue, ix, 1, 0, shares);
  std::vector<std::pair<std::string, double>> order(shares.begin(), shares.end());
  std::stable_sort(order.begin(), order.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  std::vector<std::string> names;
  names.reserve(order.size());
  for (auto& [name, share] : order) names.push_back(std::move(name));
  return names;
}

}  // namespace query
