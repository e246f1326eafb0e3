// The formulas that come with the base: data/formulas/typical and data/formulas/demo.
#pragma once

#include "indexer/data_folder.h"
#include "indexer/diagnostic.h"
#include "kb/catalogue.h"

namespace indexer {

// Every formula file of the folder, by folder and name.
std::vector<kb::SavedFormula> Formulas(const DataFolder& folder);

// Reads each of them with the catalogue that they are published beside: a formula that names what the base
// does not hold is a complaint like any other.
void CheckFormulas(const DataFolder& folder, const kb::Catalogue& catalogue, Diagnostics& out);

}  // namespace indexer
