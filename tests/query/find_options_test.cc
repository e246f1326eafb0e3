// `find` as asked at the terminal and over HTTP: options, what is no question at all, and names of the inventory.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "tests/query/find_asked.h"

namespace find_test {
namespace {

using query::FindAnswer;
using query::Found;
using query::FoundType;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

// --- the command ---

TEST(FindCommand, TakesItsOptions) {
  struct Option {
    const char* name;
    const char* value;
    const char* filter;
  };
  for (const Option& option :
       {Option{"function", "humectant", "function:humectant"},
        Option{"function", "moisture binder", "function:humectant"},
        Option{"phase", "cool-down", "phase:cool-down"}, Option{"solubility", "oil", "solubility:oil"},
        Option{"form", "powder", "form:powder"}, Option{"charge", "cationic", "charge:cationic"},
        Option{"keep", "vegan", "keep:vegan"}, Option{"filter", "ph<4", "ph<4"}}) {
    if (std::string(option.value) == "moisture binder" && !Catalogue().FindFunction("moisture binder"))
      continue;
    const auto json = JsonOf(query::AnswerFind, {{option.name, option.value}, {"limit", "50"}});
    ASSERT_EQ(json["understood"]["filters"].size(), 1U) << option.name;
    EXPECT_EQ(json["understood"]["filters"][0]["filter"], option.filter);
    EXPECT_EQ(json["results"].size(), std::min<std::size_t>(50, json["total"].get<std::size_t>()))
        << option.name;
    ASSERT_FALSE(json["results"].empty()) << option.name;
    const auto filter = kb::ParseSearchFilter(option.filter).value();
    for (const auto& result : json["results"]) {
      const auto ix = Catalogue().FindId(result["id"].get<std::string>());
      if (result["type"] == "function") continue;
      ASSERT_TRUE(ix.has_value());
      EXPECT_TRUE(kb::Holds(Catalogue(), *ix, filter)) << result["id"] << " " << option.filter;
    }
  }
}

TEST(FindCommand, OptionsAndWordsNarrowTogether) {
  const auto json = JsonOf(
      query::AnswerFind,
      {{"q", "emollient"}, {"keep", "vegan"}, {"keep", "palm-free"}, {"form", "liquid"}, {"limit", "5"}});
  EXPECT_EQ(json["results"].size(), 5U);
  EXPECT_EQ(json["understood"]["filters"].size(), 3U);
  EXPECT_GT(json["total"].get<std::size_t>(), 5U);
}

TEST(FindCommand, KeepsTheContract) {
  const auto json = JsonOf(query::AnswerFind, {{"q", "what does a humectant do"}});
  for (const char* name : {"query", "understood", "total", "results", "facets"})
    EXPECT_TRUE(json.contains(name)) << name;
  for (const char* name : {"text", "corrected", "filters"})
    EXPECT_TRUE(json["understood"].contains(name)) << name;
  ASSERT_FALSE(json["results"].empty());
  for (const auto& result : json["results"]) {
    for (const char* name : {"type", "id", "inci", "name", "functions", "why"})
      EXPECT_TRUE(result.contains(name)) << name;
    EXPECT_THAT(result["type"].get<std::string>(), testing::AnyOf("ingredient", "function"));
  }
  EXPECT_EQ(json["results"][0]["type"], "function");
}

TEST(FindCommand, RefusesWhatItDoesNotKnow) {
  const auto refused = [](const Values& values) {
    const auto reply = Ask(query::AnswerFind, values, query::Want::kJson);
    EXPECT_FALSE(reply) << values.front().first;
    return reply ? query::Trouble{} : reply.error();
  };
  EXPECT_THAT(refused({{"q", ""}}).what, HasSubstr("nothing to look for"));
  EXPECT_THAT(refused({{"q", " -- "}}).what, HasSubstr("nothing to look for"));
  EXPECT_THAT(refused({{"keep", "vegn"}, {"q", "wax"}}).nearest, Contains("vegan"));
  EXPECT_THAT(refused({{"form", "powdr"}, {"q", "wax"}}).nearest, Contains("powder"));
  EXPECT_EQ(refused({{"function", "nonesuch"}, {"q", "wax"}}).where, "function");
  EXPECT_EQ(refused({{"filter", "ph<"}, {"q", "wax"}}).where, "filter");
  EXPECT_EQ(refused({{"filter", "nonesuch:x"}, {"q", "wax"}}).where, "filter");
  EXPECT_EQ(refused({{"limit", "0"}, {"q", "wax"}}).where, "limit");
  EXPECT_EQ(refused({{"limit", "many"}, {"q", "wax"}}).where, "limit");
}

TEST(FindCommand, SaysWhereNothingIsFound) {
  const auto reply = Ask(query::AnswerFind, {{"q", "qwxzqwxz"}}, query::Want::kText);
  ASSERT_TRUE(reply);
  EXPECT_FALSE(reply->found);
  EXPECT_THAT(reply->body, HasSubstr("Nothing found"));
}

// --- what is no question ---

TEST(FindGarbage, AnswersCleanly) {
  std::vector<std::string> garbage = {"%",
                                      "< > %",
                                      "((((",
                                      "\"\"\"",
                                      "'; DROP TABLE ingredient; --",
                                      "AND OR NOT XOR NEAR",
                                      "*",
                                      "glyc*",
                                      "+-~^",
                                      std::string("\0", 1),
                                      std::string("gly\0cerin", 9),
                                      "\xFF\xFE\xFD",
                                      "\xC3\x28",
                                      "\xF0\x9F\xA7\xB4",
                                      "gl\xC3",
                                      std::string(10'000, 'a'),
                                      std::string(10'000, ' '),
                                      std::string(10'000, '%'),
                                      std::string(10'000, '\xC3'),
                                      "ph<",
                                      "under %",
                                      "under 99999999999999999999999999 %",
                                      "-1",
                                      "1e308 %",
                                      "0",
                                      "not",
                                      "not not not",
                                      "without",
                                      "for for for",
                                      "alternative to",
                                      "is",
                                      "vs",
                                      "compare",
                                      "free free free"};
  std::string words;
  while (words.size() < 10'000) words += "glycerin wax ";
  garbage.push_back(words);
  std::string marks;
  while (marks.size() < 10'000) marks += "\xE2\x80\x99\xC3\xA4";
  garbage.push_back(marks);
  for (const std::string& text : garbage) {
    for (const bool typing : {false, true}) {
      const FindAnswer answer = Find(text, 10, typing);
      EXPECT_LE(answer.results.size(), 10U);
    }
    // The answer is one JSON document whatever was asked, or it says what was wrong.
    const auto reply = Ask(query::AnswerFind, {{"q", text}}, query::Want::kJson);
    if (reply) {
      EXPECT_FALSE(nlohmann::json::parse(reply->body, nullptr, false).is_discarded()) << text.substr(0, 20);
    } else {
      EXPECT_FALSE(nlohmann::json::parse(query::TroubleJson(reply.error()), nullptr, false).is_discarded());
    }
  }
}

TEST(FindGarbage, BrandsAndStrangersAreNotGuessedFromASingleLetter) {
  EXPECT_THAT(Ids(Find("zzyzx s")), IsEmpty());
}

// --- the inventory ---

TEST(FindInventory, NamesWithoutWorkingDataAreShownAsSuch) {
  for (const char* words :
       {"acetamidoethoxyethanol", "ACETAMIDOETHOXYETHANOL", "118974-46-2", "acetamidoethoxy"}) {
    const FindAnswer answer = Find(words);
    EXPECT_EQ(First(answer), "inventory:ACETAMIDOETHOXYETHANOL") << words;
    EXPECT_EQ(answer.results.front().why, "Named in the EU inventory as humectant; no working data here.")
        << words;
  }
  const auto json = JsonOf(query::AnswerFind, {{"q", "acetamidoethoxyethanol"}});
  EXPECT_EQ(json["results"][0]["working_data"], false);
  EXPECT_EQ(json["results"][0]["id"], "");
}

TEST(FindInventory, AreFoundMisspeltAndHalfTyped) {
  EXPECT_THAT(Ids(Find("astrocaryum", 10, true)), Contains("inventory:ASTROCARYUM VULGARE SEED BUTTER"));
  const FindAnswer answer = Find("astrocarium vulgare seed butter");
  EXPECT_EQ(First(answer), "inventory:ASTROCARYUM VULGARE SEED BUTTER");
  EXPECT_NE(answer.corrected, "");
}

TEST(FindInventory, RecordsOfOursStayOurs) {
  const FindAnswer answer = Find("glycerin", 50);
  EXPECT_EQ(First(answer), "glycerin");
  EXPECT_THAT(Ids(answer), Not(Contains("inventory:GLYCERIN")));
}

TEST(FindInventory, NeverPassAFilterAndNeverStandIn) {
  for (const char* words : {"vegan humectant", "humectant under 2 %", "alternative to glycerin",
                            "instead of shea butter", "water soluble extract"}) {
    for (const Found& found : Find(words, 200).results) EXPECT_NE(found.type, FoundType::kInventory) << words;
  }
  // Nor can they be asked to: there is nothing to reckon with.
  const auto reply = Ask(query::AnswerSwap, {{"name", "acetamidoethoxyethanol"}, {"kind", "leave-on/gel"}},
                         query::Want::kJson);
  EXPECT_FALSE(reply);
}

TEST(FindInventory, HasACardThatSaysSo) {
  const auto json = JsonOf(query::AnswerShow, {{"name", "acetamidoethoxyethanol"}});
  EXPECT_EQ(json["working_data"], false);
  EXPECT_THAT(json["cas"], testing::ElementsAre("118974-46-2"));
  EXPECT_THAT(TextOf(query::AnswerShow, {{"name", "acetamidoethoxyethanol"}}),
              HasSubstr("no working data here"));
}

}  // namespace
}  // namespace find_test
