#include <gtest/gtest.h>

#include "query/assess.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::FormulaOf;
using testing_data::RealCatalogue;

// A surfactant solution counts once: its water with the water, its solids as active matter. Cocamidopropyl betaine as sold holds
// what its record's composition says; the sums must come to the same.
TEST(Composition, CountsTheWaterAndTheActiveMatterOfASolutionOnce) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const kb::Formula formula = FormulaOf(
      "# kind: rinse-off surfactant\nphase,ingredient,percent\nA,Water,q.s.\nA,Cocamidopropyl betaine,20\n");
  const kb::Ingredient& betaine = catalogue.at(*catalogue.FindExact("cocamidopropyl betaine"));
  ASSERT_FALSE(betaine.composition.empty());
  double water_in_it = 0;
  double betaine_in_it = 0;
  for (const kb::Component& part : betaine.composition) {
    if (part.inci == "AQUA" || (part.ingredient && catalogue.at(*part.ingredient).inci == "AQUA"))
      water_in_it += part.pct;
    if (part.inci == "COCAMIDOPROPYL BETAINE") betaine_in_it += part.pct;
  }
  const Assessment assessment = Assess(catalogue, formula);
  EXPECT_NEAR(assessment.composition.water, 80 + 0.2 * water_in_it, 1e-6);
  EXPECT_NEAR(assessment.composition.surfactant_active, 0.2 * betaine_in_it, 1e-6);
}

TEST(Composition, SubstancesAddUpToTheWhole) {
  for (const char* name : {"hand-cream", "gardeners-balm", "potting-shed-shampoo", "greenhouse-gel-serum"}) {
    double sum = 0;
    for (const Substance& item : Assess(RealCatalogue(), testing_data::DemoFormula(name)).substances)
      sum += item.pct;
    EXPECT_NEAR(sum, 100, 1e-9) << name;
  }
}

}  // namespace
}  // namespace query
