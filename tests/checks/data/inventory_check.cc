// Label names, CAS numbers and functions of the records against the EU inventory of cosmetic ingredients.
#include <gmock/gmock.h>

#include "inventory.h"

namespace checks {
namespace {

class EuInventory : public testing::Test {
 protected:
  void SetUp() override {
    if (Inventory().empty())
      GTEST_SKIP() << "the EU inventory is not at hand (../shared/reference/eu_inventory.csv)";
  }

  static void Say(std::string_view what, const Disagreements& disagreements) {
    fmt::print("EU inventory, {}: {} rows, {} disagree, each listed with a reason\n", what,
               disagreements.looked_at(), disagreements.found());
  }
};

// A blend's label names; a name of its own may hold a comma ("1,2-HEXANEDIOL"), though never with a blank behind.
std::vector<std::string> NamesOf(const kb::Ingredient& item) {
  std::vector<std::string> names;
  std::size_t from = 0;
  for (std::size_t at = item.inci.find(", "); at != std::string::npos; at = item.inci.find(", ", from)) {
    names.push_back(item.inci.substr(from, at - from));
    from = at + 2;
  }
  names.push_back(item.inci.substr(from));
  return names;
}

TEST_F(EuInventory, HoldsEveryLabelName) {
  Disagreements names(Table("not_in_inventory.tsv"));
  for (const kb::Ingredient& item : Data().ingredients()) {
    std::vector<std::string> all = NamesOf(item);
    for (const kb::Component& part : item.composition) {
      if (!part.ingredient) all.push_back(part.inci);
    }
    for (const std::string& name : all) {
      names.Looked();
      if (!Inventory().contains(name)) names.Add(name, "is in no row of the inventory (" + item.id + ")");
    }
  }
  Say("label names", names);
  EXPECT_TRUE(names.AllListed());
}

// A limit on a substance that is neither a record, nor a part or an allergen of one, nor named by the inventory would never
// bind: its name is misspelt.
TEST_F(EuInventory, NamesTheSubstancesOfEveryLimit) {
  std::set<std::string> brought;
  for (const kb::Ingredient& item : Data().ingredients()) {
    brought.insert(item.inci);
    for (const kb::Component& part : item.composition) brought.insert(part.inci);
    for (const kb::Fact& fact : item.facts) brought.insert(fact.key);
  }
  std::size_t by_inventory = 0;
  for (const kb::Limit& limit : Data().limits()) {
    if (brought.contains(limit.substance)) continue;
    EXPECT_TRUE(Inventory().contains(limit.substance)) << limit.substance << ", " << limit.at;
    ++by_inventory;
  }
  EXPECT_GT(by_inventory, 0U);
}

TEST_F(EuInventory, AgreesOnCasNumbers) {
  Disagreements numbers(Table("cas_differs.tsv"));
  for (const kb::Ingredient& item : Data().ingredients()) {
    const auto listed = Inventory().find(item.inci);
    if (listed == Inventory().end() || item.cas.empty() || listed->second.cas.empty()) continue;
    numbers.Looked();
    const bool agree = std::any_of(item.cas.begin(), item.cas.end(),
                                   [&](const std::string& cas) { return listed->second.cas.contains(cas); });
    if (!agree) numbers.Add(item.id, fmt::format("{} and {}", item.cas.front(), *listed->second.cas.begin()));
  }
  Say("CAS numbers", numbers);
  EXPECT_TRUE(numbers.AllListed());
}

// A number that the inventory gives to another name alone belongs to that one.
TEST_F(EuInventory, NoCasNumberBelongsToAnotherName) {
  std::map<std::string, std::set<std::string>> names_of;
  for (const auto& [name, listed] : Inventory()) {
    for (const std::string& cas : listed.cas) names_of[cas].insert(name);
  }
  Disagreements numbers(Table("cas_of_another.tsv"));
  for (const kb::Ingredient& item : Data().ingredients()) {
    const std::vector<std::string> own = NamesOf(item);
    for (const std::string& cas : item.cas) {
      const auto names = names_of.find(cas);
      if (names == names_of.end()) continue;
      numbers.Looked();
      const bool ours = std::any_of(own.begin(), own.end(),
                                    [&](const std::string& name) { return names->second.contains(name); });
      if (!ours) numbers.Add(item.id, fmt::format("{} is {} in the inventory", cas, *names->second.begin()));
    }
  }
  Say("CAS numbers of other names", numbers);
  EXPECT_TRUE(numbers.AllListed());
}

// Function of the inventory, in lower case, to ours that may answer to it.
const std::map<std::string, std::vector<std::string>>& FunctionMap() {
  static const std::map<std::string, std::vector<std::string>> map = [] {
    std::map<std::string, std::vector<std::string>> out;
    for (const auto& [theirs, ours] : Table("functions_map.tsv"))
      out[Lower(theirs)] = kb::SplitTrimmed(ours, ' ');
    return out;
  }();
  return map;
}

TEST_F(EuInventory, FunctionsOfTheMapExist) {
  std::set<std::string> unknown;
  for (const auto& [theirs, ours] : FunctionMap()) {
    for (const std::string& id : ours) {
      if (!id.empty() && !Data().FindFunction(id)) unknown.insert(theirs + ": no function " + id);
    }
  }
  for (const auto& [name, listed] : Inventory()) {
    for (const std::string& function : listed.functions) {
      if (!FunctionMap().contains(function)) unknown.insert(function + " is not in the map");
    }
  }
  EXPECT_THAT(unknown, testing::IsEmpty());
}

TEST_F(EuInventory, AgreesOnAFunctionAtLeast) {
  const std::set<std::string> kinds = {"scent", "effect", "surfactant", "other-use", "slip"};
  const std::map<std::string, std::string> listed_kinds = Table("functions_differ.tsv");
  for (const auto& [id, kind] : listed_kinds) EXPECT_TRUE(kinds.contains(kind)) << id << ": " << kind;
  Disagreements functions(listed_kinds);
  for (const kb::Ingredient& item : Data().ingredients()) {
    const auto listed = Inventory().find(item.inci);
    if (listed == Inventory().end()) continue;
    std::set<std::string> answers;
    for (const std::string& theirs : listed->second.functions) {
      const auto mapped = FunctionMap().find(theirs);
      if (mapped != FunctionMap().end()) answers.insert(mapped->second.begin(), mapped->second.end());
    }
    std::set<std::string> ours;
    for (const kb::FunctionIx ix : item.functions) ours.insert(Data().function(ix).id);
    ours.erase("prohibited");  // says nothing of what it does
    if (answers.empty() || ours.empty()) continue;
    functions.Looked();
    const bool agree =
        std::any_of(ours.begin(), ours.end(), [&](const std::string& id) { return answers.contains(id); });
    if (!agree)
      functions.Add(item.id,
                    fmt::format("none of its functions answers to '{}'", *listed->second.functions.begin()));
  }
  Say("functions", functions);
  EXPECT_TRUE(functions.AllListed());
}

}  // namespace
}  // namespace checks
