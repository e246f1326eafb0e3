// The shelf: kept through a killed process, older files brought up to date, spreadsheets in and out.
#include "server/shelf.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <nlohmann/json.hpp>
#include <thread>

#include "server/shelf_csv.h"
#include "tests/server/real_base.h"

namespace server {
namespace {

using nlohmann::json;
using testing_server::Get;
using testing_server::Post;
using testing_server::Scratch;

Jar JarOf(std::string ingredient, double amount_g) {
  Jar jar;
  jar.ingredient = std::move(ingredient);
  jar.amount_g = amount_g;
  return jar;
}

TEST(Shelf, KeepsWhatWasSaved) {
  const auto file = Scratch("keeps.shelf");
  {
    Shelf shelf(file);
    Jar jar = JarOf("glycerin", 412.5);
    jar.cost_per_kg = 9.8;
    jar.lot = "L-77";
    jar.opened = "2026-02-01";
    jar.best_before = "2027-02-01";
    jar.low_below_g = 50;
    jar.note = "vegetable";
    EXPECT_TRUE(shelf.Save({jar, JarOf("squalane", 0)}));
  }
  Shelf shelf(file);
  std::vector<Jar> jars = shelf.All();
  ASSERT_EQ(jars.size(), 2U);
  EXPECT_EQ(jars[0].ingredient, "glycerin");
  EXPECT_EQ(jars[0].amount_g, 412.5);
  EXPECT_EQ(jars[0].cost_per_kg, 9.8);
  EXPECT_EQ(jars[0].low_below_g, 50);
  EXPECT_EQ(jars[0].note, "vegetable");
  EXPECT_EQ(jars[1].cost_per_kg, std::nullopt);
  jars[0].amount_g = 100;
  jars[0].cost_per_kg = std::nullopt;  // a value that was there is gone, not kept from before
  EXPECT_TRUE(shelf.Save({jars[0]}));
  EXPECT_EQ(shelf.All()[0].cost_per_kg, std::nullopt);
  EXPECT_TRUE(shelf.Remove(jars[1].number));
  EXPECT_FALSE(shelf.Remove(jars[1].number));
  EXPECT_EQ(shelf.All().size(), 1U);
}

TEST(Shelf, WritesAllOrNothing) {
  Shelf shelf(Scratch("all.shelf"));
  Jar gone = JarOf("glycerin", 1);
  gone.number = 99;
  EXPECT_FALSE(shelf.Save({JarOf("squalane", 1), gone}));
  EXPECT_THROW(shelf.Save({JarOf("squalane", 1), JarOf("glycerin", -1)}), ShelfError);
  EXPECT_TRUE(shelf.All().empty());
}

TEST(Shelf, SyncsEachWrite) {
  const auto file = Scratch("sync.shelf");
  const Shelf shelf(file);
  SQLite::Database db(file.string());
  EXPECT_EQ(db.execAndGet("PRAGMA journal_mode").getString(), "wal");
  EXPECT_EQ(db.execAndGet("PRAGMA user_version").getInt(), kShelfVersion);
}

// A file as version 1 wrote it: its jars are all there, with what version 2 knows more.
TEST(Shelf, BringsAnOlderFileUpToDate) {
  const auto file = Scratch("old.shelf");
  {
    SQLite::Database db(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    db.exec(
        "CREATE TABLE jar (number INTEGER PRIMARY KEY AUTOINCREMENT, ingredient TEXT NOT NULL, amount_g REAL "
        "NOT NULL,"
        " cost_per_kg REAL, lot TEXT NOT NULL DEFAULT '', opened TEXT NOT NULL DEFAULT '',"
        " best_before TEXT NOT NULL DEFAULT '')");
    db.exec("INSERT INTO jar (ingredient, amount_g, lot) VALUES ('glycerin', 250, 'A1')");
    db.exec("PRAGMA user_version = 1");
  }
  Shelf shelf(file);
  std::vector<Jar> jars = shelf.All();
  ASSERT_EQ(jars.size(), 1U);
  EXPECT_EQ(jars[0].lot, "A1");
  EXPECT_EQ(jars[0].low_below_g, std::nullopt);
  jars[0].low_below_g = 20;
  EXPECT_TRUE(shelf.Save(jars));
}

TEST(Shelf, RefusesAFileOfANewerVersionAndAFileThatIsNone) {
  const auto newer = Scratch("newer.shelf");
  {
    SQLite::Database db(newer.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    db.exec("PRAGMA user_version = 99");
  }
  EXPECT_THROW(Shelf{newer}, ShelfError);
  const auto none = Scratch("none.shelf");
  {
    std::FILE* file = std::fopen(none.c_str(), "w");
    for (int i = 0; i < 1000; ++i) std::fputs("no database ", file);
    std::fclose(file);
  }
  EXPECT_THROW(Shelf{none}, ShelfError);
  EXPECT_THROW(Shelf{"/proc/no/such/place.shelf"}, ShelfError);
}

TEST(Shelf, BacksUpInOneCommandWhileItIsInUse) {
  Shelf shelf(Scratch("busy.shelf"));
  shelf.Save({JarOf("glycerin", 1), JarOf("squalane", 2)});
  const auto copy = Scratch("copy.shelf");
  shelf.BackUp(copy);
  shelf.Save({JarOf("lanolin", 3)});
  EXPECT_EQ(Shelf(copy).All().size(), 2U);
  EXPECT_THROW(shelf.BackUp(copy), ShelfError);  // never over another
}

// Twelve times a child writes jar after jar and says so after each; it is killed in the midst. What it said is there, all or nothing
// of the one that it was at, and the file is sound.
TEST(Shelf, SurvivesAKilledWriter) {
  const auto file = Scratch("killed.shelf");
  double confirmed_before = 0;
  for (int round = 0; round < 12; ++round) {
    int pipe[2];
    ASSERT_EQ(::pipe(pipe), 0);
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      Shelf shelf(file);
      for (int i = 0;; ++i) {
        shelf.Save({JarOf("glycerin", i), JarOf("squalane", i)});
        (void)!::write(pipe[1], "x", 1);
      }
    }
    ::close(pipe[1]);
    std::this_thread::sleep_for(std::chrono::milliseconds(60 + 17 * round));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    double confirmed = 0;
    char bytes[4096];
    for (ssize_t count = 0; (count = ::read(pipe[0], bytes, sizeof bytes)) > 0;)
      confirmed += static_cast<double>(count);
    ::close(pipe[0]);
    const auto jars = static_cast<double>(Shelf(file).All().size());
    EXPECT_GE(jars, confirmed_before + 2 * confirmed);
    EXPECT_LE(jars, confirmed_before + 2 * confirmed + 2);
    confirmed_before = jars;
    SQLite::Database db(file.string());
    EXPECT_EQ(db.execAndGet("PRAGMA integrity_check").getString(), "ok");
  }
  EXPECT_GT(confirmed_before, 0);
}

TEST(Shelf, SaysWhatRunsLow) {
  Jar jar = JarOf("glycerin", 40);
  EXPECT_EQ(RunningLow(jar, "2026-11-25"), "");
  jar.low_below_g = 50;
  EXPECT_EQ(RunningLow(jar, "2026-11-25"), "40 g left, below 50 g");
  jar.low_below_g = 40;
  EXPECT_EQ(RunningLow(jar, "2026-11-25"), "");
  jar.best_before = "2026-12-25";
  EXPECT_EQ(RunningLow(jar, "2026-11-25"), "best before 2026-12-25, in 30 days");
  EXPECT_EQ(RunningLow(jar, "2026-11-24"), "");
  EXPECT_EQ(RunningLow(jar, "2026-12-26"), "best before 2026-12-25 has passed");
  jar.best_before = "2028-02-29";
  EXPECT_EQ(RunningLow(jar, "2028-02-28"), "best before 2028-02-29, in 1 days");
}

TEST(Shelf, KnowsTheCalendar) {
  for (const char* day : {"2026-01-31", "2028-02-29", "2000-02-29", "2026-12-31"})
    EXPECT_TRUE(IsDate(day)) << day;
  for (const char* day : {"2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "26-01-01",
                          "2026/01/01", "2026-1-1", "2026-01-01 ", "", "tomorrow!!"})
    EXPECT_FALSE(IsDate(day)) << day;
}

class ShelfPlaces : public testing::Test {
 protected:
  void SetUp() override {
    const auto file = Scratch(std::string("app-") +
                              testing::UnitTest::GetInstance()->current_test_info()->name() + ".shelf");
    holder = std::make_unique<BaseHolder>(testing_server::BaseRoot());
    shelf = std::make_unique<Shelf>(file);
    app = std::make_unique<App>(*holder, shelf.get(), GuardSettings{8088, true, ""});
  }
  json Ask(const Question& question, int status) {
    const Answer answer = app->Respond(question);
    EXPECT_EQ(answer.status, status) << answer.body.substr(0, 500);
    return json::parse(answer.body);
  }
  std::unique_ptr<BaseHolder> holder;
  std::unique_ptr<Shelf> shelf;
  std::unique_ptr<App> app;
};

TEST_F(ShelfPlaces, ReadsWhatASpreadsheetWrites) {
  // Semicolons, decimal commas, a byte-order mark, CRLF, quotes, columns in another order, any of an ingredient's names.
  const json shelf_now = Ask(Post("/api/v1/shelf",
                                  "\xEF\xBB\xBF"
                                  "Ingredient;Lot;Amount g;Cost per kg;Note\r\n"
                                  "Glycerol;\"a;\"\"b\"\"\";1200,5;4,20;\r\n"
                                  "56-81-5;;10;;'=1+1\r\n"),
                             200);
  ASSERT_EQ(shelf_now.at("jars").size(), 2U);
  EXPECT_EQ(shelf_now.at("jars").at(0).at("id"), "glycerin");
  EXPECT_EQ(shelf_now.at("jars").at(0).at("amount_g"), 1200.5);
  EXPECT_EQ(shelf_now.at("jars").at(0).at("lot"), "a;\"b\"");
  EXPECT_EQ(shelf_now.at("jars").at(1).at("note"), "=1+1");
  const Answer csv = app->Respond(Get("/api/v1/shelf.csv"));
  EXPECT_NE(csv.body.find(",'=1+1\r\n"), std::string::npos) << csv.body;  // a spreadsheet must not run it
  const auto again = ReadJars(holder->Get()->catalogue, csv.body);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->at(0).lot, "a;\"b\"");
  EXPECT_EQ(again->at(0).number, 1);
  EXPECT_EQ(Ask(Post("/api/v1/shelf", csv.body), 200).at("jars"), shelf_now.at("jars"));
}

TEST_F(ShelfPlaces, NamesEveryMistakeInItsLineAndTakesNothing) {
  const json error =
      Ask(Post("/api/v1/shelf",
               "ingredient,amount_g,best_before\nglycerin,5,2026-02-30\nglycerine x,1e9,\nsqualane,-1,\n"),
          400)
          .at("error");
  ASSERT_EQ(error.at("complaints").size(), 4U) << error.dump(1);
  EXPECT_EQ(error.at("complaints").at(0).at("line"), 2);
  EXPECT_EQ(error.at("complaints").at(1).at("line"), 3);
  EXPECT_EQ(error.at("complaints").at(3).at("line"), 4);
  EXPECT_TRUE(shelf->All().empty());
  Ask(Post("/api/v1/shelf", "a,b\n1,2\n"), 400);
  Ask(Post("/api/v1/shelf", ""), 400);
  Ask(Post("/api/v1/shelf", "number,ingredient,amount_g\n7,glycerin,5\n"), 404);
}

TEST_F(ShelfPlaces, LimitsSwapsAndSearchToWhatIsInStock) {
  Ask(Post("/api/v1/shelf", "ingredient,amount_g\ncetearyl alcohol,100\nglycerin,0\npropanediol,5\n"), 200);
  const json swap =
      Ask(Post("/api/v1/swap?name=cetyl%20alcohol&on_shelf=true", testing_server::HandCream()), 200);
  ASSERT_FALSE(swap.at("stand_ins").empty());
  for (const json& stand_in : swap.at("stand_ins")) {
    for (const json& part : stand_in.at("blend")) EXPECT_EQ(part.at("id"), "cetearyl-alcohol");
  }
  const json found = Ask(Get("/api/v1/find?q=humectant&on_shelf=true&limit=200"), 200);
  for (const json& result : found.at("results")) EXPECT_EQ(result.at("id"), "propanediol");
  // Nobody from outside says what is in stock.
  const json asked = Ask(Post("/api/v1/swap?name=cetyl%20alcohol&on_shelf=true&shelf=stearyl-alcohol",
                              testing_server::HandCream()),
                         200);
  EXPECT_EQ(asked.at("stand_ins").size(), swap.at("stand_ins").size());
}

TEST_F(ShelfPlaces, ChangesMakeAnAnswerNew) {
  Question question = Get("/api/v1/find?q=humectant&on_shelf=true");
  Ask(Post("/api/v1/shelf", "ingredient,amount_g\npropanediol,5\n"), 200);
  for (const auto& [name, value] : app->Respond(question).headers) {
    if (name == "ETag") question.if_none_match = value;
  }
  EXPECT_EQ(app->Respond(question).status, 304);
  Ask(Post("/api/v1/shelf", "ingredient,amount_g\nglycerin,5\n"), 200);
  EXPECT_EQ(app->Respond(question).status, 200);
}

TEST_F(ShelfPlaces, TakesAJarAway) {
  Ask(Post("/api/v1/shelf", "ingredient,amount_g\nglycerin,5\n"), 200);
  Question question = Get("/api/v1/shelf/1");
  question.method = "DELETE";
  EXPECT_TRUE(Ask(question, 200).at("jars").empty());
  Ask(question, 404);
  question.path = "/api/v1/shelf/1x";
  Ask(question, 404);
}

}  // namespace
}  // namespace server
