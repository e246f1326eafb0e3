// Cards of functions and ingredients: what a maker has to find on them, with where it comes from.
#include "query/card.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <string>

#include "kb/text.h"
#include "tests/query/find_base.h"

namespace find_test {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

const kb::Catalogue& Catalogue() {
  return RealBase().catalogue;
}

nlohmann::json Show(const std::string& name) {
  return JsonOf(query::AnswerShow, {{"name", name}});
}

// --- functions ---

TEST(FunctionCard, EveryFunctionSaysWhatItDoesAndWhereThatComesFrom) {
  std::set<std::string> sources;
  for (const kb::Source& source : Catalogue().sources()) sources.insert(source.key);
  for (const kb::Function& function : Catalogue().functions()) {
    EXPECT_GT(function.card.what.size(), 20U) << function.id;
    EXPECT_THAT(function.card.sources, Not(IsEmpty())) << function.id;
    for (const std::string& source : function.card.sources) EXPECT_TRUE(sources.count(source)) << source;
  }
}

TEST(FunctionCard, HoldsMechanismChoiceLevelsAndPitfalls) {
  for (const char* name : {"humectant", "preservative", "chelating agent", "solubiliser", "emollient"}) {
    const auto card = Show(name)["card"];
    for (const char* part : {"what", "choose", "levels", "wrong"})
      EXPECT_GT(card[part].get<std::string>().size(), 40U) << name << ": " << part;
    EXPECT_THAT(card["sources"], Not(IsEmpty())) << name;
    const std::string text = TextOf(query::AnswerShow, {{"name", name}});
    for (const char* heading : {"what it does", "how to choose", "levels", "what goes wrong"})
      EXPECT_THAT(text, HasSubstr(heading)) << name;
  }
}

TEST(FunctionCard, SaysItsMechanism) {
  // A humectant binds water (IUPAC and every textbook); a chelator metal ions; a w/o emulsifier holds water in oil.
  EXPECT_THAT(kb::Fold(Show("humectant")["card"]["what"].get<std::string>()), HasSubstr("water"));
  EXPECT_THAT(kb::Fold(Show("chelating agent")["card"]["what"].get<std::string>()), HasSubstr("metal"));
  EXPECT_THAT(kb::Fold(Show("emulsifier-wo")["card"]["what"].get<std::string>()), HasSubstr("water"));
}

TEST(FunctionCard, NamesTheFunctionOfTheEuInventory) {
  // Decision 2006/257/EC, names of functions.
  EXPECT_THAT(Show("humectant")["inventory"], Contains("Humectant"));
  EXPECT_THAT(Show("uv-filter")["inventory"], Contains("UV Filter"));
}

TEST(FunctionCard, ComparesItsMembers) {
  const auto card = Show("humectant");
  const auto columns = card["compared_by"];
  ASSERT_THAT(columns, Not(IsEmpty()));
  EXPECT_LE(columns.size(), 6U);
  const auto function = Catalogue().FindFunction("humectant").value();
  ASSERT_EQ(card["members"].size(), Catalogue().Members(function).size());
  bool others = false;
  for (const auto& member : card["members"]) {
    const auto ix = Catalogue().FindId(member["id"].get<std::string>());
    ASSERT_TRUE(ix.has_value());
    const auto rank = Catalogue().FunctionRank(*ix, function);
    ASSERT_TRUE(rank.has_value()) << member["id"];
    EXPECT_EQ(member["main"], *rank == 0);
    // Those for whom it is the main function come first.
    if (!member["main"]) others = true;
    EXPECT_FALSE(others && member["main"].get<bool>()) << member["id"];
    for (const auto& column : columns) EXPECT_TRUE(member["compared"].contains(column.get<std::string>()));
  }
}

TEST(FunctionCard, TakesLevelsFromTheFactForThatFunction) {
  const auto card = Show("humectant");
  for (const auto& member : card["members"]) {
    const std::string level = member["level_pct"].get<std::string>();
    if (level.empty()) continue;
    bool there = false;
    for (const kb::Fact& fact :
         Catalogue().Facts(Catalogue().FindId(member["id"].get<std::string>()).value(), "use_pct")) {
      if (fact.number && fact.function == "humectant")
        there = there || level.find(fmt::format("{:g}", fact.number->low)) == 0;
    }
    EXPECT_TRUE(there) << member["id"] << " " << level;
  }
}

TEST(FunctionCard, SaysWhatMustNotBeSwapped) {
  const auto card = Show("uv-filter");
  EXPECT_EQ(card["swap"], "never");
  EXPECT_GT(card["swap_note"].get<std::string>().size(), 20U);
  EXPECT_THAT(TextOf(query::AnswerShow, {{"name", "UV filter"}}),
              HasSubstr(card["swap_note"].get<std::string>().substr(0, 20)));
}

// --- ingredients ---

TEST(IngredientCard, EveryFactHasASourceAndAStanding) {
  const std::set<std::string> standings = {"published", "common practice", "estimate", "memory", "own"};
  for (const char* name : {"glycerin", "phenoxyethanol", "xanthan gum", "salicylic acid", "shea butter"}) {
    const auto card = Show(name);
    ASSERT_THAT(card["facts"], Not(IsEmpty())) << name;
    for (const auto& fact : card["facts"]) {
      EXPECT_NE(fact["source"], "") << name << " " << fact["property"];
      EXPECT_TRUE(standings.count(fact["standing"].get<std::string>())) << fact["standing"];
      EXPECT_TRUE(fact.contains("value") || (fact.contains("low") && fact.contains("high")));
      for (const char* key : {"property", "unit", "context", "at", "note"})
        EXPECT_TRUE(fact.contains(key)) << key;
    }
  }
}

TEST(IngredientCard, HoldsNamesAndNumbers) {
  const auto card = Show("glycerine");
  EXPECT_EQ(card["id"], "glycerin");
  EXPECT_EQ(card["inci"], "GLYCERIN");
  EXPECT_THAT(card["cas"], Contains("56-81-5"));   // CAS registry
  EXPECT_THAT(card["ec"], Contains("200-289-5"));  // EC inventory
}

TEST(IngredientCard, HoldsLimits) {
  // Regulation (EC) No 1223/2009, Annex V, entry 29: phenoxyethanol, at most 1.0 %.
  bool found = false;
  const auto card = Show("phenoxyethanol");
  for (const auto& limit : card["limits"]) {
    if (limit["jurisdiction"] != "EU" || limit["annex"] != "V") continue;
    found = true;
    EXPECT_EQ(limit["entry"], "29");
    EXPECT_EQ(limit["max_pct"], 1.0);
  }
  EXPECT_TRUE(found);
}

TEST(IngredientCard, HoldsTheLimitsOfWhatABlendBrings) {
  const auto card = Show("phenoxyethanol-ethylhexylglycerin");
  bool found = false;
  for (const auto& limit : card["limits"]) found = found || limit["substance"] == "PHENOXYETHANOL";
  EXPECT_TRUE(found);
}

TEST(IngredientCard, SaysWhatItMustNotMeet) {
  // A carboxylate thickener loses its yield in salt: named on the cards of both.
  const auto conflicts = Show("carbomer")["conflicts"];
  ASSERT_THAT(conflicts, Not(IsEmpty()));
  bool salt = false;
  for (const auto& conflict : conflicts) {
    EXPECT_NE(conflict["text"], "");
    EXPECT_NE(conflict["source"], "");
    salt = salt || kb::Fold(conflict.dump()).find("salt") != std::string::npos ||
           kb::Fold(conflict.dump()).find("electrolyte") != std::string::npos;
  }
  EXPECT_TRUE(salt);
}

TEST(IngredientCard, HoldsEveryClaim) {
  const auto claims = Show("beeswax")["claims"];
  EXPECT_EQ(claims.size(), Catalogue().claims().size());
  EXPECT_EQ(claims["vegan"]["state"], "broken");
  EXPECT_NE(claims["vegan"]["because"], "");
}

TEST(IngredientCard, TakesAMisspeltNameAndSaysSo) {
  const auto card = Show("niacinimide");
  EXPECT_EQ(card["id"], "niacinamide");
  EXPECT_EQ(card["taken_for"], "niacinamide");
  EXPECT_THAT(TextOf(query::AnswerShow, {{"name", "niacinimide"}}),
              testing::StartsWith("Taken for niacinamide."));
  EXPECT_EQ(Show("humectent")["id"], "humectant");
}

TEST(IngredientCard, RefusesStrangersWithTheNearestNames) {
  for (const char* name : {"", "qwxzqwxzqwxz", "\xFF\xFE", "%%%"}) {
    const auto reply = Ask(query::AnswerShow, {{"name", name}}, query::Want::kJson);
    EXPECT_FALSE(reply) << name;
  }
}

TEST(FactTexts, ReadAsAMakerSaysThem) {
  kb::Fact fact;
  fact.property = Catalogue().FindProperty("use_pct").value();
  fact.number = kb::Range{0.2, 1};
  fact.function = "humectant";
  fact.context = "leave-on";
  EXPECT_EQ(query::FactText(Catalogue(), fact), "0.2 to 1 % as humectant (leave-on)");
  fact = {};
  fact.property = Catalogue().FindProperty("max_c").value();
  fact.number = kb::Range{60, 60};
  EXPECT_EQ(query::FactText(Catalogue(), fact), "60 C");
  fact = {};
  fact.property = Catalogue().FindProperty("phase").value();
  fact.text = "cool-down";
  EXPECT_EQ(query::FactText(Catalogue(), fact), "cool down");
}

// Regulation (EC) No 1223/2009, Annex V, entry 2: propionic acid and its salts, 2 % as acid; 74.08 of 96.06 g/mol are acid.
TEST(LimitsOnCard, AreToldOfNamesThatNoRecordBears) {
  const auto limits = query::LimitsOnCard(Catalogue(), std::vector<std::string>{"SODIUM PROPIONATE"});
  ASSERT_EQ(limits.size(), 1U);
  EXPECT_EQ(query::WhereInLaw(*limits[0].limit), "EU Annex V/2");
  EXPECT_EQ(limits[0].limit->max_pct, std::optional(2.0));
  EXPECT_EQ(limits[0].limit->expressed_as, "as propionic acid");
  EXPECT_NEAR(limits[0].limit->factor, 74.08 / 96.06, 1e-3);
}

}  // namespace
}  // namespace find_test
