// The acids, bases and salts of a formula as the equilibrium solver wants them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "kb/catalogue.h"
#include "kb/chemistry/acid_base.h"
#include "query/assess.h"

namespace query {

struct SoluteList {
  std::vector<kb::chemistry::Solute> solutes;
  std::vector<kb::IngredientIx> records;  // of each solute
  double pct = 0;                         // of all of them, % of the whole
  double missing_pct = 0;                 // of `missing`
  std::vector<std::string>
      missing;  // acids, bases and salts by class whose constants or molar mass are not known
};

// Substances that take part in the acid-base equilibrium, as molalities in `water_pct` % of water. Those that stay out of the
// water (fatty acids in the oil phase) are left out.
SoluteList SolutesOf(const kb::Catalogue& catalogue, const std::vector<Substance>& substances,
                     double water_pct);

// One mole of a record as a solute with no amount; nullopt where its constants or molar mass are not known.
std::optional<kb::chemistry::Solute> SoluteOf(const kb::Catalogue& catalogue, kb::IngredientIx ix);

// Mol a kg of water for `pct` % of a pure substance in `water_pct` % of water.
double MolalityOf(double pct, double molar_mass, double water_pct);
double PctOf(double molality, double molar_mass, double water_pct);

}  // namespace query
