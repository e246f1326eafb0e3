#include "kb/catalogue.h"

#include <gtest/gtest.h>

namespace kb {
namespace {

Ingredient Named(const char* id, const char* inci, const char* name, std::vector<std::string> also = {}) {
  Ingredient item;
  item.id = id;
  item.inci = inci;
  item.name = name;
  item.also = std::move(also);
  item.functions = {0};
  return item;
}

Catalogue SmallCatalogue() {
  CatalogueParts parts;
  Property level;
  level.id = "commonness";
  level.kind = ValueKind::kNumber;
  parts.properties = {level};
  parts.sources = {{"law", "law", "A law", "", 0, "", Standing::kPublished}};
  Function emollient;
  emollient.id = "emollient";
  emollient.name = "emollient";
  emollient.also = {"carrier oil"};
  parts.functions = {emollient};
  parts.ingredients = {
      Named("almond-oil", "PRUNUS AMYGDALUS DULCIS OIL", "sweet almond oil", {"almond oil"}),
      Named("beeswax", "CERA ALBA", "beeswax", {"white wax"}),
      Named("propanediol", "PROPANEDIOL", "propanediol", {"1,3-propanediol"}),
      Named("silica-fumed", "SILICA", "fumed silica"),
      Named("silica-spheres", "SILICA", "silica microspheres"),
  };
  parts.ingredients[1].cas = {"8012-89-3"};
  Fact common;
  common.number = Range{4, 4};
  parts.ingredients[4].facts = {common};
  return Catalogue(std::move(parts));
}

struct Typed {
  const char* label;
  const char* words;
  const char* id;
};

class Names : public testing::TestWithParam<Typed> {};

TEST_P(Names, AreFoundAsTyped) {
  const Catalogue catalogue = SmallCatalogue();
  const auto found = catalogue.FindExact(GetParam().words);
  ASSERT_TRUE(found);
  EXPECT_EQ(catalogue.at(*found).id, GetParam().id);
}

INSTANTIATE_TEST_SUITE_P(
    Forms, Names,
    testing::Values(Typed{"Common", "sweet almond oil", "almond-oil"},
                    Typed{"Upper", "SWEET ALMOND OIL", "almond-oil"},
                    Typed{"Inci", "Prunus Amygdalus Dulcis Oil", "almond-oil"},
                    Typed{"Plural", "almond oils", "almond-oil"}, Typed{"Id", "almond-oil", "almond-oil"},
                    Typed{"Cas", "8012-89-3", "beeswax"}, Typed{"Split", "propane diol", "propanediol"},
                    Typed{"Joined", "beeswaxes", "beeswax"},
                    // A label name that several records share leads to the commonest of them.
                    Typed{"Shared", "silica", "silica-spheres"}),
    [](const auto& row) { return std::string(row.param.label); });

TEST(FindExact, NeverGuesses) {
  const Catalogue catalogue = SmallCatalogue();
  for (const char* words : {"", "  ", "-", "beewax", "oil", "almond"})
    EXPECT_FALSE(catalogue.FindExact(words)) << words;
}

TEST(FindName, TakesASlipForTheNearestAndSaysSo) {
  const Catalogue catalogue = SmallCatalogue();
  const auto found = catalogue.FindName("beewax");
  ASSERT_TRUE(found);
  EXPECT_TRUE(found->corrected);
  EXPECT_EQ(catalogue.at(found->ingredient).id, "beeswax");
  EXPECT_FALSE(catalogue.FindName("petroleum jelly"));
}

TEST(FindFunction, TakesIdsNamesAndWhatMakersSay) {
  const Catalogue catalogue = SmallCatalogue();
  EXPECT_TRUE(catalogue.FindFunction("emollient"));
  EXPECT_TRUE(catalogue.FindFunction("Emollients"));
  EXPECT_TRUE(catalogue.FindFunction("carrier oils"));
  EXPECT_FALSE(catalogue.FindFunction("humectant"));
}

TEST(Singular, KnowsEnglishPlurals) {
  EXPECT_EQ(Singular("waxes"), "wax");
  EXPECT_EQ(Singular("oils"), "oil");
  EXPECT_EQ(Singular("clays"), "clay");
  EXPECT_EQ(Singular("berries"), "berry");
  EXPECT_EQ(Singular("cactus"), "cactus");
  EXPECT_EQ(Singular("glass"), "glass");
}

struct Count {
  explicit Count(const Catalogue& catalogue) : ingredients(catalogue.ingredients().size()) { ++made; }
  std::size_t ingredients;
  static int made;
};
int Count::made = 0;

TEST(Catalogue, MakesWhatFollowsFromItOnce) {
  Catalogue catalogue = SmallCatalogue();
  EXPECT_EQ(catalogue.Once<Count>().ingredients, 5U);
  const Count* const first = &catalogue.Once<Count>();
  const Catalogue moved = std::move(catalogue);
  EXPECT_EQ(&moved.Once<Count>(), first);
  EXPECT_EQ(Count::made, 1);
  EXPECT_EQ(SmallCatalogue().Once<Count>().ingredients, 5U) << "another catalogue has its own";
  EXPECT_EQ(Count::made, 2);
}

TEST(Catalogue, FindsFactsByNameAndByPlaceAlike) {
  const Catalogue catalogue = SmallCatalogue();
  const PropertyIx commonness = catalogue.FindProperty("commonness").value();
  for (IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    const auto facts = catalogue.Facts(ix, commonness);
    EXPECT_EQ(facts.size(), ix == 4 ? 1U : 0U);
    EXPECT_EQ(facts.data(), catalogue.Facts(ix, "commonness").data());
  }
  EXPECT_TRUE(catalogue.Facts(4, "no_such_property").empty());
}

}  // namespace
}  // namespace kb
