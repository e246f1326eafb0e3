// Laws that hold for whatever is missing, in whatever formula: every line of every formula that comes with the base, and ingredients
// drawn by chance in typical formulas.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <random>

#include "query/facts.h"
#include "query/request.h"
#include "query/swap.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::RealCatalogue;

constexpr std::size_t kByChance = 60;

struct Question {
  std::string what;
  SwapQuestion question;
};

const std::vector<Question>& Questions() {
  static const std::vector<Question> all = [] {
    const kb::Catalogue& catalogue = RealCatalogue();
    std::vector<Question> out;
    for (const kb::SavedFormula& saved : catalogue.formulas()) {
      const auto formula = kb::ReadFormula(catalogue, saved.text);
      if (!formula) continue;
      for (std::size_t line = 0; line < formula->lines.size(); ++line) {
        const kb::Ingredient& item = catalogue.at(formula->lines[line].ingredient);
        if (item.functions.empty()) continue;
        SwapQuestion question;
        question.formula = *formula;
        question.line = line;
        out.push_back({item.id + " in " + saved.id, std::move(question)});
      }
    }
    std::mt19937 draw(11);
    const std::array<const char*, 5> kinds = {"leave-on/emulsion-ow", "leave-on/anhydrous", "leave-on/gel",
                                              "rinse-off/conditioner", "rinse-off/surfactant"};
    for (std::size_t i = 0; i < kByChance; ++i) {
      const std::string& id =
          catalogue.at(static_cast<IngredientIx>(draw() % catalogue.ingredients().size())).id;
      const char* kind = kinds[draw() % kinds.size()];
      auto asked = ReadSwapQuestion(catalogue, {{{"name", id}, {"kind", kind}}, {}, {}});
      if (asked) out.push_back({id + " in " + kind, std::move(asked->question)});
    }
    return out;
  }();
  return all;
}

const std::vector<SwapAnswer>& Answers() {
  static const std::vector<SwapAnswer> all = [] {
    std::vector<SwapAnswer> out;
    for (const Question& asked : Questions()) out.push_back(Swap(RealCatalogue(), asked.question));
    return out;
  }();
  return all;
}

template <class Check>
void ForEachStandIn(const Check& check) {
  ASSERT_GT(Questions().size(), 100U);
  for (std::size_t i = 0; i < Questions().size(); ++i) {
    for (const StandIn& item : Answers()[i].stand_ins) {
      SCOPED_TRACE(RealCatalogue().at(item.blend.front().ingredient).id + " for " + Questions()[i].what);
      check(Questions()[i].question, Answers()[i], item);
    }
  }
}

TEST(SwapLaws, TheWholeStaysAHundredAndTheMissingOneIsGone) {
  ForEachStandIn([&](const SwapQuestion&, const SwapAnswer& answer, const StandIn& item) {
    double total = 0;
    for (const kb::FormulaLine& line : item.after.lines) {
      total += line.pct;
      EXPECT_NE(line.ingredient, answer.missing);
      EXPECT_GE(line.pct, 0);
    }
    EXPECT_NEAR(total, 100, 1e-9);
  });
}

// A claim rules out and never brings in: for every claim of data/claims.toml, in every demo formula, for a fifth of the lines that
// goes round with the claim.
TEST(SwapLaws, MoreClaimsNeverAddCandidates) {
  const kb::Catalogue& catalogue = RealCatalogue();
  const auto leads = [&](const SwapQuestion& question) {
    std::vector<IngredientIx> out;
    for (const StandIn& item : Swap(catalogue, question).stand_ins) {
      out.push_back(item.blend.front().ingredient);
      for (const BlendPart& part : item.blend) {
        for (const std::string& claim : question.keep) {
          const ClaimState state = KeepsClaim(catalogue, part.ingredient, claim).state;
          EXPECT_TRUE(state == ClaimState::kKept || state == ClaimState::kDepends)
              << catalogue.at(part.ingredient).id << " is offered as " << claim;
        }
      }
    }
    return out;
  };
  ASSERT_FALSE(catalogue.claims().empty());
  std::size_t compared = 0;
  for (const kb::SavedFormula& saved : catalogue.formulas()) {
    if (saved.folder != "demo") continue;
    const auto formula = kb::ReadFormula(catalogue, saved.text);
    ASSERT_TRUE(formula) << saved.id;
    for (std::size_t line = 0; line < formula->lines.size(); ++line) {
      if (catalogue.at(formula->lines[line].ingredient).functions.empty()) continue;
      SwapQuestion question;
      question.formula = *formula;
      question.line = line;
      question.limit = 50;
      const std::vector<IngredientIx> without = leads(question);
      for (std::size_t claim = line % 5; claim < catalogue.claims().size(); claim += 5) {
        question.keep = {catalogue.claims()[claim].id};
        SCOPED_TRACE(catalogue.at(formula->lines[line].ingredient).id + " in " + saved.id + ", " +
                     question.keep.front());
        const std::vector<IngredientIx> with = leads(question);
        // A full list may have cut off what the claim brings up; a short one holds them all.
        if (without.size() == question.limit) continue;
        ++compared;
        for (const IngredientIx lead : with) {
          EXPECT_NE(std::find(without.begin(), without.end(), lead), without.end()) << catalogue.at(lead).id;
        }
      }
    }
  }
  EXPECT_GT(compared, catalogue.claims().size());
}

TEST(SwapLaws, NobodyRuledOutIsOffered) {
  ForEachStandIn([](const SwapQuestion&, const SwapAnswer& answer, const StandIn& item) {
    EXPECT_NE(item.fit, Fit::kRuledOut);
    const IngredientIx lead = item.blend.front().ingredient;
    EXPECT_TRUE(std::none_of(answer.ruled_out.begin(), answer.ruled_out.end(),
                             [&](const RuledOut& out) { return out.ingredient == lead; }));
  });
}

TEST(SwapLaws, OnlyIngredientsWithWorkingDataAreOffered) {
  ForEachStandIn([](const SwapQuestion&, const SwapAnswer&, const StandIn& item) {
    for (const BlendPart& part : item.blend) {
      EXPECT_FALSE(RealCatalogue().Facts(part.ingredient).empty());
      EXPECT_FALSE(RealCatalogue().at(part.ingredient).functions.empty());
    }
  });
}

TEST(SwapLaws, ChangesBeginWithPhaseTotals) {
  ForEachStandIn([](const SwapQuestion&, const SwapAnswer&, const StandIn& item) {
    ASSERT_FALSE(item.changes.empty());
    EXPECT_EQ(item.changes.front().topic, "phase-total");
  });
}

// A limit that the formula broke before stays broken whatever stands in for something else.
TEST(SwapLaws, NoStandInBreaksALimit) {
  ForEachStandIn([](const SwapQuestion&, const SwapAnswer& answer, const StandIn& item) {
    for (const LimitUse& use : Assess(RealCatalogue(), item.after, Depth::kForDiff).limits) {
      if (!use.binds || (!use.over && !use.prohibited)) continue;
      EXPECT_TRUE(std::any_of(answer.before.limits.begin(), answer.before.limits.end(),
                              [&](const LimitUse& old) {
                                return old.substance == use.substance && old.binds &&
                                       (old.over || old.prohibited);
                              }))
          << use.substance << ' ' << use.pct << " %, " << use.annex << ' ' << use.entry;
    }
  });
}

TEST(SwapLaws, NothingIsLeftUncoveredSilently) {
  ForEachStandIn([](const SwapQuestion&, const SwapAnswer& answer, const StandIn& item) {
    const Preservation after = Assess(RealCatalogue(), item.after, Depth::kForDiff).preservation;
    for (const std::string& gap : after.gaps) {
      const auto& before = answer.before.preservation.gaps;
      if (std::find(before.begin(), before.end(), gap) != before.end()) continue;
      EXPECT_TRUE(std::any_of(item.changes.begin(), item.changes.end(), [](const Change& change) {
        return change.topic == "preservation" && change.severity == Severity::kStop;
      })) << gap;
    }
  });
}

TEST(SwapLaws, LikenessToItselfIsOne) {
  const kb::Catalogue& catalogue = RealCatalogue();
  for (std::size_t i = 0; i < Questions().size(); ++i) {
    const SwapAnswer& answer = Answers()[i];
    const Likeness self =
        Compare(catalogue, catalogue.function(answer.role), answer.missing, answer.missing, {});
    if (self.confidence > 0) {
      EXPECT_NEAR(self.value, 1, 1e-9) << Questions()[i].what;
    }
  }
}

TEST(SwapLaws, TheSameQuestionHasTheSameAnswer) {
  for (std::size_t i = 0; i < Questions().size(); i += 7) {
    const SwapAnswer again = Swap(RealCatalogue(), Questions()[i].question);
    ASSERT_EQ(again.stand_ins.size(), Answers()[i].stand_ins.size()) << Questions()[i].what;
    for (std::size_t k = 0; k < again.stand_ins.size(); ++k) {
      EXPECT_EQ(again.stand_ins[k].blend.front().ingredient,
                Answers()[i].stand_ins[k].blend.front().ingredient);
      EXPECT_EQ(again.stand_ins[k].score, Answers()[i].stand_ins[k].score);
    }
  }
}

}  // namespace
}  // namespace query
