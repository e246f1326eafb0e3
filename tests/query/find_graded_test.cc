// The graded queries as a regression: the first answer is useful for nine of ten, and nothing is found for none.
//
// The threshold is the one that `find` was asked for; the grades were given before the engine was asked (find_queries.tsv), or by
// those who asked for it (the examples).
#include <gtest/gtest.h>

#include <filesystem>
#include <string>

#include "tests/bench/graded.h"
#include "tests/query/find_base.h"

namespace find_test {
namespace {

constexpr double kUseful = 0.9;

graded::Score Measure(const std::vector<graded::Graded>& set, std::string& missed) {
  graded::Score score;
  for (const graded::Graded& item : set) {
    const graded::Judged judged = graded::Judge(RealBase(), item);
    graded::Add(judged, score);
    if (!judged.useful()) missed += "\n  " + item.query;
  }
  return score;
}

TEST(FindGraded, OfOurOwnQueriesTheFirstAnswerIsUseful) {
  const auto set = graded::ReadOwn(STILLROOM_SOURCE_DIR "/tests/bench/find_queries.tsv");
  ASSERT_GE(set.size(), 100U);
  std::string missed;
  const graded::Score score = Measure(set, missed);
  EXPECT_GE(score.success / static_cast<double>(score.queries), kUseful) << missed;
  EXPECT_EQ(score.nothing, 0U);
}

TEST(FindGraded, OfTheExamplesTheFirstAnswerIsUseful) {
  const std::string path = STILLROOM_SOURCE_DIR "/../shared/examples/find_examples.jsonl";
  if (!std::filesystem::exists(path)) GTEST_SKIP() << "the examples are not at hand";
  const auto set = graded::ReadExamples(path);
  ASSERT_FALSE(set.empty());
  std::string missed;
  const graded::Score score = Measure(set, missed);
  EXPECT_GE(score.success / static_cast<double>(score.queries), kUseful) << missed;
  EXPECT_EQ(score.nothing, 0U);
}

TEST(FindGraded, WorthIsReckonedAsPublished) {
  // Gains 3, 0, 1 at ranks 1 to 3: 3 / log2(2) + 0 + 1 / log2(4) = 3.5 (the formula of Burges et al. by hand).
  EXPECT_DOUBLE_EQ(graded::Gain(2, 1) + graded::Gain(0, 2) + graded::Gain(1, 3), 3.5);
  EXPECT_DOUBLE_EQ(graded::Gain(-1, 1), 0) << "not graded counts as nothing";
}

}  // namespace
}  // namespace find_test
