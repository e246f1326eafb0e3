// What a right data folder becomes.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "indexer/hash_input.h"
#include "indexer/report.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

TEST(ReadCatalogue, AnIngredient) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  const kb::IngredientIx ix = catalogue.FindId("glycerin").value();
  const kb::Ingredient& item = catalogue.at(ix);
  EXPECT_EQ(item.inci, "GLYCERIN");
  EXPECT_THAT(item.also, ElementsAre("glycerol", "glycérine"));
  EXPECT_THAT(item.cas, ElementsAre("56-81-5"));
  EXPECT_THAT(item.ec, ElementsAre("200-289-5"));
  EXPECT_EQ(catalogue.function(item.functions.at(0)).id, "humectant");
  EXPECT_EQ(catalogue.function(item.functions.at(1)).id, "solvent");
  EXPECT_THAT(item.composition, IsEmpty());
  EXPECT_EQ(catalogue.Choice(ix, "form"), "viscous-liquid");
}

TEST(ReadCatalogue, AClaimWithAllThatItCanSay) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  const kb::IngredientIx ix = catalogue.FindId("glycerin").value();
  const kb::Fact& use = catalogue.Facts(ix, "use_pct").front();
  EXPECT_EQ(use.number->low, 2);
  EXPECT_EQ(use.number->high, 10);
  EXPECT_EQ(use.text, "2 to 10.0");
  EXPECT_EQ(use.function, "humectant");
  EXPECT_EQ(use.context, "leave-on");
  EXPECT_EQ(use.at_c, 25);
  EXPECT_EQ(use.note, "sticky above");
  EXPECT_EQ(use.standing, kb::Standing::kCommonPractice);
  EXPECT_EQ(catalogue.source(use.source).key, "practice");
  const kb::Fact& mass = catalogue.Facts(ix, "molar_mass").front();
  EXPECT_EQ(mass.text, "92.090") << "the digits as written";
  EXPECT_EQ(mass.number->low, mass.number->high);
  EXPECT_EQ(mass.at, "row 12");
  EXPECT_EQ(mass.standing, kb::Standing::kPublished);
  const kb::Fact& uptake = catalogue.Facts(ix, "uptake_pct").front();
  EXPECT_EQ(uptake.key, "50");
  EXPECT_EQ(uptake.standing, kb::Standing::kMemory) << "lowered by the claim itself";
}

TEST(ReadCatalogue, ABlend) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  const kb::Ingredient& item = catalogue.at(catalogue.FindId("glycerin-50").value());
  ASSERT_EQ(item.composition.size(), 2U);
  EXPECT_EQ(catalogue.at(item.composition[0].ingredient.value()).id, "glycerin");
  EXPECT_EQ(item.composition[0].inci, "GLYCERIN");
  EXPECT_EQ(item.composition[0].pct, 50.25);
  EXPECT_EQ(item.composition[1].inci, "AQUA");
}

TEST(ReadCatalogue, APartWithoutARecord) {
  const DataFixture data;
  data.Replace("ingredients/glycerin-50.toml", "of = \"water\"", "inci = \"AQUA PURIFICATA\"");
  const kb::Catalogue catalogue = data.Catalogue();
  const kb::Component& part = catalogue.at(catalogue.FindId("glycerin-50").value()).composition.at(1);
  EXPECT_FALSE(part.ingredient.has_value());
  EXPECT_EQ(part.inci, "AQUA PURIFICATA");
}

TEST(ReadCatalogue, IngredientsStandInTheOrderOfTheirIds) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  std::vector<std::string> ids;
  for (const kb::Ingredient& item : catalogue.ingredients()) ids.push_back(item.id);
  EXPECT_THAT(ids, ElementsAre("glycerin", "glycerin-50", "water"));
}

TEST(ReadCatalogue, DefinitionsStandInTheOrderOfTheirFile) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  std::vector<std::string> ids;
  for (const kb::Function& item : catalogue.functions()) ids.push_back(item.id);
  EXPECT_THAT(ids, ElementsAre("humectant", "solvent", "water-base", "emollient"));
  EXPECT_EQ(catalogue.properties().front().id, "about");
  EXPECT_EQ(catalogue.sources().front().key, "practice");
}

TEST(ReadCatalogue, AFunction) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  const kb::Function& item = catalogue.function(catalogue.FindFunction("humectant").value());
  EXPECT_THAT(item.also, ElementsAre("moisture binder"));
  EXPECT_THAT(item.required, ElementsAre("in_water", "use_pct"));
  ASSERT_EQ(item.compare.size(), 3U);
  EXPECT_EQ(item.compare[2].property, "molar_mass");
  EXPECT_EQ(item.compare[2].scale, 0.7);
  EXPECT_TRUE(item.compare[2].ratio);
  ASSERT_EQ(item.requires_.size(), 1U);
  EXPECT_THAT(item.requires_[0].any, ElementsAre("dissolves"));
  EXPECT_THAT(item.requires_[0].in, ElementsAre("gel"));
  EXPECT_EQ(item.level_law, "active-matter");
  EXPECT_EQ(item.swap, "yes");
  EXPECT_EQ(item.card.what, "Binds water.");
  EXPECT_THAT(item.card.sources, ElementsAre("practice"));
}

TEST(ReadCatalogue, CardsOfAFileOfTheirOwn) {
  const DataFixture data;
  data.Write("cards.toml",
             "[solvent]\nwhat = \"Dissolves.\"\nlevels = \"5 to 20 %\"\nsrc = [\"practice\"]\n");
  const kb::Catalogue catalogue = data.Catalogue();
  const kb::FunctionCard& card = catalogue.function(catalogue.FindFunction("solvent").value()).card;
  EXPECT_EQ(card.what, "Dissolves.");
  EXPECT_EQ(card.levels, "5 to 20 %");
  EXPECT_EQ(catalogue.function(catalogue.FindFunction("humectant").value()).card.what, "Binds water.");
}

TEST(ReadCatalogue, ACardOfNoFunctionIsAComplaint) {
  const DataFixture data;
  data.Write("cards.toml", "[solvant]\nwhat = \"Dissolves.\"\nsrc = [\"practice\"]\n");
  EXPECT_THAT(data.Complaints(), testing::HasSubstr("unknown function 'solvant'; did you mean 'solvent'?"));
}

TEST(ReadCatalogue, TheRules) {
  const kb::Catalogue catalogue = DataFixture().Catalogue();
  EXPECT_EQ(catalogue.Family("glycol"), "polyols");
  ASSERT_EQ(catalogue.claims().size(), 2U);
  EXPECT_EQ(catalogue.claims()[0].id, "vegan");
  EXPECT_TRUE(catalogue.claims()[1].assume_kept);
  ASSERT_EQ(catalogue.LimitsOf("glycerin").size(), 1U);
  EXPECT_EQ(catalogue.LimitsOf("glycerin").front()->max_pct, 25);
  ASSERT_EQ(catalogue.conflicts().size(), 1U);
  EXPECT_THAT(catalogue.conflicts()[0].b.charges, ElementsAre("cationic"));
}

TEST(Report, CountsWhatIsHeldAndHowFarToTrustIt) {
  const indexer::Report report = indexer::MakeReport(DataFixture().Catalogue());
  EXPECT_EQ(report.counts.ingredients, 3U);
  // Counted by hand in the fixture: 12 claims of glycerin, 3 of water, 2 of the solution; of these numeric:
  // commonness three times, molar mass, temperature, level, uptake.
  EXPECT_EQ(report.counts.claims, 17U);
  EXPECT_EQ(report.counts.numeric_claims, 7U);
  EXPECT_EQ(report.numeric.count[static_cast<std::size_t>(kb::Standing::kPublished)], 1U);
  EXPECT_EQ(report.numeric.count[static_cast<std::size_t>(kb::Standing::kCommonPractice)], 4U);
  EXPECT_EQ(report.numeric.count[static_cast<std::size_t>(kb::Standing::kMemory)], 2U);
  EXPECT_DOUBLE_EQ(report.numeric.share(kb::Standing::kPublished), 1.0 / 7);
  // Figures: molar mass and uptake, the one limit, one share of the solution (the other follows). Advice: temperature
  // and level. Judgements: commonness three times.
  const auto published = static_cast<std::size_t>(kb::Standing::kPublished);
  EXPECT_EQ(report.figures.claims.total(), 2U);
  EXPECT_EQ(report.figures.limits.count[published], 1U);
  EXPECT_EQ(report.figures.composition.count[static_cast<std::size_t>(kb::Standing::kCommonPractice)], 1U);
  EXPECT_EQ(report.figures.all.total(), 4U);
  EXPECT_EQ(report.figures.all.count[published], 2U);
  EXPECT_EQ(report.advice.total(), 2U);
  EXPECT_EQ(report.advice.count[published], 0U);
  EXPECT_EQ(report.judgements.total(), 3U);
  EXPECT_EQ(report.numbers.total(), 9U);
  EXPECT_EQ(report.numbers.count[published], 2U);
  EXPECT_EQ(report.computed, 0U);
  const indexer::FunctionReport& humectant = report.functions.front();
  EXPECT_EQ(humectant.members, 2U);
  EXPECT_EQ(humectant.main_for, 2U);
  ASSERT_EQ(humectant.asked.size(), 3U);
  EXPECT_EQ(humectant.asked[0].property, "in_water");
  EXPECT_EQ(humectant.asked[0].held, 1U);
  EXPECT_THAT(humectant.asked[0].missing, ElementsAre("glycerin-50"));
  EXPECT_FALSE(humectant.asked[2].required);
  EXPECT_THAT(indexer::ReportText(report), HasSubstr("humectant: 2 members, main for 2"));
}

// FIPS 180-4's examples as NIST publishes them ("SHA-256 examples": one block, two blocks) and the empty
// message.
TEST(Sha256, AgreesWithThePublishedExamples) {
  EXPECT_EQ(indexer::Sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(indexer::Sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(indexer::Sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

std::string HashOf(const DataFixture& data) {
  indexer::Diagnostics out;
  return indexer::HashInput(indexer::ReadDataFolder(data.root(), out));
}

TEST(HashInput, IsTheSameForTheSameFilesAnywhere) {
  const DataFixture one, other;
  EXPECT_EQ(HashOf(one), HashOf(other));
  EXPECT_EQ(HashOf(one).size(), 16U);
  EXPECT_EQ(HashOf(one).find_first_not_of("0123456789abcdef"), std::string::npos);
}

TEST(HashInput, ChangesWithAByteANameAndAFile) {
  const DataFixture data;
  const std::string before = HashOf(data);
  const std::string water = data.Read("ingredients/water.toml");
  data.Write("ingredients/water.toml", water + " ");
  EXPECT_NE(HashOf(data), before);
  data.Write("ingredients/water.toml", water);
  EXPECT_EQ(HashOf(data), before);
  data.Write("ingredients/eau.toml", water);
  data.Remove("ingredients/water.toml");
  EXPECT_NE(HashOf(data), before);
  data.Write("ingredients/water.toml", water);
  EXPECT_NE(HashOf(data), before);
  data.Remove("ingredients/eau.toml");
  EXPECT_EQ(HashOf(data), before);
}

TEST(HashInput, LeavesOutWhatIsNoPartOfTheBase) {
  const DataFixture data;
  const std::string before = HashOf(data);
  data.Write("README.md", "words");
  data.Write("formulas/demo/notes.txt", "words");
  EXPECT_EQ(HashOf(data), before);
}

}  // namespace
}  // namespace indexer_test
