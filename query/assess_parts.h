// The rooms of Assess, one a topic. Each reads what earlier ones found and adds its own; the order is in assess.cc.
#pragma once

#include "query/assess.h"

namespace query::parts {

struct Setting {
  const kb::Catalogue& catalogue;
  const kb::Formula& formula;
  Depth depth = Depth::kFull;
};

void AddComposition(const Setting& setting, Assessment& out);   // totals, phases, substances, sums
void AddEmulsion(const Setting& setting, Assessment& out);      // required and provided HLB
void AddPh(const Setting& setting, Assessment& out);            // charge balance, windows, adjustment
void AddPreservation(const Setting& setting, Assessment& out);  // spectrum at this pH, water activity
void AddHeat(const Setting& setting, Assessment& out);  // needed and permitted temperatures, names of phases
void AddSolubility(const Setting& setting, Assessment& out);  // does it dissolve, does it stay dissolved
void AddLevels(const Setting& setting, Assessment& out);      // against the usual levels
void AddConflicts(const Setting& setting, Assessment& out);   // data/conflicts.toml
void AddLimits(const Setting& setting, Assessment& out);      // data/limits.toml
void AddLabel(const Setting& setting, Assessment& out);       // INCI order, allergens
void AddClaims(const Setting& setting, Assessment& out);      // data/claims.toml

// Mass of each substance in the whole, % : blends taken apart.
std::vector<Substance> SubstancesOf(const kb::Catalogue& catalogue, const kb::Formula& formula);

// Does a substance count on the emulsifier's side of the HLB, and not in the oil phase?
bool IsEmulsifier(const kb::Catalogue& catalogue, kb::IngredientIx ix);

// A sunscreen is what its emulsifiers make of it; the other forms say so.
bool IsWaterInOil(const Setting& setting);

}  // namespace query::parts
