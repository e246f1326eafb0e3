// The catalogue of the real data/ folder, read once a program, and formulas of it for tests.
#pragma once

#include <string>
#include <string_view>

#include "kb/catalogue.h"
#include "kb/formula.h"

namespace testing_data {

// Aborts the program with the complaints where data/ does not read.
const kb::Catalogue& RealCatalogue();

// The ingredient of that id; fails the test where there is none.
kb::IngredientIx Of(std::string_view id);

// A formula from text; fails the test, showing the complaints, where it does not read.
kb::Formula FormulaOf(std::string_view text);

// data/formulas/demo/<name>.csv
kb::Formula DemoFormula(const std::string& name);

}  // namespace testing_data
