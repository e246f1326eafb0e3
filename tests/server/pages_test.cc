// The pages without a browser: each has its twin, escapes what it shows, and can be filled at all.
#include <gtest/gtest.h>

#include <filesystem>
#include <kainjow/mustache.hpp>
#include <nlohmann/json.hpp>

#include "server/app.h"
#include "server/form.h"
#include "server/shelf.h"
#include "server/texts.h"
#include "tests/server/real_base.h"

namespace server {
namespace {

using nlohmann::json;
using testing_server::Get;
using testing_server::Post;

class Pages : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    holder = std::make_unique<BaseHolder>(testing_server::BaseRoot());
    shelf = std::make_unique<Shelf>(testing_server::Scratch("pages.shelf"));
    app = std::make_unique<App>(*holder, shelf.get(), GuardSettings{8088, true, ""});
  }
  static void TearDownTestSuite() {
    app.reset();
    shelf.reset();
    holder.reset();
  }
  static Answer Read(const std::string& target) {
    Question question = Get(target);
    question.accept = "text/html,application/xhtml+xml";
    return app->Respond(question);
  }
  static inline std::unique_ptr<BaseHolder> holder;
  static inline std::unique_ptr<Shelf> shelf;
  static inline std::unique_ptr<App> app;
};

// A template with a mistake renders an empty page without a word.
TEST(Templates, AreAllValid) {
  std::size_t seen = 0;
  for (const auto& entry : std::filesystem::directory_iterator(STILLROOM_SOURCE_DIR "/server/pages")) {
    if (entry.path().extension() != ".mustache") continue;
    const std::string name = entry.path().filename();
    ASSERT_TRUE(HasText(name)) << name;
    const kainjow::mustache::mustache page(Text(name));
    EXPECT_TRUE(page.is_valid()) << name << ": " << page.error_message();
    ++seen;
  }
  EXPECT_GE(seen, 15U);
}

TEST_F(Pages, HaveATwinAtTheSameAddress) {
  for (const std::string target :
       {"/find?q=ceytl+alcohol", "/ingredient/glycerin", "/function/humectant", "/bench?demo=hand-cream",
        "/bench?demo=hand-cream&missing=cetyl-alcohol", "/bench/sheet?demo=gardeners-balm",
        "/place?form=powder", "/compare?name=glycerin&name=squalane", "/shelf"}) {
    const Answer page = Read(target);
    EXPECT_EQ(page.status, 200) << target;
    EXPECT_TRUE(page.type.starts_with("text/html")) << target;
    EXPECT_NE(page.body.find("</html>"), std::string::npos) << target;
    EXPECT_EQ(page.body.find("{{"), std::string::npos) << target;
    EXPECT_EQ(page.body.find("style=\""), std::string::npos) << target;  // the policy forbids it
    const std::size_t mark = std::min(target.find('?'), target.size());
    const Answer by_name = app->Respond(Get(target.substr(0, mark) + ".json" + target.substr(mark)));
    Question question = Get(target);
    question.accept = "application/json";
    const Answer by_header = app->Respond(question);
    EXPECT_EQ(by_name.status, 200) << target;
    EXPECT_TRUE(json::accept(by_name.body)) << target;
    EXPECT_EQ(by_name.body, by_header.body) << target;
  }
}

TEST_F(Pages, EscapeWhatIsShown) {
  const std::string attack = "%22%3E%3Cscript%3Ealert(1)%3C/script%3E%27%3Cimg%20src=x%3E";
  shelf->Save({Jar{0, "glycerin", 1, {}, "\"><script>alert(1)</script>", "", "", {}, "<img src=x>"}});
  for (const std::string& target :
       {"/find?q=" + attack, "/find?q=humectant&keep=" + attack, "/place?name=" + attack,
        "/place?form=powder&described=" + attack, "/compare?name=" + attack, "/bench?formula=" + attack,
        "/bench?demo=hand-cream&missing=" + attack,
        "/bench?demo=hand-cream&missing=cetyl-alcohol&why_not=" + attack,
        "/bench?demo=hand-cream&took=" + attack,
        "/bench?formula=%23%20name:%20" + attack + "%0Aphase,ingredient,percent%0AA,water,100",
        std::string("/shelf"), "/shelf?edit=" + attack, "/ingredient/" + std::string("x<script>"),
        "/" + std::string("<script>")}) {
    const Answer page = Read(target);
    EXPECT_EQ(page.body.find("<script>"), std::string::npos) << target;
    EXPECT_EQ(page.body.find("<img"), std::string::npos) << target;
    EXPECT_NE(page.status, 500) << target << page.body;
  }
}

TEST_F(Pages, FilledFieldsGoOnTheWayTheyCame) {
  const Answer page = Read("/find?q=emulsifier&keep=vegan&charge=nonionic");
  EXPECT_NE(page.body.find("name=\"keep\" value=\"vegan\""), std::string::npos);
  EXPECT_NE(page.body.find("name=\"charge\" value=\"nonionic\""), std::string::npos);
  // A facet's link takes it out again.
  EXPECT_NE(page.body.find("href=\"/find?charge=nonionic&amp;q=emulsifier\""), std::string::npos)
      << page.body.substr(0, 3000);
}

TEST_F(Pages, ShowEveryFactWithItsStandingAndSource) {
  const json shown = json::parse(app->Respond(Get("/ingredient/cetyl-alcohol.json")).body);
  const Answer page = Read("/ingredient/cetyl-alcohol");
  std::size_t marks = 0;
  for (std::size_t at = 0; (at = page.body.find("<details class=\"trust", at)) != std::string::npos; ++at)
    ++marks;
  std::size_t expected = 0;
  for (const json& fact : shown.at("facts")) {
    const std::string property = fact.at("property");
    if (property == "claim" || property == "commonness")
      continue;  // claims are shown below, with their reason
    if (property == "suits" || property == "suits_not") continue;
    ++expected;
    EXPECT_NE(page.body.find(fact.at("source_title").get<std::string>().substr(0, 12)), std::string::npos)
        << property;
  }
  EXPECT_GE(marks, expected);
}

// FDA Inactive Ingredient Database, row CETYL ALCOHOL, TOPICAL, OINTMENT: 7 % w/w.
TEST_F(Pages, ShowWhatApprovedMedicinesHoldUnderTheUsualLevels) {
  const std::string page = Read("/ingredient/cetyl-alcohol").body;
  const std::size_t much = page.find("How much");
  const std::size_t medicine = page.find("Highest in an approved topical medicine");
  ASSERT_NE(much, std::string::npos);
  ASSERT_NE(medicine, std::string::npos);
  EXPECT_LT(much, medicine);
  EXPECT_LT(medicine, page.find("At what pH"));
  const std::size_t ointment = page.find("ointment <strong>7", medicine);
  EXPECT_LT(ointment, page.find("At what pH"));
  EXPECT_NE(page.find("no level for cosmetics", medicine), std::string::npos);
}

// Int. J. Toxicol. 20(Suppl. 3) (2001) 61: 3 % in rinse-off formulations.
TEST_F(Pages, ShowWhatSafetyAssessmentsReportUnderTheUsualLevels) {
  const std::string page = Read("/ingredient/peppermint-oil").body;
  const std::size_t reported = page.find("Highest reported in cosmetics");
  ASSERT_NE(reported, std::string::npos);
  EXPECT_LT(page.find("How much"), reported);
  EXPECT_LT(reported, page.find("Highest in an approved topical medicine"));
  EXPECT_LT(page.find("rinse off <strong>3", reported), page.find("At what pH"));
  EXPECT_NE(page.find("no advice, and no law", reported), std::string::npos);
}

TEST_F(Pages, NameMistakesInTheirLineWithALinkThatPutsThemRight) {
  const Answer page = Read(
      "/bench?formula=phase,ingredient,percent%0AA,water,q.s.%0AA,glycerine%20x,5%0AB,cetil%20alcohol,2");
  EXPECT_EQ(page.status, 400);
  EXPECT_NE(page.body.find("line 4"), std::string::npos) << page.body;
  EXPECT_NE(page.body.find("cetil%20alcohol"), std::string::npos);  // the other mistake stays in the link
  EXPECT_NE(page.body.find("B%2Ccetyl%20alcohol%2C2"), std::string::npos);  // this one is put right
}

TEST_F(Pages, APostedFormulaBecomesAnAddress) {
  const std::string body =
      "--b\r\nContent-Disposition: form-data; "
      "name=\"formula\"\r\n\r\nphase,ingredient,percent\nA,water,100\r\n"
      "--b\r\nContent-Disposition: form-data; name=\"file\"; filename=\"\"\r\nContent-Type: "
      "application/octet-stream\r\n\r\n\r\n"
      "--b--\r\n";
  const Answer answer = app->Respond(Post("/bench", body, "multipart/form-data; boundary=b"));
  EXPECT_EQ(answer.status, 303);
  ASSERT_FALSE(answer.headers.empty());
  EXPECT_EQ(answer.headers.front().second, "/bench?formula=phase%2Cingredient%2Cpercent%0AA%2Cwater%2C100");
  std::string longer = "# name: long\n# kind: leave-on gel\n";
  for (int i = 0; i < 300; ++i) longer += "# a remark of thirty letters or so\n";
  longer += "phase,ingredient,percent\nA,water,100\n";
  const Answer direct =
      app->Respond(Post("/bench",
                        "--b\r\nContent-Disposition: form-data; name=\"file\"; filename=\"x.csv\"\r\n\r\n" +
                            longer + "\r\n--b--\r\n",
                        "multipart/form-data; boundary=b"));
  EXPECT_EQ(direct.status, 200);
  EXPECT_NE(direct.body.find("What is missing?"), std::string::npos);
}

TEST_F(Pages, TakingAStandInGivesTheNewFormula) {
  const json bench = json::parse(app->Respond(Get("/bench.json?demo=hand-cream&missing=cetyl-alcohol")).body);
  const json& first = bench.at("swap").at("stand_ins").at(0);
  const json taken = json::parse(app->Respond([&] {
                                      Question question = Get("/bench.json");
                                      question.query = {{"formula", first.at("formula").get<std::string>()}};
                                      return question;
                                    }())
                                     .body);
  bool there = false;
  for (const json& line : taken.at("lines")) {
    EXPECT_NE(line.at("id"), "cetyl-alcohol");
    there = there || line.at("id") == first.at("id");
  }
  EXPECT_TRUE(there);
  EXPECT_NEAR(taken.at("check").at("total_pct").get<double>(), 100, 0.05);  // kb::kTotalTolerance
}

// What keeps it, how hot it gets and what the law allows are read at the bench, not only in the terminal. The limit: Regulation (EC)
// 1223/2009, Annex V, entry 29.
TEST_F(Pages, TheBenchSaysWhatKeepsAFormulaHowHotItGetsAndWhatIsAllowed) {
  const std::string page = Read("/bench?demo=hand-cream").body;
  EXPECT_NE(page.find("bacteria, yeast and mould are covered on paper"), std::string::npos);
  EXPECT_NE(page.find("<th scope=\"row\">PHENOXYETHANOL, ETHYLHEXYLGLYCERIN</th>"), std::string::npos);
  EXPECT_NE(page.find("<li>Phase C: add below 40 C"), std::string::npos);
  EXPECT_NE(page.find("PHENOXYETHANOL 0.9 of 1 % (EU Annex V, entry 29)"), std::string::npos);
  // A salt counts as its acid: Annex V, entry 1; 0.3 % sodium benzoate are 0.3 * 122.12 / 144.10 = 0.254 %.
  EXPECT_NE(Read("/bench?demo=potting-shed-shampoo")
                .body.find("SODIUM BENZOATE 0.254 of 2.5 % as benzoic acid (EU Annex V, entry 1)"),
            std::string::npos);
  // Of a lamellar emulsifier no HLB is told: it would be that of its partner alone.
  EXPECT_EQ(page.find("the emulsifiers give"), std::string::npos);
}

// Said where it was asked for: once a stand-in, or once for all of them together, and the box stays ticked.
TEST_F(Pages, SayWhatARebalancingMoves) {
  const auto count = [](const std::string& page, std::string_view words) {
    std::size_t times = 0;
    for (std::size_t at = 0; (at = page.find(words, at)) != std::string::npos; ++at) ++times;
    return times;
  };
  constexpr std::string_view kHeading = "<h4>The other lines</h4>";
  const std::string plain = Read("/bench?demo=hand-cream&missing=cetyl-alcohol&limit=3").body;
  EXPECT_EQ(count(plain, kHeading), 0U);
  EXPECT_EQ(count(plain, "name=\"rebalance\" value=\"1\">"), 1U);
  const std::string one = Read("/bench?demo=hand-cream&missing=cetyl-alcohol&limit=3&rebalance=1").body;
  EXPECT_EQ(count(one, kHeading), 3U);
  EXPECT_EQ(count(one, "name=\"rebalance\" value=\"1\" checked>"), 1U);
  const std::string several =
      Read("/bench?demo=hand-cream&missing=cetyl-alcohol&missing=glycerin&rebalance=1").body;
  EXPECT_EQ(count(several, kHeading), 1U);
  EXPECT_EQ(Read("/bench?demo=hand-cream&missing=cetyl-alcohol&rebalance=perhaps").status, 400);
}

TEST_F(Pages, AreErrorsForReadersAndDocumentsForPrograms) {
  EXPECT_TRUE(Read("/nowhere").type.starts_with("text/html"));
  EXPECT_TRUE(Read("/api/v1/nowhere").type.starts_with("application/json"));
  EXPECT_TRUE(app->Respond(Get("/nowhere")).type.starts_with("application/json"));
  EXPECT_EQ(Read("/ingredient/unobtainium").status, 404);
}

TEST(Form, ReadsBothKindsAndRefusesBrokenOnes) {
  const auto one = ReadForm(Post("/", "a=1&b=%C3%A9+x&c&a=2", "application/x-www-form-urlencoded"));
  ASSERT_TRUE(one);
  EXPECT_EQ(*one, (Pairs{{"a", "1"}, {"b", "é x"}, {"c", ""}, {"a", "2"}}));
  for (const auto& [body, type] :
       {std::pair<std::string, std::string>{"a=%FF", "application/x-www-form-urlencoded"},
        {"a=%00", "application/x-www-form-urlencoded"},
        {"", "multipart/form-data"},
        {"", "multipart/form-data; boundary=b"},
        {"--b\r\n", "multipart/form-data; boundary=b"},
        {"--b\r\nX\r\n\r\nvalue", "multipart/form-data; boundary=b"},
        {"--b" + std::string(5000, 'x'), "multipart/form-data; boundary=b"},
        {"--b--", "multipart/form-data; boundary=" + std::string(100, 'b')},
        {"{}", "application/json"}})
    EXPECT_FALSE(ReadForm(Post("/", body, type))) << body.substr(0, 40);
}

}  // namespace
}  // namespace server
