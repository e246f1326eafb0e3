#include "query/solutes.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "kb/chemistry/activity.h"
#include "query/facts.h"

namespace query {
namespace {

// Classes whose members change the pH; one of them without constants leaves a hole that has to be named.
bool OughtToBeKnown(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  static constexpr std::array<std::string_view, 22> kClasses = {
      "organic-acid", "organic-acid-salt", "inorganic-acid", "inorganic-base", "amine", "alpha-hydroxy-acid",
      "beta-hydroxy-acid", "polyhydroxy-acid", "aminopolycarboxylate", "phytate", "hygroscopic-salt",
      "phosphonate", "amino-acid", "amidoamine",
      // Surfactants with a weak acid in them, and those sold alkaline.
      "acyl-amino-acid", "soap", "sarcosinate", "carboxylate", "amphoacetate", "lactylate", "amine-oxide",
      "glucoside"};
  const std::string_view chemical_class = catalogue.Choice(ix, "class");
  return std::find(kClasses.begin(), kClasses.end(), chemical_class) != kClasses.end();
}

// Standard uncertainty of each pKa of an ion with more charges than Davies' equation is used for (ours): such constants hold
// for the medium that they were taken in; sodium at 0.5 mol/kg moves those of phytate by more than this.
constexpr double kDoubtOfManyCharges = 0.5;

}  // namespace

double MolalityOf(double pct, double molar_mass, double water_pct) {
  return pct / molar_mass / (water_pct / 1000);
}

double PctOf(double molality, double molar_mass, double water_pct) {
  return molality * molar_mass * water_pct / 1000;
}

std::optional<kb::chemistry::Solute> SoluteOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const auto molar_mass = catalogue.Number(ix, "molar_mass");
  if (!molar_mass) return std::nullopt;
  kb::chemistry::Solute solute;
  solute.name = catalogue.at(ix).inci;
  for (const char* step : {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12"}) {
    const auto pka = catalogue.Number(ix, "pka", step);
    if (!pka) break;
    solute.pka.push_back(pka->mid());
  }
  std::sort(solute.pka.begin(), solute.pka.end());
  const auto charge = catalogue.Number(ix, "charge_protonated");
  if (!charge && !solute.pka.empty()) return std::nullopt;
  if (charge) solute.charge_protonated = static_cast<int>(std::lround(charge->mid()));
  if (solute.charge_protonated - static_cast<int>(solute.pka.size()) <
      -kb::chemistry::kDaviesGreatestCharge) {
    solute.pka_uncertainty = kDoubtOfManyCharges;
  }
  if (const auto ions = catalogue.Number(ix, "counter_charge")) {
    // Strong ions are singly charged for the charge balance: two of +1 stand for one of +2, at a small cost in the
    // activity coefficient.
    const double net = ions->mid();
    if (net != 0) solute.strong_ions.push_back({net > 0 ? 1 : -1, std::abs(net)});
  }
  if (solute.pka.empty() && solute.strong_ions.empty()) return std::nullopt;
  return solute;
}

SoluteList SolutesOf(const kb::Catalogue& catalogue, const std::vector<Substance>& substances,
                     double water_pct) {
  SoluteList list;
  for (const Substance& item : substances) {
    if (!item.record || item.pct <= 0) continue;
    const std::string_view in_water = catalogue.Choice(*item.record, "in_water");
    if (in_water == "insoluble" && catalogue.Choice(*item.record, "in_oil") == "dissolves") continue;
    auto solute = SoluteOf(catalogue, *item.record);
    if (!solute) {
      if (OughtToBeKnown(catalogue, *item.record)) {
        list.missing.push_back(item.inci);
        list.missing_pct += item.pct;
      }
      continue;
    }
    const double molar_mass = catalogue.Number(*item.record, "molar_mass")->mid();
    solute->molality =
        std::min(MolalityOf(item.pct, molar_mass, water_pct), kb::chemistry::kGreatestMolality);
    list.solutes.push_back(std::move(*solute));
    list.records.push_back(*item.record);
    list.pct += item.pct;
  }
  return list;
}

}  // namespace query
