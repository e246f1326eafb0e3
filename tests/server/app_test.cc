// The places of the server, asked without a wire.
#include "server/app.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <thread>

#include "indexer/run.h"
#include "tests/server/real_base.h"

namespace server {
namespace {

using nlohmann::json;
using testing_server::BaseRoot;
using testing_server::Get;
using testing_server::kGel;
using testing_server::Post;

// Each of them would be searched for its nearest name.
std::string ManyMistakes() {
  std::string text = "phase,ingredient,percent\n";
  for (int i = 0; i < 30'000; ++i) text += "A,Watre,1\n";
  return text;
}

class Places : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    holder = std::make_unique<BaseHolder>(BaseRoot());
    app = std::make_unique<App>(*holder, nullptr, GuardSettings{8088, true, ""});
  }
  static void TearDownTestSuite() {
    app.reset();
    holder.reset();
  }
  static json Ask(const Question& question, int status) {
    const Answer answer = app->Respond(question);
    EXPECT_EQ(answer.status, status) << question.target << ": " << answer.body.substr(0, 400);
    json document = json::parse(answer.body, nullptr, false);
    EXPECT_FALSE(document.is_discarded()) << answer.body.substr(0, 400);
    return document;
  }
  static std::string Header(const Answer& answer, const std::string& name) {
    for (const auto& [key, value] : answer.headers) {
      if (key == name) return value;
    }
    return "";
  }

  static inline std::unique_ptr<BaseHolder> holder;
  static inline std::unique_ptr<App> app;
};

TEST_F(Places, HealthSaysWhichBaseIsInService) {
  const json health = Ask(Get("/api/v1/health"), 200);
  EXPECT_EQ(health.at("base"), std::filesystem::canonical(BaseRoot() / "current").filename().string());
  EXPECT_GE(health.at("ingredients"), 90);
  EXPECT_EQ(health.at("commands").size(), query::Commands().size());
}

TEST_F(Places, FindShowAndSwapAnswerWithTheContractsFields) {
  const json found = Ask(Get("/api/v1/find?q=glycerin"), 200);
  EXPECT_EQ(found.at("results").at(0).at("id"), "glycerin");
  const json shown = Ask(Get("/api/v1/show?name=56-81-5"), 200);  // the CAS number of glycerin
  EXPECT_EQ(shown.at("id"), "glycerin");
  for (const json& fact : shown.at("facts")) {
    EXPECT_FALSE(fact.at("source").get<std::string>().empty());
    EXPECT_FALSE(fact.at("standing").get<std::string>().empty());
  }
  const json swap = Ask(Get("/api/v1/swap?name=cetyl%20alcohol&kind=leave-on/emulsion-ow&level=2"), 200);
  EXPECT_EQ(swap.at("missing").at("inci"), "CETYL ALCOHOL");
  EXPECT_EQ(swap.at("stand_ins").at(0).at("changes").at(0).at("topic"), "phase-total");
}

TEST_F(Places, AFormulaIsTheBodyOfAPost) {
  EXPECT_EQ(Ask(Post("/api/v1/swap?name=glycerin", kGel), 200).at("missing").at("level_pct"), 5);
  const json wrong = Ask(Post("/api/v1/check", "phase,ingredient,percent\nA,Watre,50\n"), 400);
  EXPECT_GE(wrong.at("error").at("complaints").size(), 1U);
  EXPECT_EQ(wrong.at("error").at("complaints").at(0).at("line"), 2);
}

TEST_F(Places, EveryErrorHasOneShape) {
  const std::string deep(100'000, '[');
  const struct {
    Question question;
    int status;
  } rows[] = {
      {Get("/api/v1/show?name=unobtainium%20dust"), 404},
      {Get("/api/v1/swap?name=glycerin&kind=soup"), 400},
      {Get("/api/v1/swap?name=glycerin&level=lots"), 400},
      {Get("/api/v1/swap?name=glycerin&on_shelf=true"), 400},  // there is no shelf here
      {Get("/api/v1/find?q="), 400},
      {Get("/api/v1/nothing"), 404},
      {Get("/api/v1/"), 404},
      {Get("/api/v1/shelf"), 404},
      {Get("/../../etc/passwd"), 404},
      {Get("/ingredient/../../etc/passwd"), 404},
      {Get("/static/../main.cc"), 404},
      {Get("/api/v1/show?name=%FF%FE"), 400},
      {Get("/api/v1/show?name=%00"), 400},
      {Get("/api/v1/show?name=" + std::string(5000, 'a')), 400},
      {Post("/api/v1/check", deep, "application/json"), 415},
      {Post("/api/v1/check", deep), 400},
      {Post("/api/v1/check", "\xff\xfe"), 400},
      {Post("/api/v1/check", ManyMistakes()), 400},
      {Post("/api/v1/check", "phase,ingredient,percent\nA," + std::string(2000, 'w') + ",5\n"), 400},
      {Post("/api/v1/check", std::string("phase,ingredient\0,percent", 25)), 400},
      {Post("/api/v1/health", ""), 405},
      {Post("/", "x", "text/csv"), 405},
  };
  for (const auto& row : rows) {
    const json error = Ask(row.question, row.status).at("error");
    for (const char* field : {"what", "where", "expected", "nearest"})
      EXPECT_TRUE(error.contains(field)) << row.question.target;
    const std::string text = error.dump(-1, ' ', false, json::error_handler_t::replace);
    for (const char* leak : {"SELECT", "sqlite", "stillroom.db", "/tmp/", ".cc:"})
      EXPECT_EQ(text.find(leak), std::string::npos) << text;
  }
}

TEST_F(Places, SaysWhichMethodsAPlaceTakes) {
  Question question = Get("/api/v1/check");
  question.method = "OPTIONS";
  Answer answer = app->Respond(question);
  EXPECT_EQ(answer.status, 204);
  EXPECT_EQ(Header(answer, "Allow"), "GET, HEAD, POST, OPTIONS");
  question.method = "DELETE";
  answer = app->Respond(question);
  EXPECT_EQ(answer.status, 405);
  EXPECT_EQ(Header(answer, "Allow"), "GET, HEAD, POST, OPTIONS");
}

TEST_F(Places, WhatTheClientHasIsNotSentAgain) {
  Question question = Get("/api/v1/show?name=glycerin");
  const std::string tag = Header(app->Respond(question), "ETag");
  EXPECT_TRUE(tag.starts_with('"' + holder->Get()->files.hash)) << tag;
  question.if_none_match = tag;
  const Answer same = app->Respond(question);
  EXPECT_EQ(same.status, 304);
  EXPECT_EQ(same.body, "");
  Question other = Get("/api/v1/show?name=squalane");
  other.if_none_match = tag;
  EXPECT_EQ(app->Respond(other).status, 200);
  question.accept = "application/json";  // the same address may look different to another client
  EXPECT_EQ(app->Respond(question).status, 200);
  EXPECT_EQ(Header(app->Respond(Get("/api/v1/show?name=unobtainium")), "ETag"), "");
}

TEST_F(Places, RefusesOtherNamesAndOtherSites) {
  for (const char* host : {"evil.example", "evil.example:8088", "localhost:9999",
                           "localhost.evil.example:8088", "", "192.168.0.7:8088", "[::1]:80"}) {
    Question question = Get("/api/v1/health");
    question.host = host;
    EXPECT_EQ(app->Respond(question).status, 403) << host;
  }
  for (const char* host : {"localhost:8088", "127.0.0.1:8088", "[::1]:8088", "localhost"}) {
    Question question = Get("/api/v1/health");
    question.host = host;
    EXPECT_EQ(app->Respond(question).status, 200) << host;
  }
  for (const char* origin :
       {"http://evil.example", "null", "http://localhost:9999", "https://localhost:8088"}) {
    Question question = Post("/api/v1/check", kGel);
    question.origin = origin;
    EXPECT_EQ(app->Respond(question).status, 403) << origin;
  }
  Question question = Post("/api/v1/check", kGel);
  question.origin = "http://localhost:8088";
  EXPECT_EQ(app->Respond(question).status, 200);
  question.origin.clear();
  question.fetch_site = "cross-site";
  EXPECT_EQ(app->Respond(question).status, 403);
}

TEST_F(Places, BeyondThisMachineTheTokenIsAsked) {
  const std::string token = "0123456789abcdef";
  const App open(*holder, nullptr, GuardSettings{8088, false, token});
  Question question = Get("/api/v1/health");
  question.host = "192.168.0.7:8088";
  EXPECT_EQ(open.Respond(question).status, 401);
  question.authorization = "Bearer 0123456789abcdeF";
  EXPECT_EQ(open.Respond(question).status, 401);
  question.authorization = "Bearer " + token;
  EXPECT_EQ(open.Respond(question).status, 200);
  question.authorization.clear();
  question.cookie = "other=1; stillroom=" + token;
  EXPECT_EQ(open.Respond(question).status, 200);
  question.host = "rebound.example:8088";
  EXPECT_EQ(open.Respond(question).status, 403);
  Question first = Get("/bench?token=" + token);
  const Answer answer = open.Respond(first);
  EXPECT_EQ(answer.status, 303);
  EXPECT_EQ(Header(answer, "Location"), "/bench");
  EXPECT_NE(Header(answer, "Set-Cookie").find("HttpOnly; SameSite=Strict"), std::string::npos);
}

TEST_F(Places, EveryAnswerCarriesTheHeadersThatProtectIt) {
  for (const char* target : {"/", "/api/v1/health", "/nowhere", "/static/style.css"}) {
    const Answer answer = app->Respond(Get(target));
    EXPECT_EQ(Header(answer, "X-Content-Type-Options"), "nosniff") << target;
    EXPECT_NE(Header(answer, "Content-Security-Policy").find("default-src 'none'"), std::string::npos)
        << target;
    EXPECT_EQ(Header(answer, "Content-Security-Policy").find("unsafe"), std::string::npos) << target;
    EXPECT_EQ(Header(answer, "Referrer-Policy"), "same-origin") << target;
  }
}

// A new base is taken up between requests, and none fails meanwhile.
TEST(Reload, TakesTheNextBaseUpWithoutAFailedRequest) {
  namespace fs = std::filesystem;
  const fs::path root = testing_server::Scratch("reload");
  fs::create_directories(root);
  const fs::path first = fs::canonical(BaseRoot() / "current");
  const fs::path second = root / "0000000000000002";
  fs::copy(first, root / first.filename(), fs::copy_options::recursive);
  fs::copy(first, second, fs::copy_options::recursive);
  fs::create_directory_symlink(first.filename(), root / "current");
  BaseHolder holder(root);
  const App app(holder, nullptr, GuardSettings{8088, true, ""});
  std::atomic<bool> ended{false};
  std::atomic<int> failed{0};
  std::atomic<int> asked{0};
  std::vector<std::thread> clients;
  for (int i = 0; i < 3; ++i) {
    clients.emplace_back([&] {
      while (!ended) {
        if (app.Respond(Get("/api/v1/find?q=glycerin&limit=1")).status != 200) ++failed;
        ++asked;
      }
    });
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(100));
  fs::create_directory_symlink(second.filename(), root / "next");
  fs::rename(root / "next", root / "current");
  std::string hash;
  for (int i = 0; i < 100 && hash != second.filename(); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    hash = json::parse(app.Respond(Get("/api/v1/health")).body).at("base");
  }
  EXPECT_EQ(hash, second.filename());
  fs::remove_all(root / first.filename());  // nobody needs it any more
  std::this_thread::sleep_for(std::chrono::milliseconds(100));
  fs::create_directory_symlink("nowhere", root / "next");
  fs::rename(root / "next", root / "current");  // a base that cannot be opened leaves the old one in service
  std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  ended = true;
  for (std::thread& client : clients) client.join();
  EXPECT_EQ(failed, 0) << "of " << asked;
  EXPECT_GT(asked, 0);
  EXPECT_EQ(app.Respond(Get("/api/v1/health")).status, 200);
}

}  // namespace
}  // namespace server
