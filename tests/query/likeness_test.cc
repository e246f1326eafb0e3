#include "query/likeness.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "query/swap.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::Of;
using testing_data::RealCatalogue;

const kb::Function& Role(std::string_view id) {
  const auto found = RealCatalogue().FindFunction(id);
  EXPECT_TRUE(found) << id;
  return RealCatalogue().function(found.value_or(0));
}

TEST(Likeness, OfEveryIngredientToItselfIsOneInEveryRoleItHas) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    for (const kb::FunctionIx function : catalogue.at(ix).functions) {
      const Likeness likeness = Compare(catalogue, catalogue.function(function), ix, ix, std::nullopt);
      for (const Compared& one : likeness.compared) {
        if (!one.likeness) continue;
        EXPECT_NEAR(*one.likeness, 1, 1e-9)
            << catalogue.at(ix).id << " as " << catalogue.function(function).id << ": " << one.property;
      }
    }
  }
}

TEST(Likeness, StaysWithinZeroAndOneForEveryPairOfARole) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (kb::FunctionIx function = 0; function < catalogue.functions().size(); ++function) {
    const auto members = catalogue.Members(function);
    for (std::size_t i = 0; i < members.size(); i += 7) {
      for (std::size_t j = 0; j < members.size(); j += 5) {
        const Likeness likeness =
            Compare(catalogue, catalogue.function(function), members[i], members[j], 5.5);
        ASSERT_GE(likeness.value, 0);
        ASSERT_LE(likeness.value, 1);
        ASSERT_GE(likeness.confidence, 0);
        ASSERT_LE(likeness.confidence, 1);
      }
    }
  }
}

TEST(Likeness, WhatIsUnknownLowersTheConfidenceAndIsShown) {
  const kb::Comparison by{"hansen", 1, 0, false, ""};
  // An extract has no Hansen parameters.
  const Compared one =
      CompareProperty(RealCatalogue(), by, Of("glycerin"), Of("green-tea-extract"), std::nullopt);
  EXPECT_FALSE(one.likeness);
}

// An oil shares all with itself, much with a cousin, next to nothing with an oil of another plant (components as printed on the
// records, ISO 3515, ISO 8902, Ph. Eur.; that the noses agree is common practice, no source).
TEST(Likeness, OfEssentialOilsGoesByWhatTheyAreMadeOf) {
  const kb::Comparison by{"components", 1, 0, false, ""};
  const auto alike = [&](const char* a, const char* b) {
    return CompareProperty(RealCatalogue(), by, Of(a), Of(b), std::nullopt);
  };
  EXPECT_NEAR(alike("lavender-oil", "lavender-oil").likeness.value_or(0), 1, 1e-12);
  const Compared cousin = alike("lavender-oil", "lavandin-oil");
  EXPECT_GT(cousin.likeness.value_or(0), 0.5);
  EXPECT_THAT(cousin.missing, testing::HasSubstr("linalyl acetate"));
  EXPECT_LT(alike("lavender-oil", "clove-bud-oil").likeness.value_or(1), 0.1);
  // Of what holds no component nothing can be said: it lowers the confidence and not the likeness.
  EXPECT_FALSE(alike("lavender-oil", "glycerin").likeness);
}

// Trade facts; common practice, no source: the first is nearer to the missing one than the second.
struct Nearer {
  const char* role;
  const char* missing;
  const char* near;
  const char* far;
};

class NearerTable : public testing::TestWithParam<Nearer> {};

TEST_P(NearerTable, IsNearer) {
  const auto& [role, missing, near, far] = GetParam();
  const auto likeness = [&](const char* id) {
    return Compare(RealCatalogue(), Role(role), Of(missing), Of(id), std::nullopt).value;
  };
  EXPECT_GT(likeness(near), likeness(far)) << near << " and " << far << " for " << missing;
}

INSTANTIATE_TEST_SUITE_P(
    Trade, NearerTable,
    testing::Values(Nearer{"bodying-agent", "cetyl-alcohol", "cetearyl-alcohol", "beeswax"},
                    Nearer{"emollient", "sweet-almond-oil", "apricot-kernel-oil", "coconut-oil"},
                    Nearer{"emollient", "rosehip-oil", "hemp-seed-oil", "castor-oil"},
                    Nearer{"butter", "mango-butter", "shea-butter", "coconut-oil"},
                    Nearer{"wax", "carnauba-wax", "candelilla-wax", "beeswax"},
                    Nearer{"humectant", "propanediol", "butylene-glycol", "urea"},
                    Nearer{"water-gellant", "xanthan-gum", "sclerotium-gum", "bentonite"},
                    Nearer{"fragrance", "lavender-oil", "clary-sage-oil", "rosemary-oil"},
                    Nearer{"fragrance", "clove-bud-oil", "cinnamon-leaf-oil", "cinnamon-bark-oil"},
                    Nearer{"fragrance", "tea-tree-oil", "marjoram-oil", "lavender-oil"},
                    Nearer{"preservative", "potassium-sorbate", "sorbic-acid", "benzalkonium-chloride"}),
    [](const auto& row) {
      std::string name = std::string(row.param.missing) + "_" + row.param.near;
      std::replace(name.begin(), name.end(), '-', '_');
      return name;
    });

}  // namespace
}  // namespace query
