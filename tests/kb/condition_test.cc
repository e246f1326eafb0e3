#include "kb/condition.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace kb {
namespace {

TEST(Condition, NothingAlwaysHolds) {
  EXPECT_TRUE(ParseCondition("")->empty());
  EXPECT_TRUE(ParseCondition("  ")->empty());
}

TEST(Condition, ReadsComparisonsAndWords) {
  const auto terms =
      ParseCondition("pH >= 6.5, phase heated|oil,is electrolyte low|none , same-phase, total<3");
  ASSERT_TRUE(terms) << terms.error();
  ASSERT_EQ(terms->size(), 5U);
  EXPECT_EQ((*terms)[0].quantity, Quantity::kPh);
  EXPECT_EQ((*terms)[0].comparator, Comparator::kAtLeast);
  EXPECT_EQ((*terms)[0].number, 6.5);
  EXPECT_EQ((*terms)[1].word, ConditionWord::kPhase);
  EXPECT_THAT((*terms)[1].values, testing::ElementsAre("heated", "oil"));
  EXPECT_EQ((*terms)[2].word, ConditionWord::kIs);
  EXPECT_EQ((*terms)[2].property, "electrolyte");
  EXPECT_THAT((*terms)[2].values, testing::ElementsAre("low", "none"));
  EXPECT_EQ((*terms)[3].word, ConditionWord::kSamePhase);
  EXPECT_EQ((*terms)[4].quantity, Quantity::kTotal);
}

struct Wrong {
  const char* text;
  const char* says;
};

class Refused : public testing::TestWithParam<Wrong> {};

TEST_P(Refused, AndNamed) {
  const auto terms = ParseCondition(GetParam().text);
  ASSERT_FALSE(terms);
  EXPECT_THAT(terms.error(), testing::HasSubstr(GetParam().says));
}

INSTANTIATE_TEST_SUITE_P(
    Mistakes, Refused,
    testing::Values(Wrong{"acid > 3", "acid"}, Wrong{"ph > ", "no number"}, Wrong{"ph > high", "high"},
                    Wrong{"ph > 6.5x", "6.5x"}, Wrong{"ph > inf", "inf"}, Wrong{"ph > nan", "nan"},
                    Wrong{"ph", "begins no condition"}, Wrong{"phase", "without a value"},
                    Wrong{"phase warm", "warm"}, Wrong{"phase heated|", "no value"},
                    Wrong{"is electrolyte", "property and a value"}, Wrong{"ph > 3,", "empty term"},
                    Wrong{"heated", "heated"}, Wrong{"form gel surfactant", "joined by"}));

TEST(Condition, ComparesAsWritten) {
  EXPECT_TRUE(Holds(Comparator::kLess, 1, 2));
  EXPECT_FALSE(Holds(Comparator::kLess, 2, 2));
  EXPECT_TRUE(Holds(Comparator::kAtMost, 2, 2));
  EXPECT_TRUE(Holds(Comparator::kGreater, 3, 2));
  EXPECT_FALSE(Holds(Comparator::kGreater, 2, 2));
  EXPECT_TRUE(Holds(Comparator::kAtLeast, 2, 2));
  EXPECT_TRUE(Holds(Comparator::kEqual, 2, 2));
  EXPECT_FALSE(Holds(Comparator::kEqual, 2.1, 2));
}

}  // namespace
}  // namespace kb
