// Verdicts, tips and levels that a maker would stumble over. Trade facts: common practice, no source, unless said otherwise.
#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "query/request.h"
#include "query/swap.h"
#include "query/swap_tips.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::Of;
using testing_data::RealCatalogue;

SwapAsked Ask(const char* name, const char* kind, const char* level) {
  auto asked =
      ReadSwapQuestion(RealCatalogue(), {{{"name", name}, {"kind", kind}, {"level", level}}, {}, {}});
  EXPECT_TRUE(asked) << name;
  return asked ? *asked : SwapAsked{};
}

SwapAnswer Answer(const char* name, const char* kind, const char* level) {
  return Swap(RealCatalogue(), Ask(name, kind, level).question);
}

// Nobody puts 90 % of one thing into a formula that holds 40 % of others, and calls it 130 %.
TEST(TypicalFormula, MakesRoomForWhatIsMostOfTheProduct) {
  for (const auto& [name, kind, level] :
       {std::tuple{"mineral oil", "leave-on/anhydrous", "90"},
        std::tuple{"shea butter", "leave-on/anhydrous", "95"}, std::tuple{"talc", "leave-on/powder", "92"}}) {
    const SwapAsked asked = Ask(name, kind, level);
    const auto& lines = asked.question.formula.lines;
    const double total =
        std::accumulate(lines.begin(), lines.end(), 0.0,
                        [](double sum, const kb::FormulaLine& line) { return sum + line.pct; });
    EXPECT_NEAR(total, 100, 1e-9) << name;
    EXPECT_DOUBLE_EQ(lines[asked.question.line].pct, std::stod(level)) << name;
  }
}

TEST(UsualLevel, OfTheFormComesBeforeThatOfTheUse) {
  const auto range =
      UsualLevel(RealCatalogue(), Of("castor-oil"), "emollient", {kb::Use::kLeaveOn, kb::Form::kAnhydrous});
  ASSERT_TRUE(range);
  EXPECT_GT(range->high, 50);  // a lip gloss is mostly castor oil
}

// 1 g of D-panthenol is in 1.33 g of its 75 % solution.
TEST(LevelFor, TakesAsMuchOfTheSameSubstanceInAnotherStrength) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const auto role = catalogue.FindFunction("conditioning-active");
  ASSERT_TRUE(role);
  const Level level = LevelFor(catalogue, catalogue.function(*role), Of("panthenol"), 1,
                               Of("panthenol-75-solution"), {kb::Use::kLeaveOn, kb::Form::kGel}, 5.5);
  EXPECT_NEAR(level.pct, 1 / 0.75, 0.03);
}

// In a balm nobody wants to hear of bath bombs, and in bath bombs it is the first thing to know.
TEST(TipsFor, LeavesOutWhatIsSaidOfAnotherKindOfProduct) {
  const auto tips = [](const char* kind) {
    const SwapAsked asked = Ask("baking soda", kind, "10");
    std::string all;
    for (const std::string& tip : TipsFor(RealCatalogue(), asked.question.formula, Of("magnesium-hydroxide"),
                                          Of("sodium-bicarbonate")))
      all += tip + "\n";
    return all;
  };
  EXPECT_EQ(tips("leave-on/anhydrous").find("bath bomb"), std::string::npos);
  EXPECT_EQ(tips("rinse-off/powder").rfind("In bath bombs", 0), 0U);
}

TEST(TipsFor, SpeaksFirstOfWhatIsMissing) {
  const SwapAsked asked = Ask("cetyl alcohol", "leave-on/emulsion-ow", "2");
  const auto tips =
      TipsFor(RealCatalogue(), asked.question.formula, Of("cetyl-alcohol"), Of("cetearyl-alcohol"));
  ASSERT_FALSE(tips.empty());
  EXPECT_NE(tips.front().find("cetyl"), std::string::npos) << tips.front();
}

TEST(Verdict, AFilterIsNoFilterInAPaste) {
  const SwapAnswer answer = Answer("zinc oxide", "leave-on/emulsion-wo", "12");
  EXPECT_EQ(answer.verdict, "swap-with-rework");
  EXPECT_FALSE(answer.stand_ins.empty());
  EXPECT_NE(answer.because.find("UV filter"), std::string::npos) << answer.because;
  EXPECT_EQ(Answer("zinc oxide", "leave-on/sunscreen", "12").verdict, "do-not-swap");
}

TEST(Verdict, TheMoreOfTheProductItIsTheCloserAStandInHasToBe) {
  EXPECT_EQ(Answer("castor oil", "leave-on/anhydrous", "5").verdict, "swap");
  EXPECT_EQ(Answer("castor oil", "leave-on/anhydrous", "60").verdict, "swap-with-rework");
}

// Salicylic acid is limited to 0.5 % in body lotions and to 2 % in most others: Regulation (EC) 1223/2009, Annex III, entry 98.
TEST(Verdict, ALimitOfANarrowerUseDecidesNothing) {
  const SwapAnswer answer = Answer("salicylic acid", "leave-on/gel", "2");
  EXPECT_EQ(answer.because.find("its own limit"), std::string::npos) << answer.because;
}

// Ascorbic acid needs an acid product and its stable kin do not: the acid goes with it.
TEST(Verdict, ThePhThatTheMissingAcidNeededMayMove) {
  const auto asked = ReadSwapQuestion(
      RealCatalogue(),
      {{{"name", "ascorbic acid"}, {"kind", "leave-on/water"}, {"level", "15"}, {"ph", "3"}}, {}, {}});
  ASSERT_TRUE(asked);
  const SwapAnswer answer = Swap(RealCatalogue(), asked->question);
  EXPECT_EQ(answer.verdict, "swap-with-rework");
  const auto phosphate = std::find_if(
      answer.stand_ins.begin(), answer.stand_ins.end(),
      [](const StandIn& item) { return item.blend.front().ingredient == Of("sodium-ascorbyl-phosphate"); });
  ASSERT_NE(phosphate, answer.stand_ins.end());
  ASSERT_TRUE(phosphate->after.target_ph);
  EXPECT_GE(*phosphate->after.target_ph, 6);
}

// What never preserved can go without a stand-in where phenoxyethanol and its partner already do that work.
TEST(Verdict, AnExtractTakenForAPreservativeCanBeLeftOutWhereOthersPreserve) {
  const auto because = [](const char* rows) {
    Params params;
    params.values = {{"name", "grapefruit seed extract"}};
    params.formula_text =
        std::string(
            "# kind: leave-on emulsion o/w\nphase,ingredient,percent\nA,water,q.s.\nB,sunflower oil,15\n"
            "B,glyceryl stearate and PEG-100 stearate,4\n") +
        rows;
    const auto asked = ReadSwapQuestion(RealCatalogue(), params);
    EXPECT_TRUE(asked) << asked.error().what;
    return asked ? Swap(RealCatalogue(), asked->question).because : std::string();
  };
  EXPECT_NE(because("C,grapefruit seed extract,1\nC,phenoxyethanol and ethylhexylglycerin 90:10,1\n")
                .find("left out"),
            std::string::npos);
  EXPECT_EQ(because("C,grapefruit seed extract,1\n").find("left out"), std::string::npos);
}

// What may not be used is held to say so, and is nobody's stand-in; what it did, where that is known, is still looked for.
TEST(Verdict, WhatMayNotBeUsedIsNeverOffered) {
  for (const auto& [name, kind] : {std::pair{"butylphenyl methylpropional", "leave-on/emulsion-ow"},
                                   {"dichloromethane", "leave-on/anhydrous"},
                                   {"minoxidil", "leave-on/water"},
                                   {"isobutylparaben", "leave-on/emulsion-ow"},
                                   {"hydroquinone", "leave-on/emulsion-ow"},
                                   {"propylene glycol", "leave-on/gel"}}) {
    for (const StandIn& item : Answer(name, kind, "0.2").stand_ins) {
      for (const BlendPart& part : item.blend)
        EXPECT_FALSE(RealCatalogue().HasFunction(part.ingredient, "prohibited"))
            << name << ": " << RealCatalogue().at(part.ingredient).id;
    }
  }
  EXPECT_EQ(Answer("minoxidil", "leave-on/water", "2").verdict, "do-not-swap");
  EXPECT_EQ(Answer("butylphenyl methylpropional", "leave-on/emulsion-ow", "0.2").verdict, "swap-with-rework");
}

// Acids peel from some percent on; what sets the pH of a shampoo at half a percent is no reason to stay out of the sun.
TEST(Cautions, OfAUseHoldFromItsLevelOn) {
  const auto said = [](const char* level, const char* kind) {
    const SwapAnswer answer = Answer("citric acid", kind, level);
    return std::any_of(answer.stand_ins.begin(), answer.stand_ins.end(), [](const StandIn& item) {
      return std::any_of(item.cautions.begin(), item.cautions.end(), [](const std::string& caution) {
        return caution.find("photosensitiser") != std::string::npos;
      });
    });
  };
  EXPECT_FALSE(said("0.3", "rinse-off/surfactant"));
  EXPECT_TRUE(said("3", "leave-on/gel"));
}

// Benzyl alcohol alone leaves Gram-negatives: where an extract stood for the whole preservative, it comes with a partner.
TEST(Verdict, AnExtractTakenForAPreservativeIsReplacedByAWholeSystem) {
  Params params;
  params.values = {{"name", "grapefruit seed extract"}};
  params.formula_text =
      "# name: Unkept lotion\n# kind: leave-on emulsion o/w\n# target pH: 5.2\nphase,ingredient,percent\n"
      "A,Water,q.s.\nA,Glycerin,4\nB,Glyceryl stearate and PEG-100 stearate,4\nB,Cetyl alcohol,2\n"
      "B,Sunflower oil high oleic,12\nC,Grapefruit seed extract,0.5\n";
  const auto asked = ReadSwapQuestion(RealCatalogue(), params);
  ASSERT_TRUE(asked) << asked.error().what;
  const SwapAnswer answer = Swap(RealCatalogue(), asked->question);
  EXPECT_EQ(answer.verdict, "swap-with-rework");
  const auto alcohol =
      std::find_if(answer.stand_ins.begin(), answer.stand_ins.end(),
                   [](const StandIn& item) { return item.blend.front().ingredient == Of("benzyl-alcohol"); });
  ASSERT_NE(alcohol, answer.stand_ins.end());
  EXPECT_FALSE(alcohol->partners.empty());
}

}  // namespace
}  // namespace query
