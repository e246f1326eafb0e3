#include "server/routes.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "indexer/run.h"

namespace server {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

// A base from the real data/ folder and a server on a free port, once for all tests.
class Routes : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    root = fs::temp_directory_path() / ("stillroom-http-" + std::to_string(getpid()));
    fs::remove_all(root);
    indexer::Options options;
    options.data = STILLROOM_SOURCE_DIR "/data";
    options.base = root;
    std::ostringstream out;
    std::ostringstream complaints;
    ASSERT_EQ(indexer::Run(options, out, complaints, false), 0) << complaints.str();
    holder = std::make_unique<BaseHolder>(root);
    http = std::make_unique<httplib::Server>();
    port = http->bind_to_any_port("127.0.0.1");
    ASSERT_GT(port, 0);
    AddRoutes(*http, *holder, port);
    thread = std::thread([] { http->listen_after_bind(); });
    while (!http->is_running()) std::this_thread::yield();
  }
  static void TearDownTestSuite() {
    http->stop();
    thread.join();
    http.reset();
    holder.reset();
    fs::remove_all(root);
  }

  static json GetJson(const std::string& path, int status) {
    httplib::Client client("127.0.0.1", port);
    const auto result = client.Get(path);
    EXPECT_TRUE(result) << path;
    if (!result) return {};
    EXPECT_EQ(result->status, status) << path << ": " << result->body;
    return json::parse(result->body);
  }

  static inline fs::path root;
  static inline std::unique_ptr<BaseHolder> holder;
  static inline std::unique_ptr<httplib::Server> http;
  static inline std::thread thread;
  static inline int port = 0;
};

TEST_F(Routes, HealthSaysWhichBaseIsInService) {
  const json health = GetJson("/api/v1/health", 200);
  EXPECT_EQ(health.at("base"), fs::canonical(root / "current").filename().string());
  EXPECT_GE(health.at("ingredients"), 90);
}

TEST_F(Routes, FindShowAndSwapAnswerWithTheContractsFields) {
  const json found = GetJson("/api/v1/find?q=glycerin", 200);
  EXPECT_EQ(found.at("results").at(0).at("id"), "glycerin");
  EXPECT_TRUE(found.contains("facets"));
  const json shown = GetJson("/api/v1/show?name=56-81-5", 200);
  EXPECT_EQ(shown.at("id"), "glycerin");
  for (const json& fact : shown.at("facts")) {
    EXPECT_FALSE(fact.at("source").get<std::string>().empty());
    EXPECT_FALSE(fact.at("standing").get<std::string>().empty());
  }
  const json swap = GetJson("/api/v1/swap?name=cetyl%20alcohol&kind=leave-on/emulsion-ow&level=2", 200);
  EXPECT_EQ(swap.at("missing").at("inci"), "CETYL ALCOHOL");
  EXPECT_EQ(swap.at("stand_ins").at(0).at("changes").at(0).at("topic"), "phase-total");
}

TEST_F(Routes, AFormulaIsTheBodyOfAPost) {
  httplib::Client client("127.0.0.1", port);
  const std::string formula =
      "# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,5\nA,Xanthan gum,0.5\n";
  const auto result = client.Post("/api/v1/swap?name=glycerin", formula, "text/csv");
  ASSERT_TRUE(result);
  EXPECT_EQ(result->status, 200);
  EXPECT_EQ(json::parse(result->body).at("missing").at("level_pct"), 5);
  const auto wrong = client.Post("/api/v1/check", "phase,ingredient,percent\nA,Watre,50\n", "text/csv");
  ASSERT_TRUE(wrong);
  EXPECT_EQ(wrong->status, 400);
  EXPECT_GE(json::parse(wrong->body).at("error").at("complaints").size(), 2U);
}

TEST_F(Routes, EveryErrorHasOneShape) {
  for (const auto& [path, status] : {std::pair<const char*, int>{"/api/v1/show?name=unobtainium%20dust", 404},
                                     {"/api/v1/swap?name=glycerin&kind=soup", 400},
                                     {"/api/v1/swap?name=glycerin&level=lots", 400},
                                     {"/api/v1/find?q=", 400},
                                     {"/api/v1/nothing", 404},
                                     {"/../../etc/passwd", 404},
                                     {"/api/v1/show?name=%FF%FE", 400},
                                     {"/api/v1/show?name=%00", 400}}) {
    const json error = GetJson(path, status).at("error");
    for (const char* field : {"what", "where", "expected", "nearest"})
      EXPECT_TRUE(error.contains(field)) << path;
  }
}

TEST_F(Routes, RefusesOtherHostsAndOtherSites) {
  httplib::Client client("127.0.0.1", port);
  const auto rebound = client.Get("/api/v1/health", {{"Host", "evil.example"}});
  ASSERT_TRUE(rebound);
  EXPECT_EQ(rebound->status, 403);
  const auto foreign = client.Post("/api/v1/check", {{"Origin", "http://evil.example"}}, "x", "text/csv");
  ASSERT_TRUE(foreign);
  EXPECT_EQ(foreign->status, 403);
}

TEST_F(Routes, RefusesABodyThatIsTooLong) {
  httplib::Client client("127.0.0.1", port);
  const auto result = client.Post("/api/v1/check", std::string(2 << 20, 'x'), "text/csv");
  if (result) {
    EXPECT_EQ(result->status, 413);
  }  // the connection may be closed before the body is through: refused as well
}

}  // namespace
}  // namespace server
