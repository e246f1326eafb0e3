// What a record need not say: rules of its class and its functions, and what follows from its composition, formula and
// melting point.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <span>
#include <string>
#include <vector>

#include "indexer/report.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

using testing::HasSubstr;

constexpr const char* kGlycerin = "ingredients/glycerin.toml";
constexpr const char* kSolution = "ingredients/glycerin-50.toml";

void Append(const DataFixture& data, const std::string& file, std::string_view text) {
  data.Write(file, data.Read(file) + std::string(text));
}

// The fixture with the solution in glycerin's class.
void Join(const DataFixture& data) {
  Append(data, kSolution, "class = [{ is = \"polyol\", src = \"practice\" }]\n");
}

std::span<const kb::Fact> FactsOf(const kb::Catalogue& catalogue, std::string_view id,
                                  std::string_view property) {
  return catalogue.Facts(catalogue.FindId(id).value(), property);
}

TEST(RuleOfAClass, IsForMembersThatSayNothing) {
  const DataFixture data;
  Join(data);
  Append(data, "classes.toml",
         "[class.polyol]\nmax_c = [{ is = 90, src = \"practice\", note = \"a rule\" }]\n");
  const kb::Catalogue catalogue = data.Catalogue();
  const auto given = FactsOf(catalogue, "glycerin-50", "max_c");
  ASSERT_EQ(given.size(), 1U);
  EXPECT_EQ(given[0].number->low, 90);
  EXPECT_EQ(given[0].note, "a rule");
  EXPECT_EQ(given[0].basis, kb::Basis::kClass);
  EXPECT_EQ(given[0].standing, kb::Standing::kCommonPractice);
  const auto own = FactsOf(catalogue, "glycerin", "max_c");  // 150 by its record
  ASSERT_EQ(own.size(), 1U);
  EXPECT_EQ(own[0].number->low, 150);
  EXPECT_EQ(own[0].basis, kb::Basis::kRecord);
  EXPECT_TRUE(FactsOf(catalogue, "water", "max_c").empty());
}

TEST(RuleOfAClass, IsNotForRecordsThatRefuseIt) {
  const DataFixture data;
  Join(data);
  Append(data, "classes.toml", "[class.polyol]\nmax_c = [{ is = 90, src = \"practice\" }]\n");
  data.Replace(kGlycerin, "max_c = [{ is = 150, src = \"memory\" }]\n", "");
  data.Replace(kSolution, "functions =", "not_by_rule = [\"max_c\"]\nfunctions =");
  const kb::Catalogue catalogue = data.Catalogue();
  EXPECT_EQ(FactsOf(catalogue, "glycerin", "max_c").size(), 1U);
  EXPECT_TRUE(FactsOf(catalogue, "glycerin-50", "max_c").empty());
}

TEST(RuleOfAClass, OnALevelIsForItsFunctionAlone) {
  const DataFixture data;
  Join(data);
  Append(data, "classes.toml",
         "[class.polyol]\nuse_pct = [\n  { is = [1, 3], src = \"practice\", fn = \"solvent\" },\n"
         "  { is = [4, 8], src = \"practice\", fn = \"humectant\" },\n]\n");
  const kb::Catalogue catalogue = data.Catalogue();
  // Glycerin has a level of its own as a humectant and none as a solvent; the solution is no solvent.
  const auto glycerin = FactsOf(catalogue, "glycerin", "use_pct");
  ASSERT_EQ(glycerin.size(), 2U);
  EXPECT_EQ(glycerin[0].function, "humectant");
  EXPECT_EQ(glycerin[0].number->high, 10);
  EXPECT_EQ(glycerin[1].function, "solvent");
  EXPECT_EQ(glycerin[1].number->high, 3);
  const auto solution = FactsOf(catalogue, "glycerin-50", "use_pct");
  ASSERT_EQ(solution.size(), 1U);
  EXPECT_EQ(solution[0].number->low, 4);
}

TEST(RuleOfAClass, WithAConditionGoesBeforeTheOneForAll) {
  const DataFixture data;
  Join(data);
  data.Replace(kGlycerin, "max_c = [{ is = 150, src = \"memory\" }]\n", "");
  Append(data, kSolution, "form = [{ is = \"liquid\", src = \"practice\" }]\n");
  Append(data, "classes.toml",
         "[class.polyol]\nmax_c = [\n  { is = 90, src = \"practice\" },\n"
         "  { is = 60, src = \"practice\", where = \"form = liquid\" },\n]\n");
  const kb::Catalogue catalogue = data.Catalogue();
  const auto liquid = FactsOf(catalogue, "glycerin-50", "max_c");
  ASSERT_EQ(liquid.size(), 1U);
  EXPECT_EQ(liquid[0].number->low, 60);
  const auto syrup = FactsOf(catalogue, "glycerin", "max_c");  // a viscous liquid
  ASSERT_EQ(syrup.size(), 1U);
  EXPECT_EQ(syrup[0].number->low, 90);
}

TEST(RuleOfAClass, HasAConditionOfAPropertyAndOneOfItsChoices) {
  const DataFixture data;
  Append(data, "classes.toml",
         "[class.polyol]\nmax_c = [\n  { is = 90, src = \"practice\", where = \"liquid\" },\n"
         "  { is = 60, src = \"practice\", where = \"form = liquidd\" },\n]\n");
  const std::string said = data.Complaints();
  EXPECT_THAT(said, HasSubstr("'liquid' is no condition; expected a property with choices and one of them"));
  EXPECT_THAT(said, HasSubstr("'liquidd' is no choice of 'form'; did you mean 'liquid'?"));
  data.Replace("classes.toml", "[class.polyol]", "[class.glycol]");
  data.Replace(kSolution, "commonness = [{ is = 2",
               "max_c = [{ is = 2, where = \"form = liquid\", src = \"practice\" }]\ncommonness = [{ is = 2");
  EXPECT_THAT(data.Complaints(), HasSubstr("unknown key 'where'"));
}

TEST(RuleOfAClass, GoesBeforeThatOfAFunction) {
  const DataFixture data;
  Join(data);
  Append(data, "classes.toml",
         "[class.polyol]\nuse_pct = [{ is = [4, 8], src = \"practice\", fn = \"humectant\" }]\n");
  Append(data, "functions.toml", "[humectant.members]\nuse_pct = [{ is = [1, 2], src = \"practice\" }]\n");
  data.Replace("ingredients/water.toml", "\"water-base\"", "\"water-base\", \"humectant\"");
  const kb::Catalogue catalogue = data.Catalogue();
  EXPECT_EQ(FactsOf(catalogue, "glycerin-50", "use_pct").front().number->high, 8);
  const auto water = FactsOf(catalogue, "water", "use_pct");
  ASSERT_EQ(water.size(), 1U);
  EXPECT_EQ(water[0].number->high, 2);
  EXPECT_EQ(water[0].function, "humectant");
  EXPECT_EQ(water[0].basis, kb::Basis::kFunction);
}

TEST(RuleOfAFunction, OnOtherThanLevelsIsForThoseWhoseMainFunctionItIs) {
  const DataFixture data;
  Append(data, "functions.toml", "[humectant.members]\nmax_c = [{ is = 60, src = \"practice\" }]\n");
  data.Replace("ingredients/water.toml", "\"water-base\"", "\"water-base\", \"humectant\"");
  const kb::Catalogue catalogue = data.Catalogue();
  EXPECT_EQ(FactsOf(catalogue, "glycerin-50", "max_c").size(), 1U);
  EXPECT_TRUE(FactsOf(catalogue, "water", "max_c").empty());
}

TEST(RuleOfAClass, CountsOnceHoweverManyItServes) {
  const DataFixture data;
  Join(data);
  data.Replace(kGlycerin, "max_c = [{ is = 150, src = \"memory\" }]\n", "");
  Append(data, "classes.toml", "[class.polyol]\nmax_c = [{ is = 90, src = \"practice\" }]\n");
  const indexer::Report report = indexer::MakeReport(data.Catalogue());
  EXPECT_EQ(report.rules.rules, 1U);
  EXPECT_EQ(report.rules.served, 2U);
  // The level and the rule; the claim of glycerin's record is gone.
  EXPECT_EQ(report.advice.total(), 2U);
  EXPECT_THAT(indexer::ReportText(report),
              HasSubstr("1 of these are rules of a class or a function: each counts once and gives 2 facts"));
}

TEST(RuleOfAClass, NeedsAMemberThatTakesIt) {
  const DataFixture data;
  Append(data, "classes.toml", "[class.glycol]\nmax_c = [{ is = 90, src = \"practice\" }]\n");
  EXPECT_THAT(data.Complaints(), HasSubstr("no member takes this claim"));
}

TEST(RuleOfAClass, IsCheckedLikeAClaim) {
  const DataFixture data;
  Append(data, "classes.toml", "[class.polyols]\nmax_c = [{ is = 9000, src = \"practice\" }]\n");
  const std::string said = data.Complaints();
  EXPECT_THAT(said, HasSubstr("'polyols' is no choice of 'class'; did you mean 'polyol'?"));
  EXPECT_THAT(said, HasSubstr("'max_c' is 9000; expected 0 to 1000 C"));
}

TEST(NotByRule, NamesProperties) {
  const DataFixture data;
  data.Replace(kSolution, "functions =", "not_by_rule = [\"maxc\"]\nfunctions =");
  EXPECT_THAT(data.Complaints(), HasSubstr("unknown property 'maxc'; did you mean 'max_c'?"));
}

TEST(NotByRule, NamesOneFunctionOfALevel) {
  const DataFixture data;
  Join(data);
  Append(data, "classes.toml",
         "[class.polyol]\nuse_pct = [\n  { is = [1, 3], src = \"practice\", fn = \"solvent\" },\n"
         "  { is = [4, 8], src = \"practice\", fn = \"humectant\" },\n]\n");
  data.Replace(kSolution, "functions = [", "functions = [\"solvent\", ");
  data.Replace(kGlycerin, "fn = \"humectant\"", "fn = \"solvent\"");  // so that it takes the other
  data.Replace(kSolution, "functions =", "not_by_rule = [\"use_pct humectant\"]\nfunctions =");
  const kb::Catalogue catalogue = data.Catalogue();
  const auto levels = FactsOf(catalogue, "glycerin-50", "use_pct");
  ASSERT_EQ(levels.size(), 1U);
  EXPECT_EQ(levels[0].function, "solvent");
  data.Replace(kSolution, "use_pct humectant", "use_pct humectants");
  EXPECT_THAT(data.Complaints(), HasSubstr("unknown function 'humectants'; did you mean 'humectant'?"));
}

// --- what follows from a composition ---

TEST(Rest, MakesTheSumAHundred) {
  const DataFixture data;
  data.Replace(kSolution, "pct = 49.75", "rest = true");
  const kb::Catalogue catalogue = data.Catalogue();
  EXPECT_EQ(catalogue.at(catalogue.FindId("glycerin-50").value()).composition[1].pct, 49.75);
}

TEST(Rest, IsOfOnePartAndInPlaceOfItsShare) {
  const DataFixture data;
  data.Replace(kSolution, "pct = 49.75", "pct = 49.75, rest = true");
  EXPECT_THAT(data.Complaints(), HasSubstr("'pct' beside 'rest'; expected one of them"));
  data.Replace(kSolution, "pct = 49.75, rest = true", "rest = true");
  data.Replace(kSolution, "pct = 50.25", "rest = true");
  EXPECT_THAT(data.Complaints(), HasSubstr("a second 'rest'"));
  data.Replace(kSolution, "{ of = \"glycerin\", rest = true", "{ of = \"glycerin\", pct = 100");
  EXPECT_THAT(data.Complaints(), HasSubstr("the other parts sum to 100 %; expected less than 100"));
}

TEST(Report, DoesNotCountTheShareThatASolutionIsNamedBy) {
  const DataFixture data;
  EXPECT_EQ(indexer::MakeReport(data.Catalogue()).figures.composition.total(), 1U);  // the other follows
  data.Replace(kSolution, "glycerin solution", "glycerin 50.25 % solution");
  const indexer::Report report = indexer::MakeReport(data.Catalogue());
  EXPECT_EQ(report.figures.composition.total(), 0U);
  EXPECT_EQ(report.figures.named, 1U);
}

TEST(Report, SaysWhatABlendRepeatsOfItsParts) {
  const DataFixture data;
  Append(data, kSolution,
         "molar_mass = [{ is = 92.090, src = \"table\" }]\nmax_c = [{ is = 100, src = \"memory\" }]\n");
  const indexer::Report report = indexer::MakeReport(data.Catalogue());
  EXPECT_EQ(report.repeats.claims, 1U);
  EXPECT_EQ(report.repeats.published, 1U);
}

class ActiveMatter : public testing::Test {
 protected:
  ActiveMatter() {
    Append(data_, "properties.toml",
           "[active_pct]\nkind = \"number\"\ngroup = \"identity\"\nunit = \"%\"\nlow = 0\nhigh = 100\n"
           "help = \"what acts\"\n");
    data_.Replace(kSolution, "pct = 50.25", "pct = 50.25, acts = true");
  }
  DataFixture data_;
};

TEST_F(ActiveMatter, IsWhatActsInTheBlend) {
  const kb::Catalogue catalogue = data_.Catalogue();
  const auto facts = FactsOf(catalogue, "glycerin-50", "active_pct");
  ASSERT_EQ(facts.size(), 1U);
  EXPECT_DOUBLE_EQ(facts[0].number->low, 50.25);
  EXPECT_EQ(facts[0].basis, kb::Basis::kComputed);
  EXPECT_EQ(facts[0].standing, kb::Standing::kCommonPractice);
  EXPECT_EQ(indexer::MakeReport(catalogue).computed, 1U);
  EXPECT_EQ(indexer::MakeReport(catalogue).counts.claims, 17U);  // as without: it is no claim
}

TEST_F(ActiveMatter, IsWhatTheRecordSaysWhereItDoes) {
  Append(data_, kSolution, "active_pct = [{ is = [48, 52], src = \"table\" }]\n");
  const kb::Catalogue catalogue = data_.Catalogue();
  const auto facts = FactsOf(catalogue, "glycerin-50", "active_pct");
  ASSERT_EQ(facts.size(), 1U);
  EXPECT_EQ(facts[0].basis, kb::Basis::kRecord);
}

// --- what follows from a formula ---

// Trisodium citrate is C6H5Na3O7: three sodium ions of charge 1 a formula unit.
TEST(CounterIons, FollowFromTheMetalsOfASalt) {
  const DataFixture data;
  Append(data, "properties.toml",
         "[formula]\nkind = \"text\"\ngroup = \"identity\"\nhelp = \"formula\"\n"
         "[pka]\nkind = \"number\"\ngroup = \"ph\"\nunit = \"1\"\nlow = -10\nhigh = 16\nhelp = \"acid "
         "constant\"\n"
         "[counter_charge]\nkind = \"number\"\ngroup = \"ph\"\nunit = \"1\"\nlow = -6\nhigh = 12\nhelp = "
         "\"ions\"\n");
  Append(data, kGlycerin, "formula = [{ is = \"C6H5Na3O7.2H2O\", src = \"table\" }]\n");
  EXPECT_TRUE(FactsOf(data.Catalogue(), "glycerin", "counter_charge").empty());  // no part in the pH
  Append(data, kGlycerin, "pka = [{ is = 6.4, src = \"table\" }]\n");
  const kb::Catalogue catalogue = data.Catalogue();
  const auto facts = FactsOf(catalogue, "glycerin", "counter_charge");
  ASSERT_EQ(facts.size(), 1U);
  EXPECT_EQ(facts[0].number->low, 3);
  EXPECT_EQ(facts[0].standing, kb::Standing::kPublished);
  EXPECT_EQ(facts[0].basis, kb::Basis::kComputed);
}

// --- what follows from a melting point ---

class Melting : public testing::Test {
 protected:
  Melting() {
    Append(data_, "properties.toml",
           "[melting_c]\nkind = \"number\"\ngroup = \"heat\"\nunit = \"C\"\nlow = -200\nhigh = 400\n"
           "help = \"melts\"\n"
           "[needs_c]\nkind = \"number\"\ngroup = \"heat\"\nunit = \"C\"\nlow = 0\nhigh = 140\n"
           "help = \"heat in making\"\n"
           "[how_in]\nkind = \"choice\"\ngroup = \"making\"\nchoices = [\"melt\", \"stir-in\"]\n"
           "help = \"how it goes in\"\n");
    Append(data_, kSolution,
           "melting_c = [\n  { is = [50, 66], src = \"memory\" },\n"
           "  { is = [61, 63.5], src = \"table\", at = \"row 7\" },\n]\n");
  }
  auto Needs() {
    const kb::Catalogue catalogue = data_.Catalogue();
    const auto facts = FactsOf(catalogue, "glycerin-50", "needs_c");
    return std::vector<kb::Fact>(facts.begin(), facts.end());
  }
  DataFixture data_;
};

TEST_F(Melting, SaysHowHotWhatGoesInMoltenHasToBe) {
  EXPECT_TRUE(Needs().empty());
  Append(data_, kSolution, "how_in = [{ is = \"melt\", src = \"practice\" }]\n");
  const auto needs = Needs();
  ASSERT_EQ(needs.size(), 1U);
  EXPECT_EQ(needs[0].number->low, 70);  // of the better known: 63.5 + 5, rounded up to 5
  EXPECT_EQ(needs[0].number->high, 70);
  EXPECT_EQ(needs[0].standing, kb::Standing::kPublished);
  EXPECT_EQ(needs[0].at, "row 7");
  EXPECT_EQ(needs[0].basis, kb::Basis::kComputed);
}

TEST_F(Melting, GivesWayToAClaimAndToARule) {
  Append(data_, kSolution, "how_in = [{ is = \"melt\", src = \"practice\" }]\n");
  Append(data_, "functions.toml", "[humectant.members]\nneeds_c = [{ is = 80, src = \"practice\" }]\n");
  const auto by_rule = Needs();
  ASSERT_EQ(by_rule.size(), 1U);
  EXPECT_EQ(by_rule[0].number->low, 80);
  Append(data_, kSolution, "needs_c = [{ is = 75, src = \"practice\" }]\n");
  const auto own = Needs();
  ASSERT_EQ(own.size(), 1U);
  EXPECT_EQ(own[0].number->low, 75);
}

// --- scales ---

TEST(Scale, KeepsTheStepBesideTheWord) {
  const DataFixture data;
  data.Replace("properties.toml",
               "kind = \"number\"\ncounts_as = \"judgement\"\ngroup = \"identity\"\nunit = \"1\"\nlow = "
               "1\nhigh = 5\nhelp = \"how common\"",
               "kind = \"choice\"\nordered = true\nscale = true\ngroup = \"identity\"\nchoices = [\"rare\", "
               "\"seldom\", \"often\"]\nhelp = \"how common\"");
  data.Replace(kGlycerin, "is = 4, src", "is = \"often\", src");
  data.Replace("ingredients/water.toml", "is = 5", "is = \"often\"");
  data.Replace(kSolution, "is = 2", "is = \"seldom\"");
  const kb::Catalogue catalogue = data.Catalogue();
  const auto fact = FactsOf(catalogue, "glycerin-50", "commonness");
  ASSERT_EQ(fact.size(), 1U);
  EXPECT_EQ(fact[0].text, "seldom");
  EXPECT_EQ(fact[0].number->low, 2);
  EXPECT_EQ(indexer::MakeReport(catalogue).judgements.total(), 0U);
}

}  // namespace
}  // namespace indexer_test
