// The linear programme of a rebalancing: by hand, and against trying every level on a grid.
#include "query/least_change.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <thread>

namespace query {
namespace {

constexpr double kNone = std::numeric_limits<double>::infinity();

double Cost(const std::vector<LevelBound>& levels, const std::vector<double>& at) {
  double cost = 0;
  for (std::size_t i = 0; i < at.size(); ++i) cost += levels[i].weight * std::abs(at[i] - levels[i].start);
  return cost;
}

TEST(LeastChange, LeavesAloneWhatMeetsTheDemands) {
  const auto answer = LeastChange({{3, 0, 10, 1}, {7, 0, 10, 1}}, {{{1, 1}, 10, 10, 0}});
  ASSERT_TRUE(answer) << answer.error();
  EXPECT_NEAR(answer->levels[0], 3, 1e-9);
  EXPECT_NEAR(answer->levels[1], 7, 1e-9);
  EXPECT_EQ(answer->cost, 0);
}

// By hand: 2 are missing from the sum. The first costs 1 a unit and has room for 1.5, the second costs 3: 1.5 + 0.5, at 1.5 + 1.5.
TEST(LeastChange, FillsTheCheapestFirst) {
  const auto answer = LeastChange({{3, 0, 4.5, 1}, {5, 0, 10, 3}}, {{{1, 1}, 10, 10, 0}});
  ASSERT_TRUE(answer) << answer.error();
  EXPECT_NEAR(answer->levels[0], 4.5, 1e-6);
  EXPECT_NEAR(answer->levels[1], 5.5, 1e-6);
  EXPECT_NEAR(answer->cost, 3, 1e-6);
}

// By hand: the sum can reach 9 of 10, and the weaker demand wants the second at 1 or below. The dear one is met as far as it goes.
TEST(LeastChange, GivesUpTheCheapestDemandAndSaysByHowMuch) {
  const auto answer =
      LeastChange({{3, 0, 4, 1}, {5, 0, 5, 1}}, {{{1, 1}, 10, 10, 100}, {{0, 1}, -kNone, 1, 1}});
  ASSERT_TRUE(answer) << answer.error();
  EXPECT_NEAR(answer->levels[0], 4, 1e-6);
  EXPECT_NEAR(answer->levels[1], 5, 1e-6);
  EXPECT_NEAR(answer->short_by[0], 1, 1e-6);
  EXPECT_NEAR(answer->short_by[1], 4, 1e-6);
}

TEST(LeastChange, RefusesWhatNeverGivesAndCannotBe) {
  EXPECT_FALSE(LeastChange({{3, 0, 4, 1}}, {{{1}, 10, 10, 0}}));
}

TEST(LeastChange, RefusesNumbersThatAreNone) {
  const double nan = std::nan("");
  EXPECT_FALSE(LeastChange({}, {}));
  EXPECT_FALSE(LeastChange({{nan, 0, 1, 1}}, {}));
  EXPECT_FALSE(LeastChange({{2, 0, 1, 1}}, {}));
  EXPECT_FALSE(LeastChange({{1, 0, kNone, 1}}, {}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, -1}}, {}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, nan}}, {}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{1, 2}, 0, 1, 0}}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{nan}, 0, 1, 0}}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{1}, 1, 0, 0}}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{1}, nan, 1, 0}}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{1}, kNone, kNone, 0}}));
  EXPECT_FALSE(LeastChange({{1, 0, 1, 1}}, {{{1}, 0, 1, nan}}));
}

// Three levels with a fixed sum and one more demand with coefficients of 0, 1 and -1. Where all figures are multiples of 0.5, every
// corner of such a problem is a multiple of 0.25, since its determinant is at most 2: the best point of that grid is the best of all.
TEST(LeastChange, IsTheBestOfAllPointsOfAGrid) {
  constexpr int kMost = 20;
  constexpr double kFigure = 0.5;
  constexpr double kStep = 0.25;
  std::mt19937 draw(7);
  const auto pick = [&](int most) { return static_cast<int>(draw() % static_cast<unsigned>(most + 1)); };
  int feasible = 0;
  for (int round = 0; round < 200; ++round) {
    std::vector<LevelBound> levels;
    for (int i = 0; i < 3; ++i) {
      const int low = pick(kMost / 2);
      const int high = low + pick(kMost / 2);
      const int start = low + pick(high - low);
      levels.push_back({start * kFigure, low * kFigure, high * kFigure, 0.1 * (1 + pick(20))});
    }
    const double sum = pick(2 * kMost) * kFigure;
    std::vector<double> of;
    for (int i = 0; i < 3; ++i) of.push_back(pick(2) - 1);
    const double most = (pick(kMost) - kMost / 2) * kFigure;
    double best = kNone;
    for (double a = levels[0].low; a <= levels[0].high; a += kStep) {
      for (double b = levels[1].low; b <= levels[1].high; b += kStep) {
        const double c = sum - a - b;
        if (c < levels[2].low || c > levels[2].high || of[0] * a + of[1] * b + of[2] * c > most) continue;
        best = std::min(best, Cost(levels, {a, b, c}));
      }
    }
    const auto answer = LeastChange(levels, {{{1, 1, 1}, sum, sum, 0}, {of, -kNone, most, 0}});
    ASSERT_EQ(answer.has_value(), best < kNone) << round;
    if (!answer) continue;
    ++feasible;
    EXPECT_NEAR(answer->cost, best, 1e-6) << round;
    EXPECT_NEAR(answer->levels[0] + answer->levels[1] + answer->levels[2], sum, 1e-6) << round;
    EXPECT_NEAR(Cost(levels, answer->levels), answer->cost, 1e-9) << round;
  }
  EXPECT_GT(feasible, 40);
}

// The server answers from many threads, and the solver keeps something for each.
TEST(LeastChange, IsTheSameFromEveryThreadAndSaysNothing) {
  testing::internal::CaptureStdout();
  std::vector<double> costs(8, -1);
  std::vector<std::thread> threads;
  for (double& cost : costs) {
    threads.emplace_back([&cost] {
      for (int again = 0; again < 50; ++again) {
        const auto answer = LeastChange({{3, 0, 4.5, 1}, {5, 0, 10, 3}}, {{{1, 1}, 10, 10, 0}});
        cost = answer ? answer->cost : -2;
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
  for (const double cost : costs) EXPECT_NEAR(cost, 3, 1e-6);
}

}  // namespace
}  // namespace query
