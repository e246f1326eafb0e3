// Every parameter that the interface promises, asked over HTTP: each makes a difference, and what cannot be meant is refused.
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "server/app.h"
#include "tests/server/real_base.h"

namespace server {
namespace {

using nlohmann::json;
using testing_server::Get;
using testing_server::HandCream;
using testing_server::kGel;
using testing_server::Post;

class Contract : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    holder = std::make_unique<BaseHolder>(testing_server::BaseRoot());
    app = std::make_unique<App>(*holder, nullptr, GuardSettings{8088, true, ""});
  }
  static void TearDownTestSuite() {
    app.reset();
    holder.reset();
  }
  static json Ask(const Question& question, int status = 200) {
    const Answer answer = app->Respond(question);
    EXPECT_EQ(answer.status, status) << question.target << ": " << answer.body.substr(0, 400);
    return json::parse(answer.body, nullptr, false);
  }
  static std::set<std::string> Ids(const json& list) {
    std::set<std::string> out;
    for (const json& item : list) out.insert(item.at("id").get<std::string>());
    return out;
  }

  static inline std::unique_ptr<BaseHolder> holder;
  static inline std::unique_ptr<App> app;
};

TEST_F(Contract, FindTakesWordsFiltersClaimsAndALimit) {
  const json all = Ask(Get("/api/v1/find?q=emulsifier&limit=200"));
  const json vegan = Ask(Get("/api/v1/find?q=emulsifier&keep=vegan&limit=200"));
  const json both = Ask(Get("/api/v1/find?q=emulsifier&keep=vegan&keep=peg-free&limit=200"));
  EXPECT_GT(all.at("total"), vegan.at("total"));
  EXPECT_GT(vegan.at("total"), both.at("total"));
  EXPECT_GT(both.at("total"), 0);
  // PEG-100 stearate has a chain of ethylene glycol in its very name.
  EXPECT_EQ(Ids(both.at("results")).count("glyceryl-stearate-and-peg-100-stearate"), 0U);
  EXPECT_EQ(Ask(Get("/api/v1/find?q=emulsifier&limit=3")).at("results").size(), 3U);
  for (const char* filter :
       {"function=humectant", "phase=heated-oil", "solubility=oil", "form=powder", "charge=cationic"}) {
    const json found = Ask(Get(std::string("/api/v1/find?limit=1&") + filter));
    EXPECT_GT(found.at("total"), 0) << filter;
    EXPECT_EQ(found.at("understood").at("filters").size(), 1U) << filter;
  }
  EXPECT_EQ(Ask(Post("/api/v1/find?q=glycerin", "")).at("results").at(0).at("id"), "glycerin");
}

TEST_F(Contract, ANameIsAnyOfAnIngredientsNames) {
  // 56-81-5 and 200-289-5 are glycerol's CAS and EC numbers.
  for (const char* name :
       {"glycerin", "GLYCERIN", "glycerol", "Glycerine", "56-81-5", "200-289-5", "glicerin"})
    EXPECT_EQ(Ask(Get(std::string("/api/v1/show?name=") + name)).at("id"), "glycerin") << name;
  EXPECT_EQ(Ask(Get("/api/v1/show?name=humectants")).at("type"), "function");
  const json compared = Ask(Get("/api/v1/compare?name=glycerol&name=propanediol&name=beeswax"));
  Ask(Get("/api/v1/compare?name=glycerol&name=56-81-5"), 400);  // one and the same
  EXPECT_FALSE(compared.empty());
}

TEST_F(Contract, CheckTakesAFormulaItsKindAndItsPh) {
  const json cream = Ask(Post("/api/v1/check", HandCream()));
  EXPECT_EQ(cream.at("kind"), "leave-on/emulsion-ow");
  EXPECT_NEAR(cream.at("total_pct").get<double>(), 100, 1e-9);  // one of its lines is q.s.
  // 5 + 0.2 + 0.1 and what the others leave of 100 %; 4 + 2 + 8 + 4 + 4; 1 + 0.3 + 1 + 0.2.
  const double by_hand[] = {75.5, 22, 2.5};
  ASSERT_EQ(cream.at("phases").size(), std::size(by_hand));
  for (std::size_t i = 0; i < std::size(by_hand); ++i)
    EXPECT_NEAR(cream.at("phases").at(i).at("total_pct").get<double>(), by_hand[i], 1e-6);
  const std::string unsaid = "phase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,5\n";
  Ask(Post("/api/v1/check", unsaid), 400);
  EXPECT_EQ(Ask(Post("/api/v1/check?kind=rinse-off/gel&ph=5", unsaid)).at("kind"), "rinse-off/gel");
  Ask(Post("/api/v1/check?ph=15", HandCream()), 400);
  Ask(Post("/api/v1/check?kind=soup", unsaid), 400);
  Ask(Get("/api/v1/check"), 400);
}

TEST_F(Contract, SwapTakesNameKindLevelPhRoleClaimsWhyNotAndALimit) {
  const std::string in = "/api/v1/swap?name=cetyl%20alcohol";
  const json plain = Ask(Get(in + "&kind=leave-on/emulsion-ow&level=3"));
  EXPECT_EQ(plain.at("missing").at("level_pct"), 3);
  EXPECT_LE(Ask(Get(in + "&kind=leave-on/emulsion-ow&limit=2")).at("stand_ins").size(), 2U);
  const json formula = Ask(Post(in + "&ph=5.5", HandCream()));
  EXPECT_EQ(formula.at("missing").at("level_pct"), 2);
  const json role = Ask(Post(in + "&role=emollient", HandCream()));
  EXPECT_NE(role.at("stand_ins"), formula.at("stand_ins"));
  const json kept = Ask(Post("/api/v1/swap?name=glycerin&keep=vegan&keep=palm-free", HandCream()));
  for (const json& stand_in : kept.at("stand_ins")) {
    for (const json& part : stand_in.at("blend")) EXPECT_NE(part.at("id"), "honey");  // bees make it
  }
  const json answered = Ask(Post(in + "&why_not=glycerin&why_not=56-81-5&why_not=carbomer", HandCream()));
  const std::set<std::string> ruled_out = Ids(answered.at("ruled_out"));
  EXPECT_EQ(ruled_out.count("glycerin"), 1U);
  EXPECT_EQ(ruled_out.count("carbomer"), 1U);
  for (const json& one : answered.at("ruled_out")) EXPECT_FALSE(one.at("because").get<std::string>().empty());
  for (const char* wrong : {"&level=101", "&level=-1", "&ph=-1", "&role=magic", "&keep=tasty",
                            "&why_not=unobtainium%20dust", "&limit=0", "&limit=x"})
    Ask(Post(in + wrong, HandCream()), std::string(wrong).starts_with("&why_not") ? 404 : 400);
}

TEST_F(Contract, SwapMakesASheetAndTakesSeveralNames) {
  const json sheet = Ask(Post("/api/v1/swap?sheet=true", HandCream()));
  EXPECT_EQ(sheet.at("lines").size(), 13U);  // of the file
  const json several = Ask(Post("/api/v1/swap?name=cetyl%20alcohol&name=glycerin", HandCream()));
  EXPECT_EQ(several.at("each").size(), 2U);
}

TEST_F(Contract, PlaceTakesANameOrWhatIsDescribed) {
  const json typical = Ask(Get("/api/v1/place?name=cetyl%20alcohol&kind=leave-on/emulsion-ow&level=2"));
  EXPECT_EQ(typical.at("position"), "heated-oil");  // a wax that melts at 49 C
  EXPECT_EQ(Ask(Post("/api/v1/place?name=cetyl%20alcohol", HandCream())).at("position"), "heated-oil");
  const json stranger = Ask(Get("/api/v1/place?described=form%3Dpowder&described=water_g_per_l%3D5"));
  EXPECT_FALSE(stranger.at("ask").empty());
  Ask(Get("/api/v1/place?name=glycerin&level=200"), 400);
  Ask(Get("/api/v1/place?described=form%3Dghost"), 400);
}

TEST_F(Contract, WeighTakesABatchAndAScale) {
  const json sheet = Ask(Post("/api/v1/weigh?batch=0.5%20kg&scale=0.1g", HandCream()));
  double grams = 0;
  for (const json& phase : sheet.at("phases")) {
    for (const json& line : phase.at("lines")) {
      const double tenths = line.at("grams").get<double>() * 10;
      EXPECT_NEAR(tenths, std::round(tenths), 1e-6);  // what the scale can show
      grams += line.at("grams").get<double>();
    }
  }
  EXPECT_NEAR(grams, 500, 1e-6);
  for (const char* wrong : {"", "?batch=much", "?batch=-5g", "?batch=0", "?batch=500g&scale=2kg"})
    Ask(Post(std::string("/api/v1/weigh") + wrong, HandCream()), 400);
}

TEST_F(Contract, LabelNamesTheMostFirst) {
  // Regulation (EC) No 1223/2009, article 19(1)(g): in descending order of weight at the time they are added.
  const json label = Ask(Post("/api/v1/label", HandCream())).at("label").at("inci");
  EXPECT_EQ(label.at(0), "AQUA");                         // 70.2 %
  EXPECT_EQ(label.at(1), "PRUNUS AMYGDALUS DULCIS OIL");  // 8 %
  EXPECT_EQ(label.at(2), "GLYCERIN");                     // 5 %
  Ask(Post("/api/v1/label", "phase,ingredient\nA,Water\n"), 400);
}

}  // namespace
}  // namespace server
