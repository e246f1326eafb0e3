#include "kb/word_table.h"

#include <gtest/gtest.h>

#include <random>
#include <string>
#include <unordered_map>
#include <vector>

namespace kb {
namespace {

TEST(WordTable, FindsEachWordAndNoOther) {
  const std::vector<std::string> words = {"",         "a",      "ab",        "abc",    "abcd",
                                          "abcdefgh", "ph_use", "ph_stable", "use_pct"};
  WordTable table;
  for (std::size_t i = 0; i < words.size(); ++i) table.Add(words[i], static_cast<std::uint16_t>(i));
  for (std::size_t i = 0; i < words.size(); ++i) EXPECT_EQ(table.Find(words[i]), i) << words[i];
  for (const char* other : {"b", "abce", "abcdefgx", "ph_us", "ph_use_", "ph_stabl"})
    EXPECT_FALSE(table.Find(other)) << other;
  EXPECT_FALSE(WordTable().Find("a"));
}

TEST(WordTable, KeepsTheFirstNumberOfAWord) {
  WordTable table;
  table.Add("wax", 3);
  table.Add("wax", 4);
  EXPECT_EQ(table.Find("wax"), 3);
}

// Against the standard library's map, on words that share their ends.
TEST(WordTable, AgreesWithAMap) {
  std::mt19937 draw(5);
  std::vector<std::string> words;
  for (int i = 0; i < 3000; ++i) {
    std::string word;
    for (auto letters = draw() % 14; letters > 0; --letters) word += static_cast<char>('a' + draw() % 3);
    words.push_back(std::move(word));
  }
  WordTable table;
  std::unordered_map<std::string, std::uint16_t> map;
  for (std::size_t i = 0; i < words.size(); i += 2) {
    table.Add(words[i], static_cast<std::uint16_t>(i));
    map.try_emplace(words[i], static_cast<std::uint16_t>(i));
  }
  for (const std::string& word : words) {
    const auto found = map.find(word);
    EXPECT_EQ(table.Find(word), found == map.end() ? std::nullopt : std::optional(found->second)) << word;
  }
}

}  // namespace
}  // namespace kb
