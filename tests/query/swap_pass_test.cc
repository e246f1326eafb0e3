// The quick pass over a role's candidates against the same rules and the same likeness asked one candidate at a time, in words: the
// number that ranks and the text that explains must come from one truth.
#include "query/swap_pass.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <random>
#include <set>
#include <thread>
#include <vector>

#include "query/request.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::Of;
using testing_data::RealCatalogue;

constexpr std::array<const char*, 9> kKinds = {
    "leave-on/emulsion-ow", "leave-on/emulsion-wo", "leave-on/anhydrous",
    "leave-on/gel",         "leave-on/water",       "rinse-off/conditioner",
    "rinse-off/surfactant", "leave-on/powder",      "leave-on/sunscreen"};

struct Asking {
  std::string what;
  SwapQuestion question;
};

// Members of every function in that role, and ingredients by chance with claims, a pH or a shelf beside them.
std::vector<Asking> Askings() {
  const kb::Catalogue& catalogue = RealCatalogue();
  std::vector<Asking> out;
  std::mt19937 draw(23);
  const auto ask = [&](IngredientIx ix, std::string role, bool more) {
    Params params{{{"name", catalogue.at(ix).id}, {"kind", kKinds[draw() % kKinds.size()]}}, {}, {}};
    if (!role.empty()) params.values.emplace_back("role", role);
    if (more && draw() % 2 == 0) params.values.emplace_back("ph", "4.5");
    if (more && draw() % 3 == 0) params.values.emplace_back("keep", "vegan");
    if (more && draw() % 3 == 0) params.values.emplace_back("keep", "palm-free");
    auto asked = ReadSwapQuestion(catalogue, params);
    if (!asked) return;
    if (more && draw() % 5 == 0) {
      asked->question.only_shelf = true;
      for (IngredientIx other = 0; other < catalogue.ingredients().size(); other += 2)
        asked->question.shelf.push_back(other);
    }
    std::string what = catalogue.at(ix).id + " as " + (role.empty() ? "what the formula decides" : role);
    out.push_back({std::move(what), std::move(asked->question)});
  };
  for (kb::FunctionIx function = 0; function < catalogue.functions().size(); ++function) {
    const auto members = catalogue.Members(function);
    for (int i = 0; i < 2 && !members.empty(); ++i)
      ask(members[draw() % members.size()], catalogue.function(function).id, false);
  }
  for (int i = 0; i < 300; ++i)
    ask(static_cast<IngredientIx>(draw() % catalogue.ingredients().size()), "", true);
  return out;
}

// How well the other roles are served, and how common it is, as the ranking has it: common practice, no source.
double ScoreInWords(const RuleSetting& setting, const std::vector<Role>& roles, const RoleRow& row,
                    const Ruling& ruling, const Likeness& likeness) {
  const kb::Catalogue& catalogue = setting.catalogue;
  double served = 0;
  double all = 0;
  for (const Role& other : roles) {
    if (other.function == setting.role_ix || other.weight < 0.1) continue;
    all += other.weight;
    if (const auto rank = catalogue.FunctionRank(row.ingredient, other.function))
      served += other.weight * std::max(0.5, 1 - 0.15 * static_cast<double>(*rank));
  }
  const double common = catalogue.Number(row.ingredient, "commonness").value_or(kb::Range{2, 2}).mid();
  const auto names = LabelNames(catalogue, row.ingredient);
  const bool same = !setting.question.only_shelf &&
                    std::find(names.begin(), names.end(), catalogue.at(setting.missing).inci) != names.end();
  return likeness.value * (0.5 + 0.5 * likeness.confidence) * row.prior * ruling.factor *
         (0.8 + 0.2 * (all > 0 ? served / all : 1)) * (0.72 + 0.28 * (common - 1) / 4) * (same ? 0.55 : 1);
}

TEST(CandidatePass, AgreesWithTheRulesAndTheLikenessInWords) {
  const kb::Catalogue& catalogue = RealCatalogue();
  std::size_t candidates = 0;
  std::size_t ruled_out = 0;
  for (const Asking& asking : Askings()) {
    SCOPED_TRACE(asking.what);
    const SwapQuestion& question = asking.question;
    const IngredientIx missing = question.formula.lines[question.line].ingredient;
    const Assessment before = Assess(catalogue, question.formula, Depth::kForDiff);
    const std::vector<Role> roles = RolesOf(catalogue, question.formula, question.line);
    const auto role = question.role.empty() ? roles.front().function : *catalogue.FindFunction(question.role);
    const RuleSetting setting(catalogue, question, role, missing, before, 72);
    const RoleTable& table = catalogue.Once<RoleTables>().Of(catalogue, role);
    const CandidatePass pass(setting, table, roles);
    ASSERT_EQ(pass.scores().size(), table.rows.size());
    for (std::uint32_t row = 0; row < table.rows.size(); ++row) {
      const IngredientIx ix = table.rows[row].ingredient;
      if (ix == missing) continue;
      ++candidates;
      const Ruling ruling = Judge(setting, ix);
      ASSERT_EQ(pass.fits()[row], ruling.fit) << catalogue.at(ix).id;
      if (ruling.fit != Fit::kFits) {
        ASSERT_FALSE(ruling.reasons.empty()) << catalogue.at(ix).id;
        EXPECT_FALSE(ruling.reasons.front().empty()) << catalogue.at(ix).id;
      }
      ruled_out += ruling.fit == Fit::kRuledOut ? 1U : 0U;
      const Likeness likeness = Compare(catalogue, setting.role, missing, ix, setting.ph);
      ASSERT_DOUBLE_EQ(pass.LikenessOf(row).value(), likeness.value) << catalogue.at(ix).id;
      ASSERT_DOUBLE_EQ(pass.LikenessOf(row).confidence(), likeness.confidence) << catalogue.at(ix).id;
      ASSERT_DOUBLE_EQ(pass.scores()[row], ScoreInWords(setting, roles, table.rows[row], ruling, likeness))
          << catalogue.at(ix).id;
    }
  }
  // Both ways must have been gone.
  EXPECT_GT(candidates, 10'000U);
  EXPECT_GT(ruled_out, candidates / 20);
  EXPECT_LT(ruled_out, candidates);
}

TEST(CandidatePass, GivesTheBestInFallingOrder) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const auto asked = ReadSwapQuestion(catalogue, {{{"name", "cetyl-alcohol"}}, {}, {}});
  ASSERT_TRUE(asked);
  const SwapQuestion& question = asked->question;
  const Assessment before = Assess(catalogue, question.formula, Depth::kForDiff);
  const std::vector<Role> roles = RolesOf(catalogue, question.formula, question.line);
  const RuleSetting setting(catalogue, question, roles.front().function, Of("cetyl-alcohol"), before, 72);
  const CandidatePass pass(setting, catalogue.Once<RoleTables>().Of(catalogue, roles.front().function),
                           roles);
  const auto anybody = [](std::uint32_t) { return true; };
  const auto all = pass.Best(pass.scores().size(), anybody);
  ASSERT_EQ(all.size(), pass.scores().size() - 1) << "all but the missing one";
  for (std::size_t i = 1; i < all.size(); ++i) {
    const double last = pass.scores()[all[i - 1]];
    const double score = pass.scores()[all[i]];
    EXPECT_TRUE(last > score || (last == score && all[i - 1] < all[i]));
  }
  const auto few = pass.Best(5, anybody);
  EXPECT_TRUE(std::equal(few.begin(), few.end(), all.begin(), all.begin() + 5));
  EXPECT_TRUE(pass.Best(0, anybody).empty());
}

TEST(RoleTable, HoldsEveryMemberOfTheRoleAndOfThoseThatCanTakeItOver) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (kb::FunctionIx function = 0; function < catalogue.functions().size(); ++function) {
    std::set<IngredientIx> expected;
    for (const IngredientIx ix : catalogue.Members(function)) expected.insert(ix);
    for (const std::string& near : catalogue.function(function).near) {
      for (const IngredientIx ix : catalogue.Members(catalogue.FindFunction(near).value()))
        expected.insert(ix);
    }
    const RoleTable& table = catalogue.Once<RoleTables>().Of(catalogue, function);
    ASSERT_EQ(table.rows.size(), expected.size()) << catalogue.function(function).id;
    for (const RoleRow& row : table.rows) {
      EXPECT_TRUE(expected.contains(row.ingredient));
      const auto by = row.near == 0
                          ? function
                          : catalogue.FindFunction(catalogue.function(function).near[row.near - 1U]).value();
      EXPECT_TRUE(catalogue.FunctionRank(row.ingredient, by)) << catalogue.at(row.ingredient).id;
    }
  }
}

TEST(RoleTables, AreLaidOutOnceForSeveralThreads) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const RoleTables tables(catalogue);
  const auto role = catalogue.FindFunction("humectant").value();
  std::array<const RoleTable*, 4> seen{};
  {
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < seen.size(); ++i)
      threads.emplace_back([&, i] { seen[i] = &tables.Of(catalogue, role); });
  }
  for (const RoleTable* one : seen) EXPECT_EQ(one, seen.front());
}

TEST(ClaimStates, AreThoseOfTheAnswersInWords) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const auto& states = catalogue.Once<kb::ClaimStates>();
  for (IngredientIx ix = 0; ix < catalogue.ingredients().size(); ++ix) {
    for (std::size_t claim = 0; claim < catalogue.claims().size(); ++claim) {
      const ClaimState state = kb::KeepsClaim(catalogue, ix, catalogue.claims()[claim]).state;
      ASSERT_EQ(states.Of(catalogue, ix, claim), state) << catalogue.at(ix).id;
      ASSERT_EQ(states.Of(catalogue, ix, claim), state) << catalogue.at(ix).id << ", remembered";
    }
  }
}

}  // namespace
}  // namespace query
