// `compare`: two to five side by side, what differs marked, what is not known said.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "query/card.h"
#include "tests/query/find_base.h"

namespace find_test {
namespace {

using testing::HasSubstr;
using testing::Not;

nlohmann::json Compare(const std::vector<std::string>& names) {
  Values values;
  for (const std::string& name : names) values.emplace_back("name", name);
  return JsonOf(query::AnswerCompare, values);
}

query::Trouble Refused(const std::vector<std::string>& names) {
  Values values;
  for (const std::string& name : names) values.emplace_back("name", name);
  const auto reply = Ask(query::AnswerCompare, values, query::Want::kJson);
  EXPECT_FALSE(reply) << names.size() << " names";
  return reply ? query::Trouble{} : reply.error();
}

const nlohmann::json* Row(const nlohmann::json& table, const std::string& property,
                          const std::string& key = "") {
  for (const auto& row : table["rows"]) {
    if (row["property"] == property && row["key"] == key) return &row;
  }
  return nullptr;
}

TEST(Compare, TakesTwoToFive) {
  const std::vector<std::string> names = {"glycerin", "propanediol", "sorbitol", "sodium lactate",
                                          "panthenol"};
  for (std::size_t n = 2; n <= names.size(); ++n) {
    const auto table = Compare({names.begin(), names.begin() + static_cast<std::ptrdiff_t>(n)});
    ASSERT_EQ(table["items"].size(), n);
    EXPECT_EQ(table["items"][0]["id"], "glycerin") << "in the order asked for";
    ASSERT_FALSE(table["rows"].empty());
    for (const auto& row : table["rows"]) EXPECT_EQ(row["values"].size(), n) << row["property"];
  }
}

TEST(Compare, RefusesOneAndSix) {
  EXPECT_THAT(Refused({}).expected, HasSubstr("two to 5"));
  EXPECT_THAT(Refused({"glycerin"}).what, HasSubstr("1 name"));
  EXPECT_THAT(Refused({"glycerin", "propanediol", "sorbitol", "sodium lactate", "panthenol", "urea"}).what,
              HasSubstr("6 names"));
}

TEST(Compare, RefusesTheSameTwiceAndStrangers) {
  EXPECT_THAT(Refused({"glycerin", "GLYCEROL"}).what, HasSubstr("twice"));
  EXPECT_EQ(Refused({"glycerin", "qwxzqwxz"}).kind, query::Trouble::Kind::kNothingFound);
}

TEST(Compare, TakesAMisspeltNameAndSaysSo) {
  const auto table = Compare({"glycerin", "propandiol"});
  EXPECT_EQ(table["items"][1]["id"], "propanediol");
  EXPECT_EQ(table["items"][1]["taken_for"], "propanediol");
  EXPECT_FALSE(table["items"][0].contains("taken_for"));
}

TEST(Compare, MarksWhatDiffersAndNothingElse) {
  const auto table = Compare({"glycerin", "propanediol"});
  bool same = false;
  bool different = false;
  for (const auto& row : table["rows"]) {
    const auto& a = row["values"][0];
    const auto& b = row["values"][1];
    if (a.is_null() || b.is_null()) {
      EXPECT_FALSE(row["differs"].get<bool>())
          << row["property"] << ": one is not known, so it is not known to differ";
      EXPECT_TRUE(row["incomplete"].get<bool>()) << row["property"];
      continue;
    }
    EXPECT_FALSE(row["incomplete"].get<bool>()) << row["property"];
    if (a["text"] == b["text"]) {
      EXPECT_FALSE(row["differs"].get<bool>()) << row["property"];
    }
    (row["differs"].get<bool>() ? different : same) = true;
  }
  EXPECT_TRUE(same);
  EXPECT_TRUE(different);
  // Molar masses 192.12 and 60.06 g/mol (IUPAC atomic weights): they differ.
  const auto urea = Compare({"citric acid", "urea"});
  const auto* mass = Row(urea, "molar_mass");
  ASSERT_NE(mass, nullptr);
  EXPECT_TRUE((*mass)["differs"].get<bool>());
  EXPECT_THAT((*mass)["values"][0]["text"].get<std::string>(), HasSubstr("192.12"));
  EXPECT_THAT((*mass)["values"][1]["text"].get<std::string>(), HasSubstr("60.06"));
}

TEST(Compare, SaysTheStandingAndTheSourceOfEachCell) {
  const auto table = Compare({"cetyl alcohol", "stearyl alcohol"});
  for (const auto& row : table["rows"]) {
    for (const auto& cell : row["values"]) {
      if (cell.is_null()) continue;
      EXPECT_NE(cell["standing"], "") << row["property"];
      EXPECT_NE(cell["source"], "") << row["property"];
    }
  }
}

TEST(Compare, SaysOnTheScreenWhatIsNotKnown) {
  const std::string text = TextOf(query::AnswerCompare, {{"name", "glycerin"}, {"name", "shea butter"}});
  EXPECT_THAT(text, HasSubstr("not known"));
  EXPECT_THAT(text, HasSubstr("* differs"));
  EXPECT_THAT(text, HasSubstr("glycerin"));
  EXPECT_THAT(text, HasSubstr("shea butter"));
}

TEST(Compare, StaysInsideTheScreen) {
  query::Params params;
  params.values = {{"name", "glycerin"}, {"name", "propanediol"}, {"name", "sorbitol"}};
  for (const std::size_t width : {80U, 100U, 120U}) {
    query::Look look;
    look.width = width;
    const auto reply = query::AnswerCompare(RealBase(), params, query::Want::kText, look);
    ASSERT_TRUE(reply);
    std::istringstream lines(reply->body);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), width) << line;
  }
}

TEST(Compare, LeavesOutWhatIsKnownOfNone) {
  const auto table = Compare({"glycerin", "propanediol"});
  for (const auto& row : table["rows"]) {
    bool any = false;
    for (const auto& cell : row["values"]) any = any || !cell.is_null();
    EXPECT_TRUE(any) << row["property"];
  }
  EXPECT_EQ(Row(table, "about"), nullptr) << "descriptions are read, not compared";
}

}  // namespace
}  // namespace find_test
