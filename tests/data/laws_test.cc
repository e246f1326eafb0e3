// Laws on what each record must hold and what the law of the land allows.
#include "laws.h"

#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace laws {
namespace {

TEST(Law, RangesAreOrderedAndWithinTheBoundsOfTheirProperty) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : data.ingredients()) {
    for (const kb::Fact& fact : item.facts) {
      const kb::Property& property = data.properties()[fact.property];
      if (!fact.number || property.kind != kb::ValueKind::kNumber) continue;
      ++looked_at;
      const auto [low, high] = *fact.number;
      // Written so that what is no number breaks it too.
      if (!(property.low <= low && low <= high && high <= property.high)) {
        broken.Add(item.id, fmt::format("{} {} to {}, expected within {} to {}", property.id, low, high,
                                        property.low, property.high));
      }
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// A blend brings what its parts hold: it melts with them and its pH follows theirs.
bool HoldsOrBrings(const kb::Catalogue& data, kb::IngredientIx ix, std::string_view property) {
  if (!data.Facts(ix, property).empty()) return true;
  const auto& parts = data.at(ix).composition;
  return std::any_of(parts.begin(), parts.end(), [&](const kb::Component& part) {
    return part.ingredient && HoldsOrBrings(data, *part.ingredient, property);
  });
}

// Facts that were sought and not found: unknown is better than invented. Each leaves this list when a figure is seen.
const std::set<std::pair<std::string_view, std::string_view>>& NotKnown() {
  static const std::set<std::pair<std::string_view, std::string_view>> list = {
      // Mixed chains; their melting range differs by grade and no print of it was seen.
      {"c14-22-alcohols-and-c12-20-alkyl-glucoside", "melting_c"},
      {"cetearyl-olivate", "melting_c"},
      {"coconut-alcohol-and-coco-glucoside", "melting_c"},
      {"hydrogenated-olive-oil", "melting_c"},
      {"polyglyceryl-3-distearate", "melting_c"},
      // Sold with salt or as mixtures: the active share stands on the sheet of the grade alone.
      {"sodium-lauroyl-aspartate", "active_pct"},
      {"sodium-methyl-cocoyl-taurate-powder", "active_pct"},
      {"sodium-methyl-stearoyl-taurate", "active_pct"},
      // Plant saponins: from a few per cent to nearly all, by extract.
      {"quillaja-extract", "active_pct"},
      {"saponins", "active_pct"},
      {"shikakai", "active_pct"},
      {"soap-nut-extract", "active_pct"},
      {"soapwort-extract", "active_pct"},
      {"yucca-extract", "active_pct"},
      // Named only because it is no preservative, whatever is said of it.
      {"honeysuckle-extract", "purpose"},
  };
  return list;
}

TEST(Law, MembersHoldWhatTheirFunctionsRequire) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (std::size_t f = 0; f < data.functions().size(); ++f) {
    const kb::Function& function = data.functions()[f];
    for (const std::string& property : function.required) {
      for (const kb::IngredientIx ix : data.Members(static_cast<kb::FunctionIx>(f))) {
        const bool used = property != "use_pct" || !data.HasFunction(ix, "prohibited");
        if (!used) continue;
        ++looked_at;
        const bool known = HoldsOrBrings(data, ix, property);
        const bool listed = NotKnown().contains({data.at(ix).id, property});
        if (!known && !listed)
          broken.Add(data.at(ix).id, fmt::format("a {} without {}", function.id, property));
        if (known && listed)
          broken.Add(data.at(ix).id, fmt::format("{} is known now: take it off the list", property));
      }
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, EveryRecordSaysWhatItIs) {
  const kb::Catalogue& data = Data();
  Broken broken;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    for (const char* property : {"about", "form", "class", "origin", "in_water", "in_oil", "commonness"}) {
      if (data.Facts(ix, property).empty()) broken.Add(data.at(ix).id, fmt::format("without {}", property));
    }
    if (data.at(ix).functions.empty()) broken.Add(data.at(ix).id, "without a function");
  }
  EXPECT_TRUE(broken.Nobody(Count(data)));
}

TEST(Law, SharesOfACompositionSumToNoMoreThanAHundred) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : data.ingredients()) {
    if (item.composition.empty()) continue;
    ++looked_at;
    double sum = 0;
    for (const kb::Component& part : item.composition) sum += part.pct;
    constexpr double kTyped = 0.01;  // shares are typed with two decimals at most
    if (sum > 100 + kTyped) broken.Add(item.id, fmt::format("its parts sum to {} %", sum));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// Allergens, fatty acids and the like are keyed shares of one whole.
TEST(Law, AllergensAndOtherComponentsSumToNoMoreThanTheWhole) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    std::map<std::string, double> least;
    for (const char* property : {"allergen_pct", "component_pct"}) {
      for (const kb::Fact& fact : data.Facts(ix, property)) {
        const auto [place, fresh] = least.emplace(fact.key, fact.number->low);
        if (!fresh) place->second = std::min(place->second, fact.number->low);
      }
    }
    if (least.empty()) continue;
    ++looked_at;
    double sum = 0;
    for (const auto& [key, pct] : least) sum += pct;
    if (sum > 100) broken.Add(data.at(ix).id, fmt::format("at least {} % of components", sum));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// --- what is named must exist ---

class Known {
 public:
  explicit Known(const kb::Catalogue& data) : data_(data) {
    for (const kb::ChemicalClass& one : data.classes()) classes_.insert(one.id);
    const auto property = data.FindProperty("class");
    if (property) {
      for (const std::string& one : data.properties()[*property].choices) class_choices_.insert(one);
    }
  }

  void Side(std::string_view who, const kb::ConflictSide& side, Broken& broken) const {
    for (const std::string& id : side.ingredients) {
      if (!data_.FindId(id)) broken.Add(who, fmt::format("no ingredient '{}'", id));
    }
    for (const std::string& id : side.functions) {
      if (!data_.FindFunction(id)) broken.Add(who, fmt::format("no function '{}'", id));
    }
    for (const std::string& id : side.classes) {
      if (!class_choices_.contains(id)) broken.Add(who, fmt::format("no class '{}'", id));
    }
  }

  bool Class(const std::string& id) const { return class_choices_.contains(id); }

 private:
  const kb::Catalogue& data_;
  std::set<std::string> classes_, class_choices_;
};

TEST(Law, ConflictsNameWhatExists) {
  const kb::Catalogue& data = Data();
  const Known known(data);
  Broken broken;
  for (const kb::Conflict& conflict : data.conflicts()) {
    known.Side(conflict.id, conflict.a, broken);
    known.Side(conflict.id, conflict.b, broken);
  }
  EXPECT_TRUE(broken.Nobody(data.conflicts().size()));
}

TEST(Law, FamiliesOfClassesNameWhatExists) {
  const kb::Catalogue& data = Data();
  const Known known(data);
  Broken broken;
  for (const kb::ChemicalClass& one : data.classes()) {
    if (!known.Class(one.id)) broken.Add(one.family, fmt::format("no class '{}'", one.id));
  }
  EXPECT_TRUE(broken.Nobody(data.classes().size()));
}

TEST(Law, PhrasesOfSearchNameWhatExists) {
  const kb::Catalogue& data = Data();
  Broken broken;
  for (const kb::Phrase& phrase : data.parts().phrases) {
    for (const std::string& id : phrase.functions) {
      if (!data.FindFunction(id)) broken.Add(phrase.id, fmt::format("no function '{}'", id));
    }
    if (phrase.words.empty()) broken.Add(phrase.id, "no words");
  }
  EXPECT_TRUE(broken.Nobody(data.phrases().size()));
}

TEST(Law, EveryFunctionHasACardWithSources) {
  const kb::Catalogue& data = Data();
  std::set<std::string_view> sources;
  for (const kb::Source& source : data.sources()) sources.insert(source.key);
  Broken broken;
  for (const kb::Function& function : data.functions()) {
    const kb::FunctionCard& card = function.card;
    if (card.what.empty() || card.choose.empty() || card.levels.empty() || card.wrong.empty())
      broken.Add(function.id, "its card is not whole");
    if (card.sources.empty()) broken.Add(function.id, "its card names no source");
    for (const std::string& key : card.sources) {
      if (!sources.contains(key)) broken.Add(function.id, fmt::format("no source '{}'", key));
    }
    for (const std::string& near : function.near) {
      if (!data.FindFunction(near)) broken.Add(function.id, fmt::format("no function '{}'", near));
    }
  }
  EXPECT_TRUE(broken.Nobody(data.functions().size()));
}

// That each substance is a record's, a part's or the EU inventory's is held in tests/checks/data/inventory_check.cc.
TEST(Law, LimitsAreSharesOfTheirBasis) {
  const kb::Catalogue& data = Data();
  Broken broken;
  for (const kb::Limit& limit : data.limits()) {
    if (limit.factor <= 0 || limit.factor > 2)
      broken.Add(limit.substance, fmt::format("factor {}", limit.factor));
    if (limit.max_pct && (*limit.max_pct <= 0 || *limit.max_pct > 100))
      broken.Add(limit.substance, fmt::format("at most {} %", *limit.max_pct));
  }
  EXPECT_TRUE(broken.Nobody(data.limits().size()));
}

// --- usual levels against the law ---

// A limit that binds a product for which nothing is known but that it stays on or is rinsed off.
bool BindsGenerally(const kb::Limit& limit, std::string_view context) {
  if (!limit.max_pct || limit.jurisdiction != "EU" || limit.annex == "advice" || limit.annex.empty())
    return false;
  if (limit.uses.empty()) return true;
  return std::any_of(limit.uses.begin(), limit.uses.end(), [&](const std::string& use) {
    if (use != "leave-on" && use != "rinse-off") return false;  // narrower: the formula has to say so
    const bool either = context != "leave-on" && context != "rinse-off" && context != "surfactant";
    return either || use == (context == "surfactant" ? "rinse-off" : context);
  });
}

// Every level of this property that brings more than a legal maximum has a note that names it.
testing::AssertionResult KeepsTheLaw(std::string_view property) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const kb::Ingredient& item = data.at(ix);
    std::vector<std::pair<std::string, double>> parts;
    Parts(data, item, 1, parts);
    for (const kb::Fact& use : data.Facts(ix, property)) {
      // Substances of one entry, scope and basis share its maximum.
      std::map<std::tuple<std::string, std::string, std::string, double>, double> brought;
      for (const auto& [inci, share] : parts) {
        for (const kb::Limit* limit : data.LimitsOf(inci)) {
          if (!BindsGenerally(*limit, use.context)) continue;
          const std::string entry = limit->annex + "/" + (limit->entry.empty() ? inci : limit->entry);
          brought[{entry, limit->scope, limit->expressed_as, *limit->max_pct}] +=
              use.number->high * share * limit->factor;
        }
      }
      for (const auto& [key, pct] : brought) {
        ++looked_at;
        const auto& [entry, scope, basis, most] = key;
        constexpr double kRounding = 1.001;  // factors are written with three or four figures
        if (pct <= most * kRounding || Holds(use.note, fmt::format("{:g} %", most))) continue;
        broken.Add(item.id,
                   fmt::format("{} {}{}{} brings {:.4g} %{}{}, the limit is {:g} % ({}: {}); expected "
                               "less, or a note that names the {:g} %",
                               property, use.text, use.context.empty() ? "" : " " + use.context,
                               use.function.empty() ? "" : " as " + use.function, pct,
                               basis.empty() ? "" : " ", basis, most, entry, scope, most));
      }
    }
  }
  return broken.Nobody(looked_at);
}

TEST(Law, UsualLevelsKeepTheLegalMaximumOrSayWhereItLies) {
  EXPECT_TRUE(KeepsTheLaw("use_pct"));
}

// --- what is said once ---

using Levels = std::map<std::string, std::set<std::pair<double, double>>>;  // by kind of product

bool NearlyTheSame(const Levels& own, const Levels& rule) {
  constexpr double kTold =
      1.1;  // a difference of less is none to somebody with a scale (common practice, no source)
  const auto same = [](double a, double b) { return std::max(a, b) <= kTold * std::min(a, b); };
  return own.size() == rule.size() && std::all_of(own.begin(), own.end(), [&](const auto& level) {
           const auto held = rule.find(level.first);
           if (held == rule.end() || held->second.size() != 1 || level.second.size() != 1) return false;
           const auto& [low, high] = *level.second.begin();
           return same(low, held->second.begin()->first) && same(high, held->second.begin()->second);
         });
}

std::string ClassOf(const kb::Catalogue& data, kb::IngredientIx ix) {
  const auto claims = data.Facts(ix, "class");
  return claims.empty() ? "" : claims.front().text;
}

// The levels that members of a class (or of a function: class "") take from its rule, by function. A rule that holds for
// some members only and another for the rest give two ranges: NearlyTheSame lets them be.
std::map<std::pair<std::string, std::string>, Levels> LevelsByRule(const kb::Catalogue& data) {
  std::map<std::pair<std::string, std::string>, Levels> rules;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    for (const kb::Fact& fact : data.Facts(ix, "use_pct")) {
      if (fact.basis != kb::Basis::kClass && fact.basis != kb::Basis::kFunction) continue;
      const std::string holder = fact.basis == kb::Basis::kClass ? ClassOf(data, ix) : "";
      rules[{holder, fact.function}][fact.context].emplace(fact.number->low, fact.number->high);
    }
  }
  return rules;
}

TEST(Law, ALevelOfARecordSaysMoreThanTheRuleThatItWouldTake) {
  const kb::Catalogue& data = Data();
  const auto rules = LevelsByRule(data);
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    std::map<std::string, Levels> own;
    std::set<std::string> more;  // functions of which a claim brings a note or a source
    for (const kb::Fact& fact : data.Facts(ix, "use_pct")) {
      if (fact.basis != kb::Basis::kRecord) continue;
      if (!fact.note.empty() || !fact.at.empty() || fact.standing == kb::Standing::kPublished)
        more.insert(fact.function);
      own[fact.function][fact.context].emplace(fact.number->low, fact.number->high);
    }
    for (const auto& [function, levels] : own) {
      auto rule = rules.find({ClassOf(data, ix), function});
      if (rule == rules.end()) rule = rules.find({"", function});
      if (rule == rules.end()) continue;
      ++looked_at;
      if (!more.contains(function) && NearlyTheSame(levels, rule->second))
        broken.Add(data.at(ix).id, fmt::format("its levels as {} are those of the rule", function));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, LevelsInMedicinesKeepTheLegalMaximumOrSayWhereItLies) {
  EXPECT_TRUE(KeepsTheLaw("topical_max_pct"));
}

TEST(Law, LevelsReportedInCosmeticsKeepTheLegalMaximumOrSayWhereItLies) {
  EXPECT_TRUE(KeepsTheLaw("reported_max_pct"));
}

TEST(Law, WhatTheLawProhibitsIsSaidInItsRecord) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (const kb::Limit& limit : data.limits()) {
    if (!limit.prohibited || !limit.uses.empty() || !limit.forms.empty()) continue;
    for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
      if (data.at(ix).inci != limit.substance) continue;
      ++looked_at;
      if (!data.HasFunction(ix, "prohibited"))
        broken.Add(data.at(ix).id, "prohibited, and its functions do not say so");
    }
  }
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    if (!data.HasFunction(ix, "prohibited")) continue;
    ++looked_at;
    if (data.LimitsOf(data.at(ix).inci).empty())
      broken.Add(data.at(ix).id, "called prohibited, and no limit says so");
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

}  // namespace
}  // namespace laws
