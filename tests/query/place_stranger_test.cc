// Descriptions of strangers: what is read, and what is refused with a hint; estimates from a structure.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <string>

#include "query/place_request.h"
#include "query/structure.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing_data::RealCatalogue;

struct Reads {
  const char* text;
  const char* property;
  const char* choice;  // "" for a number
  double number;
};

TEST(ReadTrait, TakesWhatSheetsAndMakersWrite) {
  const std::vector<Reads> rows = {
      {"form=powder", "form", "powder", 0},
      {"Form = Crystalline powder", "form", "powder", 0},
      {"form=pellets", "form", "flakes", 0},
      {"liquid=yes", "form", "liquid", 0},
      {"oil=yes", "in_oil", "dissolves", 0},
      {"oil=no", "in_oil", "insoluble", 0},
      {"oil=polar", "in_oil", "polar-oils-only", 0},
      {"water=dispersible", "in_water", "disperses", 0},
      {"water_class=slightly soluble", "water_class", "slightly-soluble", 0},
      {"water_class=insoluble", "water_class", "practically-insoluble", 0},
      {"water_class=miscible", "water_class", "miscible", 0},
      {"charge=cationic", "charge", "cationic", 0},
      {"function=humectant", "function", "humectant", 0},
      {"polymer=yes", "polymer", "yes", 0},
      {"water_g_per_l=0.5", "water_g_per_l", "", 0.5},
      {"water_g_per_l=0,5 g/L", "water_g_per_l", "", 0.5},
      {"water_g_per_l=<0.1", "water_g_per_l", "", 0.1},
      {"solubility=12@20", "water_g_per_l", "", 12},
      {"melting_c=107-117", "melting_c", "", 112},
      {"melting_point=107 to 117 C", "melting_c", "", 112},
      {"melting_c=-20", "melting_c", "", -20},
      {"max_c=40-45", "max_c", "", 40},  // the careful end
      {"logp=-1.9", "log_p", "", -1.9},
  };
  for (const Reads& row : rows) {
    const auto trait = ReadTrait(RealCatalogue(), row.text);
    ASSERT_TRUE(trait) << row.text << ": " << trait.error().what;
    EXPECT_EQ(trait->property, row.property) << row.text;
    if (std::string_view(row.choice).empty()) {
      ASSERT_TRUE(trait->number) << row.text;
      EXPECT_DOUBLE_EQ(*trait->number, row.number) << row.text;
    } else {
      ASSERT_EQ(trait->choices.size(), 1U) << row.text;
      EXPECT_EQ(trait->choices.front(), row.choice) << row.text;
    }
  }
  EXPECT_EQ(ReadTrait(RealCatalogue(), "solubility=12@20")->at_c, 20);
}

struct Refuses {
  const char* text;
  const char* nearest;  // "" where there is none
};

TEST(ReadTrait, RefusesTheRestWithWhatIsNear) {
  const std::vector<Refuses> rows = {
      {"powder", ""},
      {"form=", ""},
      {"form=powdr", "powder"},
      {"fomr=powder", "form"},
      {"melting=hot", ""},
      {"melting_c=nan", ""},
      {"melting_c=1e9", ""},
      {"water_g_per_l=-1", ""},
      {"max_c=40=50", ""},
      {"max_c=5 6 7", ""},
      {"function=humectent", "humectant"},
      {"polymer=maybe", ""},
      {"liquid=no", ""},
      {"charge=positiv", ""},
      {"about=a powder", ""},
      {"pka=4", ""},
      {"=powder", ""},
      {"water_class=solubel", "soluble"},
      {"class=enzime", "enzyme"},
      {"melting_c=5@hot", ""},
      {"melting_c=90-20", ""},
  };
  for (const Refuses& row : rows) {
    const auto trait = ReadTrait(RealCatalogue(), row.text);
    ASSERT_FALSE(trait) << row.text;
    EXPECT_FALSE(trait.error().what.empty()) << row.text;
    EXPECT_FALSE(trait.error().expected.empty()) << row.text;
    if (!std::string_view(row.nearest).empty()) {
      EXPECT_THAT(trait.error().nearest, Contains(row.nearest)) << row.text;
    }
  }
}

Asked<PlaceAsked> Read(std::vector<std::pair<std::string, std::string>> values) {
  return ReadPlaceQuestion(RealCatalogue(), Params{std::move(values), {}, {}});
}

TEST(ReadPlaceQuestion, TakesFactsInOneValueOrInSeveral) {
  const auto one = Read({{"described", "form=powder, water_class=very slightly soluble; melting_c=168 C"}});
  const auto several = Read({{"described", "form=powder"},
                             {"described", "water_class=very-slightly-soluble"},
                             {"described", "melting_c=168"}});
  ASSERT_TRUE(one);
  ASSERT_TRUE(several);
  ASSERT_EQ(one->question.described.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(one->question.described[i].property, several->question.described[i].property);
    EXPECT_EQ(one->question.described[i].choices, several->question.described[i].choices);
    EXPECT_EQ(one->question.described[i].number, several->question.described[i].number);
  }
}

TEST(ReadPlaceQuestion, TakesAStrangersName) {
  const auto asked = Read({{"name", "Aunt Hilda's grey powder"}, {"described", "form=powder"}});
  ASSERT_TRUE(asked);
  EXPECT_FALSE(asked->question.ingredient);
  EXPECT_EQ(asked->question.what, "Aunt Hilda's grey powder");
}

TEST(ReadPlaceQuestion, TakesADescriptionBesideAKnownName) {
  const auto asked = Read({{"name", "caffeine"}, {"described", "max_c=40"}});
  ASSERT_TRUE(asked);
  ASSERT_TRUE(asked->question.ingredient);
  const Placement answer = Place(RealCatalogue(), asked->question);
  EXPECT_LE(answer.max_c, 40);
}

TEST(ReadPlaceQuestion, RefusesNothingAndUnknownNames) {
  const auto nothing = Read({});
  ASSERT_FALSE(nothing);
  EXPECT_EQ(nothing.error().kind, Trouble::Kind::kBadQuestion);
  const auto unknown = Read({{"name", "qwertzuiopasdf"}});
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().kind, Trouble::Kind::kNothingFound);
  EXPECT_THAT(unknown.error().expected, HasSubstr("--described"));
  EXPECT_FALSE(Read({{"described", "form=powder"}, {"level", "120"}}));
  EXPECT_FALSE(Read({{"described", "formula=Xx2"}}));
  EXPECT_FALSE(Read({{"described", "smiles=not a structure"}}));
}

// --- structure ------------------------------------------------------------------------------------------------------------

TEST(MayBeSmiles, TakesStructuresAndNothingThatAShellOrAnOptionWouldRead) {
  for (const char* good : {"CCO", "OC(=O)c1ccccc1O", "[Na+].[Cl-]", "C/C=C\\C", "N[C@@H](C)C(=O)O"})
    EXPECT_TRUE(MayBeSmiles(good)) << good;
  for (const char* bad : {"", "C C", "C;ls", "$(ls)`", "C\n", "C|C", "C&C", "C<C", "C'C", "C\"C", "\xc3\xa9"})
    EXPECT_FALSE(MayBeSmiles(bad)) << bad;
  EXPECT_FALSE(MayBeSmiles(std::string(kLongestSmiles + 1, 'C')));
}

// The PATH for as long as it lives.
class Path {
 public:
  explicit Path(const char* value) : before_(std::getenv("PATH")) { setenv("PATH", value, 1); }
  Path(const Path&) = delete;
  Path& operator=(const Path&) = delete;
  ~Path() { setenv("PATH", before_.c_str(), 1); }

 private:
  std::string before_;
};

TEST(Structure, IsSkippedWithAMessageWhereNoToolkitIsInstalled) {
  const Path path("/nowhere");
  const auto estimate = EstimateFromSmiles("CCO", 5.5);
  ASSERT_FALSE(estimate);
  EXPECT_EQ(estimate.error().why, StructureTrouble::kNoToolkit);
  const auto asked = Read({{"described", "form=powder smiles=OC(=O)c1ccccc1O"}});
  ASSERT_TRUE(asked);
  EXPECT_THAT(Place(RealCatalogue(), asked->question).watch, Contains(HasSubstr("openbabel")));
}

// Measured log P: Hansch, Leo and Hoekman 1995: benzene 2.13, caffeine -0.07, 1-octanol 3.00. Tolerance: Wildman and Crippen state a
// standard deviation of 0.68 for their contributions; twice that. Molar masses: standard atomic weights 2021.
TEST(Structure, EstimatesWithinTheMethodsTrust) {
  if (const auto tried = EstimateFromSmiles("C", 7);
      !tried && tried.error().why == StructureTrouble::kNoToolkit) {
    GTEST_SKIP() << "no obabel on this machine";
  }
  struct Row {
    const char* smiles;
    double log_p, molar_mass;
  };
  for (const Row& row : {Row{"c1ccccc1", 2.13, 78.11}, Row{"CN1C=NC2=C1C(=O)N(C)C(=O)N2C", -0.07, 194.19},
                         Row{"CCCCCCCCO", 3.00, 130.23}}) {
    const auto estimate = EstimateFromSmiles(row.smiles, 7);
    ASSERT_TRUE(estimate) << row.smiles;
    EXPECT_NEAR(estimate->log_p, row.log_p, 1.36) << row.smiles;
    EXPECT_NEAR(estimate->molar_mass, row.molar_mass, 0.05) << row.smiles;
    EXPECT_EQ(estimate->charge, 0) << row.smiles;
  }
  // Acetic acid, pKa 4.76, at pH 9; methylamine, pKa 10.6 of its acid, at pH 4.
  EXPECT_EQ(EstimateFromSmiles("CC(=O)O", 9)->charge, -1);
  EXPECT_EQ(EstimateFromSmiles("CN", 4)->charge, 1);
  const auto broken = EstimateFromSmiles("C1CC", 7);
  ASSERT_FALSE(broken);
  EXPECT_NE(broken.error().why, StructureTrouble::kNoToolkit);
}

TEST(Structure, BecomesEvidenceMarkedAsAnEstimate) {
  const auto asked = Read({{"described", "form=powder smiles=CCCCCCCCCCCCCCCC(=O)OCC log_p=8"}});
  ASSERT_TRUE(asked);
  if (!asked->question.remarks.empty() &&
      asked->question.remarks.front().find("openbabel") != std::string::npos)
    GTEST_SKIP() << "no obabel here";
  for (const Trait& trait : asked->question.described) {
    if (trait.property == "molar_mass") {
      EXPECT_THAT(trait.from, HasSubstr("estimate"));
    }
    if (trait.property == "log_p") {
      EXPECT_EQ(trait.number, 8) << "a given figure comes first";
    }
  }
  EXPECT_THAT(asked->question.remarks, Contains(HasSubstr("Estimate")));
}

}  // namespace
}  // namespace query
