// Laws of solubility, heat, charge and acids: what a record says here must agree with what it says there.
#include <array>
#include <optional>
#include <set>

#include "laws.h"

namespace laws {
namespace {

// All claims of a choice are this one.
bool OnlySays(const kb::Catalogue& data, kb::IngredientIx ix, std::string_view property,
              std::string_view choice) {
  const auto facts = data.Facts(ix, property);
  return !facts.empty() &&
         std::all_of(facts.begin(), facts.end(), [&](const kb::Fact& fact) { return fact.text == choice; });
}

std::optional<double> Greatest(const kb::Catalogue& data, kb::IngredientIx ix, std::string_view property) {
  std::optional<double> most;
  for (const kb::Fact& fact : data.Facts(ix, property)) {
    if (fact.number) most = std::max(most.value_or(fact.number->high), fact.number->high);
  }
  return most;
}

std::optional<double> Least(const kb::Catalogue& data, kb::IngredientIx ix, std::string_view property) {
  std::optional<double> least;
  for (const kb::Fact& fact : data.Facts(ix, property)) {
    if (fact.number) least = std::min(least.value_or(fact.number->low), fact.number->low);
  }
  return least;
}

// What stays out of water does not go into the water phase, unless it is made soluble there or the claim says how;
// the same for oil.
TEST(Law, PhaseAgreesWithSolubility) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const bool out_of_water = OnlySays(data, ix, "in_water", "insoluble");
    const bool out_of_oil = OnlySays(data, ix, "in_oil", "insoluble");
    for (const kb::Fact& phase : data.Facts(ix, "phase")) {
      ++looked_at;
      const bool water = IsOneOf(phase.text, {"heated-water", "cool-down-water"});
      const bool oil = IsOneOf(phase.text, {"heated-oil"});
      if (!phase.note.empty()) continue;
      if (water && out_of_water && !data.Says(ix, "how_in", "neutralise"))
        broken.Add(data.at(ix).id, fmt::format("insoluble in water, and goes into {}", phase.text));
      if (oil && out_of_oil)
        broken.Add(data.at(ix).id, fmt::format("insoluble in oil, and goes into {}", phase.text));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, OilsStayOutOfWater) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    if (!IsOneOf(data.Choice(ix, "class"),
                 {"triglyceride-oil", "butter", "wax", "alkane", "infused-oil", "essential-oil", "sterol"}))
      continue;
    ++looked_at;
    for (const kb::Fact& fact : data.Facts(ix, "in_water")) {
      if (fact.text != "insoluble" && fact.note.empty() && data.at(ix).composition.empty())
        broken.Add(data.at(ix).id, fmt::format("{} that {} in water", data.Choice(ix, "class"), fact.text));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// Pharmacopoeia (Ph. Eur. 1.4): below 0.1 g/L is "practically insoluble", from 10 g/L "sparingly soluble" begins.
TEST(Law, SolubilityInWaterAgreesWithItsFigures) {
  constexpr double kPracticallyInsoluble = 0.1;
  constexpr double kSparinglySoluble = 10;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const auto most = Greatest(data, ix, "water_g_per_l");
    const auto least = Least(data, ix, "water_g_per_l");
    const std::string_view in_class = data.Choice(ix, "water_class");
    if (!most && in_class.empty()) continue;
    ++looked_at;
    if (data.Says(ix, "in_water", "dissolves") &&
        ((most && *most < kPracticallyInsoluble) || in_class == "practically-insoluble"))
      broken.Add(data.at(ix).id, "dissolves in water, and its figure or class says practically insoluble");
    if (OnlySays(data, ix, "in_water", "insoluble") &&
        ((least && *least > kSparinglySoluble) ||
         IsOneOf(in_class, {"soluble", "freely-soluble", "very-soluble", "miscible"})))
      broken.Add(data.at(ix).id, "insoluble in water, and its figure or class says soluble");
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

struct ClassBounds {
  std::string_view name;
  double low, high;  // g/L
};
// Ph. Eur. 1.4, mL of solvent a gram turned round.
constexpr std::array<ClassBounds, 7> kClassBounds = {{{"practically-insoluble", 0, 0.1},
                                                      {"very-slightly-soluble", 0.1, 1},
                                                      {"slightly-soluble", 1, 10},
                                                      {"sparingly-soluble", 10, 33.3},
                                                      {"soluble", 33.3, 100},
                                                      {"freely-soluble", 100, 1000},
                                                      {"very-soluble", 1000, 20000}}};

// A figure counts the litre of solution or of solvent, and a class runs from 15 to 25 C: a figure up to twice past the
// class's bound, taken in that range, may still be the same substance. Further is a slip in one of the two.
TEST(Law, SolubilityFigureLiesWithinItsClass) {
  constexpr double kSlack = 2;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    for (const kb::Fact& name : data.Facts(ix, "water_class")) {
      const auto* const bounds = std::find_if(kClassBounds.begin(), kClassBounds.end(),
                                              [&](const ClassBounds& one) { return one.name == name.text; });
      // A note on the class says what the monograph does and the figure does not.
      if (bounds == kClassBounds.end() || !name.note.empty()) continue;
      for (const kb::Fact& figure : data.Facts(ix, "water_g_per_l")) {
        if (figure.at_c && (*figure.at_c < 15 || *figure.at_c > 25)) continue;
        ++looked_at;
        if (figure.number->high < bounds->low / kSlack || figure.number->low > bounds->high * kSlack)
          broken.Add(data.at(ix).id, fmt::format("{} at {} g/L", name.text, figure.text));
      }
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// What dissolves in oil has no log P far below 0: such a molecule prefers water a hundredfold in octanol already, which is
// kinder to it than any oil.
TEST(Law, PartitionAgreesWithSolubilityInOil) {
  constexpr double kPrefersWater = -2;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const auto most = Greatest(data, ix, "log_p");
    if (!most) continue;
    ++looked_at;
    if (*most < kPrefersWater && data.Says(ix, "in_oil", "dissolves"))
      broken.Add(data.at(ix).id, fmt::format("dissolves in oil with log P {}", *most));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, WhatIsMeltedMeltsBelowTheHeatItStands) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const auto stands = Greatest(data, ix, "max_c");
    if (!stands) continue;
    if (const auto needs = Least(data, ix, "needs_c")) {
      ++looked_at;
      if (*needs > *stands)
        broken.Add(data.at(ix).id, fmt::format("needs {} C and stands {} C", *needs, *stands));
    }
    const auto melts = Least(data, ix, "melting_c");
    if (!melts || !data.Says(ix, "how_in", "melt")) continue;
    ++looked_at;
    if (*melts >= *stands)
      broken.Add(data.at(ix).id,
                 fmt::format("goes in melted, melts at {} C and stands {} C", *melts, *stands));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// CLP (Regulation (EC) 1272/2008, Annex I, 2.6): a liquid with a flash point of 60 C or less is a flammable liquid.
TEST(Law, WhatBurnsSaysSo) {
  constexpr double kFlammableLiquid = 60;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const auto burns = Least(data, ix, "flash_c");
    if (!burns) continue;
    ++looked_at;
    if (*burns <= kFlammableLiquid && !data.Says(ix, "caution", "flammable"))
      broken.Add(data.at(ix).id, fmt::format("its vapour burns from {} C, and no caution says so", *burns));
    if (const auto boils = Greatest(data, ix, "boiling_c"); boils && *burns >= *boils)
      broken.Add(data.at(ix).id,
                 fmt::format("its vapour burns from {} C, and it boils at {} C", *burns, *boils));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, AFormAgreesWithTheMeltingPoint) {
  // Soft solids give way over a range, and supercooled or impure goods stay liquid: only what is far off is a slip.
  constexpr double kSurelySolid = 45;
  constexpr double kSurelyLiquid = 5;
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const auto least = Least(data, ix, "melting_c");
    const auto most = Greatest(data, ix, "melting_c");
    if (!least || !data.at(ix).composition.empty()) continue;
    ++looked_at;
    if (*least > kSurelySolid && OnlySays(data, ix, "form", "liquid") &&
        data.Facts(ix, "form").front().note.empty())
      broken.Add(data.at(ix).id, fmt::format("a liquid that melts at {} C", *least));
    if (*most < kSurelyLiquid && (data.Says(ix, "form", "flakes") || data.Says(ix, "form", "crystals")))
      broken.Add(data.at(ix).id, fmt::format("crystals or flakes that melt at {} C", *most));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// --- charge ---

struct ClassCharge {
  std::string_view chemical_class;
  std::vector<std::string_view> charges;
};

// What the head of each class carries in water at the pH of a product. Inner salts count as amphoteric.
const std::vector<ClassCharge>& ClassCharges() {
  static const std::vector<ClassCharge> list = {
      {"alkyl-sulfate", {"anionic"}},
      {"alkyl-ether-sulfate", {"anionic"}},
      {"sulfonate", {"anionic"}},
      {"isethionate", {"anionic"}},
      {"taurate", {"anionic"}},
      {"sarcosinate", {"anionic"}},
      {"sulfosuccinate", {"anionic"}},
      {"sulfoacetate", {"anionic"}},
      {"carboxylate", {"anionic"}},
      {"soap", {"anionic"}},
      {"lactylate", {"anionic"}},
      {"phosphate-ester", {"anionic"}},
      {"acyl-amino-acid", {"anionic"}},
      {"aminopolycarboxylate", {"anionic"}},
      {"phosphonate", {"anionic"}},
      {"phytate", {"anionic"}},
      {"organic-acid-salt", {"anionic"}},
      {"acrylate", {"anionic"}},
      {"monomeric-quat", {"cationic"}},
      {"esterquat", {"cationic"}},
      {"amidoamine", {"cationic"}},
      {"biguanide", {"cationic"}},
      {"cationic-polymer", {"cationic"}},
      {"betaine", {"amphoteric"}},
      {"sultaine", {"amphoteric"}},
      {"amphoacetate", {"amphoteric"}},
      {"amine-oxide", {"amphoteric", "nonionic"}},
      {"phospholipid", {"amphoteric"}},
      {"amino-acid", {"amphoteric", "nonionic"}},
      {"protein", {"amphoteric", "cationic"}},
      {"polysorbate", {"nonionic"}},
      {"peg-ester", {"nonionic"}},
      {"peg-ether", {"nonionic"}},
      {"peg-castor", {"nonionic"}},
      {"peg-glyceride", {"nonionic"}},
      {"glucoside", {"nonionic"}},
      {"sorbitan-ester", {"nonionic"}},
      {"sucrose-ester", {"nonionic"}},
      {"olivate", {"nonionic"}},
      {"alkanolamide", {"nonionic"}},
      {"silicone-emulsifier", {"nonionic"}},
      {"fatty-alcohol", {"nonionic"}},
      {"alkanediol", {"nonionic"}},
      {"glyceryl-ether", {"nonionic"}},
      {"isothiazolinone", {"nonionic"}},
      {"carbamate", {"nonionic"}},
      {"polyol", {"nonionic"}},
      {"glycol", {"nonionic"}},
      {"sugar", {"nonionic"}},
      {"alcohol", {"nonionic"}},
      {"ester", {"nonionic"}},
      // Citrates and the self-emulsifying grade bear a charge.
      {"glyceryl-ester", {"nonionic", "anionic"}},
      {"polyglyceryl-ester", {"nonionic", "anionic"}},
      {"gum", {"nonionic", "anionic"}},
      {"pectin", {"anionic"}},
      {"cellulosic", {"nonionic", "anionic"}},
      {"clay", {"anionic"}},
      {"fatty-acid", {"anionic", "nonionic"}},
      {"alpha-hydroxy-acid", {"anionic"}},
      {"beta-hydroxy-acid", {"anionic"}},
      {"polyhydroxy-acid", {"anionic"}},
      {"organic-acid", {"anionic", "nonionic"}},
  };
  return list;
}

// Members whose class goes by the backbone and whose charge does not follow it.
const std::vector<std::string_view>& ChargedOtherwise() {
  static const std::vector<std::string_view> list = {
      "ethyl-lauroyl-arginate",  // the acyl amino acid is esterified: what is left is the guanidinium of arginine
      "polyquaternium-51",       // phosphorylcholine groups: inner salts
      "aluminum-stearate",       // a metal soap: it does not part in water
      "chitosan",                // a polyamine, the one cationic gum
  };
  return list;
}

TEST(Law, ChargeAgreesWithClass) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const std::string_view chemical_class = data.Choice(ix, "class");
    const auto expected =
        std::find_if(ClassCharges().begin(), ClassCharges().end(),
                     [&](const ClassCharge& one) { return one.chemical_class == chemical_class; });
    if (expected == ClassCharges().end() || IsOneOf(data.at(ix).id, ChargedOtherwise())) continue;
    for (const kb::Fact& charge : data.Facts(ix, "charge")) {
      ++looked_at;
      if (!IsOneOf(charge.text, expected->charges))
        broken.Add(data.at(ix).id, fmt::format("{} {}", charge.text, chemical_class));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, ChargeAgreesWithFunction) {
  struct Rule {
    std::string_view function;
    std::vector<std::string_view> charges;
  };
  const std::vector<Rule> rules = {{"surfactant-anionic", {"anionic"}},
                                   {"surfactant-amphoteric", {"amphoteric"}},
                                   {"surfactant-nonionic", {"nonionic"}},
                                   {"cationic-conditioner", {"cationic"}}};
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (const Rule& rule : rules) {
    for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
      // A blend holds several; its record says the charge of the lead.
      if (!data.HasFunction(ix, rule.function) || Holds(data.at(ix).inci, ", ")) continue;
      ++looked_at;
      if (!IsOneOf(data.Choice(ix, "charge"), rule.charges))
        broken.Add(data.at(ix).id,
                   fmt::format("a {} of charge '{}'", rule.function, data.Choice(ix, "charge")));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// --- acids and bases ---

TEST(Law, AcidConstantsAreUsable) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const std::string& id = data.at(ix).id;
    std::set<int> steps;
    for (const kb::Fact& fact : data.Facts(ix, "pka")) steps.insert(std::stoi(fact.key));
    const bool ions = !data.Facts(ix, "counter_charge").empty();
    if (steps.empty() && !ions) continue;
    ++looked_at;
    if (!steps.empty() && *steps.rbegin() != static_cast<int>(steps.size()))
      broken.Add(id, "its steps do not run from 1 without a gap");
    if (!steps.empty() && data.Facts(ix, "charge_protonated").empty())
      broken.Add(id, "a pKa, and nobody knows the charge of the form that holds all protons");
    if (data.Facts(ix, "molar_mass").empty()) broken.Add(id, "a pKa or counter-ions without a molar mass");
    double before = -100;
    for (const int step : steps) {
      const double pka = data.Number(ix, "pka", std::to_string(step))->mid();
      if (pka < before) broken.Add(id, fmt::format("pKa {} of step {} is below the step before", pka, step));
      before = pka;
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// Those without constants, and why.
const std::vector<std::string_view>& WithoutConstants() {
  static const std::vector<std::string_view> list = {
      "capryloyl-salicylic-acid",          // no measured value was found
      "ectoin",                            // a zwitterion over the whole range of products
      "ergothioneine",                     // as ectoin
      "thioctic-acid",                     // goes into the oil or glycol: no part in the water's pH
      "undecylenic-acid",                  // as thioctic acid
      "paba",                              // prohibited
      "brassicamidopropyl-dimethylamine",  // a mixture of chains without a molar mass
      "silver-citrate",                    // hardly soluble: no part in the pH
      "zinc-phenolsulfonate",              // the salt of a strong acid
  };
  return list;
}

TEST(Law, AcidsBasesAndTheirSaltsHoldTheirConstants) {
  const kb::Catalogue& data = Data();
  Broken broken;
  std::size_t looked_at = 0;
  for (kb::IngredientIx ix = 0; ix < Count(data); ++ix) {
    const kb::Ingredient& item = data.at(ix);
    if (!item.composition.empty() || IsOneOf(item.id, WithoutConstants())) continue;
    const std::string_view chemical_class = data.Choice(ix, "class");
    const bool acid_or_base = IsOneOf(
        chemical_class, {"organic-acid", "alpha-hydroxy-acid", "beta-hydroxy-acid", "polyhydroxy-acid",
                         "amine", "inorganic-acid", "inorganic-base", "amidoamine", "amino-acid"});
    const bool salt = IsOneOf(chemical_class, {"organic-acid-salt", "aminopolycarboxylate"});
    if (!acid_or_base && !salt) continue;
    ++looked_at;
    if (acid_or_base && data.Facts(ix, "pka").empty() && data.Facts(ix, "counter_charge").empty())
      broken.Add(item.id, fmt::format("{} without a pKa or counter-ions", chemical_class));
    if (salt && data.Facts(ix, "pka").empty())
      broken.Add(item.id, fmt::format("{} without a pKa", chemical_class));
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

}  // namespace
}  // namespace laws
