#include "kb/chemistry/fatty_acids.h"

#include <gtest/gtest.h>

#include <initializer_list>
#include <map>
#include <string>
#include <utility>

#include "query/facts.h"
#include "tests/query/real_data.h"

namespace {

using kb::chemistry::FattyAcidProfile;
using kb::chemistry::ParseFattyAcid;
using testing_data::Of;
using testing_data::RealCatalogue;

double Sum(const FattyAcidProfile& profile) {
  double sum = 0;
  for (const auto& [acid, pct] : profile) sum += pct;
  return sum;
}

FattyAcidProfile Profile(std::initializer_list<std::pair<const char*, double>> shares) {
  FattyAcidProfile profile;
  for (const auto& [acid, pct] : shares) profile.emplace(*ParseFattyAcid(acid), pct);
  return profile;
}

// USDA National Nutrient Database, NDB 4581, recalculated to percent of the identified acids; a review of 2022 (Table 1) has
// another population with 47 to 60 % of oleic acid, and both together came to 104.
TEST(FattyAcidsOfAFat, AvocadoOilIsTheDatabasesAlone) {
  EXPECT_EQ(
      query::FattyAcidsOf(RealCatalogue(), Of("avocado-oil")),
      Profile(
          {{"C16:0", 11.4}, {"C16:1", 2.8}, {"C18:0", 0.69}, {"C18:1", 71}, {"C18:2", 13.1}, {"C18:3", 1}}));
}

// Belitz, Food Chemistry, Table 14.9.
TEST(FattyAcidsOfAFat, SheaButterIsTheHandbooksAlone) {
  EXPECT_EQ(query::FattyAcidsOf(RealCatalogue(), Of("shea-butter")),
            Profile({{"C16:0", 7}, {"C18:0", 38}, {"C18:1", 50}, {"C18:2", 5}}));
}

TEST(FattyAcidsOfAFat, NothingHasMoreThanAllOfItself) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    const auto profile = query::FattyAcidsOf(catalogue, ix);
    if (!profile) continue;
    EXPECT_LE(Sum(*profile), 101) << catalogue.at(ix).id;
  }
}

// Where any source tells all of a fat, the answer is one source's, figure for figure.
TEST(FattyAcidsOfAFat, WholeProfilesAreNeverMixed) {
  const kb::Catalogue& catalogue = RealCatalogue();
  int fats_of_many = 0;
  for (kb::IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    const auto profile = query::FattyAcidsOf(catalogue, ix);
    if (!profile) continue;
    std::map<std::pair<kb::SourceIx, std::string>, FattyAcidProfile> said;
    for (const kb::Fact& fact : catalogue.Facts(ix, "fatty_acid_pct")) {
      said[{fact.source, fact.context}].emplace(*ParseFattyAcid(fact.key), fact.number->mid());
    }
    bool any_whole = false;
    bool one_of_them = false;
    for (const auto& [source, shares] : said) {
      any_whole |= Sum(shares) >= 90 && Sum(shares) <= 101;
      one_of_them |= shares == *profile;
    }
    if (!any_whole) continue;
    fats_of_many += said.size() > 1 ? 1 : 0;
    EXPECT_TRUE(one_of_them) << catalogue.at(ix).id;
  }
  EXPECT_GT(fats_of_many, 10);
}

}  // namespace
