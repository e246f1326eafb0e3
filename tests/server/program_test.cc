// stillroom-server as a program: killed while it writes, ended, moved to a new base, asked what it must refuse.
#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <httplib.h>
#include <netinet/in.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <csignal>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "tests/server/real_base.h"

extern char** environ;

namespace server {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using std::chrono::milliseconds;
using testing_server::BaseRoot;
using testing_server::Scratch;
using Clock = std::chrono::steady_clock;

constexpr milliseconds kPatience{20'000};  // a debug build on a busy machine loads the base in seconds

int FreePort() {
  const int probe = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  EXPECT_EQ(::bind(probe, reinterpret_cast<sockaddr*>(&address), size), 0);
  EXPECT_EQ(::getsockname(probe, reinterpret_cast<sockaddr*>(&address), &size), 0);
  ::close(probe);
  return ntohs(address.sin_port);
}

// The program with its words, what it says kept in a file.
class Program {
 public:
  explicit Program(std::vector<std::string> words) : said_(Scratch("said-" + std::to_string(++count_))) {
    words.insert(words.begin(), STILLROOM_SERVER_PROGRAM);
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    ::posix_spawn_file_actions_init(&actions);
    ::posix_spawn_file_actions_addopen(&actions, 1, said_.c_str(), O_CREAT | O_WRONLY | O_TRUNC, 0600);
    ::posix_spawn_file_actions_adddup2(&actions, 1, 2);
    EXPECT_EQ(::posix_spawn(&process_, arguments[0], &actions, nullptr, arguments.data(), environ), 0);
    ::posix_spawn_file_actions_destroy(&actions);
  }
  ~Program() {
    if (process_ <= 0) return;
    ::kill(process_, SIGKILL);
    ::waitpid(process_, nullptr, 0);
  }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  void Signal(int signal) const { ::kill(process_, signal); }

  // Its exit code; 128 + the signal that ended it; -1 where it goes on.
  int Wait() {
    int status = 0;
    for (const auto until = Clock::now() + kPatience; Clock::now() < until;) {
      if (::waitpid(process_, &status, WNOHANG) == process_) {
        process_ = 0;
        return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
      }
      std::this_thread::sleep_for(milliseconds(5));
    }
    return -1;
  }

  std::string Said() const {
    std::ifstream file(said_);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
  }

 private:
  static inline int count_ = 0;
  fs::path said_;
  pid_t process_ = 0;
};

// A program that serves on a free port of this machine.
struct Serving {
  explicit Serving(std::vector<std::string> more, const fs::path& base = BaseRoot())
      : port(FreePort()), program([&] {
          std::vector<std::string> words = {"--port", std::to_string(port), "--base", base.string()};
          words.insert(words.end(), more.begin(), more.end());
          return words;
        }()) {
    for (const auto until = Clock::now() + kPatience; Clock::now() < until;) {
      if (Client()->Get("/api/v1/health")) return;
      std::this_thread::sleep_for(milliseconds(20));
    }
    ADD_FAILURE() << "the server does not answer: " << program.Said();
  }
  std::unique_ptr<httplib::Client> Client() const {
    auto client = std::make_unique<httplib::Client>("127.0.0.1", port);
    client->set_tcp_nodelay(true);
    client->set_keep_alive(true);
    return client;
  }
  // The answer to bytes sent as they are, until the server closes.
  std::string Raw(const std::string& bytes) const {
    const int socket = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const timeval patience{10, 0};
    ::setsockopt(socket, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    ::setsockopt(socket, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience);
    EXPECT_EQ(::connect(socket, reinterpret_cast<const sockaddr*>(&address), sizeof address), 0);
    for (std::size_t sent = 0; sent < bytes.size();) {
      const ssize_t count = ::send(socket, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
      if (count <= 0) break;
      sent += static_cast<std::size_t>(count);
    }
    std::string all;
    char buffer[4096];
    for (ssize_t count = 0; (count = ::recv(socket, buffer, sizeof buffer, 0)) > 0;)
      all.append(buffer, static_cast<std::size_t>(count));
    ::close(socket);
    return all;
  }
  int port;
  Program program;
};

std::size_t JarsOf(const Serving& serving) {
  const auto answer = serving.Client()->Get("/api/v1/shelf");
  EXPECT_TRUE(answer && answer->status == 200);
  return answer ? json::parse(answer->body).at("jars").size() : 0;
}

// Each post writes two jars. What was confirmed is there after the kill, and of the one under way both or none.
TEST(Program, KilledWhileItWritesKeepsEveryJarItConfirmed) {
  const std::string shelf = Scratch("killed-server.shelf").string();
  std::size_t there = 0;
  for (int round = 0; round < 4; ++round) {
    Serving serving({"--shelf", shelf});
    EXPECT_EQ(JarsOf(serving), there);
    std::atomic<std::size_t> confirmed{0};
    std::thread writer([&] {
      const auto client = serving.Client();
      for (;;) {
        const auto answer =
            client->Post("/api/v1/shelf", "ingredient,amount_g\nglycerin,1\nsqualane,2\n", "text/csv");
        if (!answer || answer->status != 200) return;
        ++confirmed;
      }
    });
    while (confirmed < 2) std::this_thread::sleep_for(milliseconds(1));
    std::this_thread::sleep_for(milliseconds(40 + 23 * round));
    serving.program.Signal(SIGKILL);
    EXPECT_EQ(serving.program.Wait(), 128 + SIGKILL);
    writer.join();
    const Serving again({"--shelf", shelf});
    const std::size_t now = JarsOf(again);
    EXPECT_GE(now, there + 2 * confirmed);
    EXPECT_LE(now, there + 2 * confirmed + 2);
    EXPECT_EQ(now % 2, 0U);
    there = now;
  }
}

TEST(Program, BacksTheShelfUpWhileItServes) {
  const std::string shelf = Scratch("served.shelf").string();
  const std::string copy = Scratch("served-copy.shelf").string();
  const Serving serving({"--shelf", shelf});
  ASSERT_TRUE(
      serving.Client()->Post("/api/v1/shelf", "ingredient,amount_g\nglycerin,1\nsqualane,2\n", "text/csv"));
  Program first({"--shelf", shelf, "--back-up-shelf", copy});
  EXPECT_EQ(first.Wait(), 0) << first.Said();
  const Serving other({"--shelf", copy});
  EXPECT_EQ(JarsOf(other), 2U);
  Program second({"--shelf", shelf, "--back-up-shelf", copy});
  EXPECT_EQ(second.Wait(), 2) << "a back-up goes over no other file";
  Program none({"--back-up-shelf", copy});
  EXPECT_EQ(none.Wait(), 2);
}

TEST(Program, EndsWhenAskedAndBreaksNoAnswerOff) {
  for (const int signal : {SIGTERM, SIGINT}) {
    Serving serving({});
    std::atomic<bool> ended{false};
    std::atomic<int> answered{0};
    std::atomic<int> broken{0};
    std::vector<std::thread> clients;
    for (int i = 0; i < 4; ++i) {
      clients.emplace_back([&] {
        const auto client = serving.Client();
        while (!ended) {
          const auto answer = client->Get("/api/v1/find?q=humectant");
          if (!answer) return;
          ++answered;
          if (answer->status != 200 || json::parse(answer->body, nullptr, false).is_discarded()) ++broken;
        }
      });
    }
    while (answered < 20) std::this_thread::sleep_for(milliseconds(1));
    const auto asked = Clock::now();
    serving.program.Signal(signal);
    EXPECT_EQ(serving.program.Wait(), 0);
    EXPECT_LT(Clock::now() - asked, milliseconds(5000));
    ended = true;
    for (std::thread& client : clients) client.join();
    EXPECT_EQ(broken, 0);
  }
}

TEST(Program, MovesToTheNextBaseWithoutAFailedRequest) {
  const fs::path root = Scratch("moving");
  fs::create_directories(root);
  const fs::path first = fs::canonical(BaseRoot() / "current");
  const fs::path second = root / "0000000000000002";
  fs::copy(first, root / first.filename(), fs::copy_options::recursive);
  fs::copy(first, second, fs::copy_options::recursive);
  fs::create_directory_symlink(first.filename(), root / "current");
  const Serving serving({}, root);
  std::atomic<bool> ended{false};
  std::atomic<int> asked{0};
  std::atomic<int> failed{0};
  std::vector<std::thread> clients;
  for (int i = 0; i < 3; ++i) {
    clients.emplace_back([&] {
      const auto client = serving.Client();
      while (!ended) {
        const auto answer = client->Get("/api/v1/find?q=glycerin&limit=1");
        if (!answer || answer->status != 200) ++failed;
        ++asked;
      }
    });
  }
  fs::create_directory_symlink(second.filename(), root / "next");
  fs::rename(root / "next", root / "current");
  std::string hash;
  for (const auto until = Clock::now() + kPatience; hash != second.filename() && Clock::now() < until;) {
    std::this_thread::sleep_for(milliseconds(100));
    if (const auto answer = serving.Client()->Get("/api/v1/health"))
      hash = json::parse(answer->body).at("base").get<std::string>();
  }
  fs::remove_all(root / first.filename());
  std::this_thread::sleep_for(milliseconds(300));
  ended = true;
  for (std::thread& client : clients) client.join();
  EXPECT_EQ(hash, second.filename());
  EXPECT_EQ(failed, 0) << "of " << asked;
  EXPECT_GT(asked, 0);
}

TEST(Program, LetsNobodyInFromElsewhereWithoutAToken) {
  const std::string base = BaseRoot().string();
  Program open({"--listen", "0.0.0.0", "--port", std::to_string(FreePort()), "--base", base});
  EXPECT_EQ(open.Wait(), 2);
  EXPECT_NE(open.Said().find("needs a token"), std::string::npos) << open.Said();
  Program weak(
      {"--listen", "0.0.0.0", "--token", "secret", "--port", std::to_string(FreePort()), "--base", base});
  EXPECT_EQ(weak.Wait(), 2);
  EXPECT_NE(weak.Said().find("easy to guess"), std::string::npos) << weak.Said();

  const std::string token = "abcdefgh01234567";
  const Serving guarded({"--token", token});
  const auto client = guarded.Client();
  for (const char* place :
       {"/", "/bench", "/api/v1/health", "/api/v1/find?q=glycerin", "/static/style.css"}) {
    auto answer = client->Get(place);
    ASSERT_TRUE(answer);
    EXPECT_EQ(answer->status, 401) << place;
    EXPECT_EQ(answer->body.find(token), std::string::npos);
    answer = client->Get(place, {{"Authorization", "Bearer " + token}});
    ASSERT_TRUE(answer);
    EXPECT_EQ(answer->status, 200) << place;
  }
}

TEST(Program, RefusesCleanlyOverTheWire) {
  const Serving serving({"--shelf", Scratch("refusing.shelf").string()});
  const std::string host = "Host: localhost:" + std::to_string(serving.port) + "\r\nConnection: close\r\n";
  const auto post = [&](const std::string& place, const std::string& body, const std::string& more = "") {
    return "POST " + place + " HTTP/1.1\r\n" + host + "Content-Type: text/csv\r\n" + more +
           "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body;
  };
  const auto get = [&](const std::string& place, const std::string& more = "") {
    return "GET " + place + " HTTP/1.1\r\n" + host + more + "\r\n";
  };
  std::string ranges = "Range: bytes=0-0";
  for (int i = 0; i < 1000; ++i) ranges += ",0-0";
  const struct {
    std::string bytes, status;
  } rows[] = {
      {get("/../../etc/passwd"), "404"},
      {get("/%2e%2e/%2e%2e/etc/passwd"), "404"},
      {get("/static/..%2f..%2fserver%2fmain.cc"), "404"},
      {get("/ingredient/..%2f..%2fetc%2fpasswd"), "404"},
      {get("//etc/passwd"), "404"},
      {get("/api/v1/show?name=%00"), "400"},
      {get("/api/v1/show?name=%ff%fe"), "400"},
      {get("/api/v1/show?name=%27%3B%20DROP%20TABLE%20jar%3B--"), "404"},
      {get("/api/v1/find?q=" + std::string(5000, 'a')), "4"},
      {get("/" + std::string(100'000, 'a')), "4"},
      {get("/api/v1/health", "X: " + std::string(300'000, 'a') + "\r\n"), "4"},
      {get("/static/style.css", ranges + "\r\n"), "200"},  // no range is served, so none can be piled up
      {post("/api/v1/check", std::string(500'000, '[')), "400"},
      {post("/api/v1/check", "\xff\xfe\x00x"), "400"},
      {post("/api/v1/shelf", std::string("ingredient,amount_g\nglycerin\0,5\n", 32)), "400"},
      {"POST /api/v1/check HTTP/1.1\r\n" + host + "Content-Length: 9000000000\r\n\r\n", "413"},
      {"POST /api/v1/check HTTP/1.1\r\n" + host + "Content-Length: -1\r\n\r\n", "400"},
      {"GET /api/v1/health HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n", "403"},
      {"GET /api/v1/health HTTP/1.1\r\nConnection: close\r\n\r\n", "4"},
      {post("/api/v1/shelf", "ingredient,amount_g\nglycerin,5\n", "Origin: http://evil.example\r\n"), "403"},
      {post("/shelf", "ingredient=glycerin&amount_g=5", "Sec-Fetch-Site: cross-site\r\n"), "403"},
  };
  for (const auto& row : rows) {
    const std::string answer = serving.Raw(row.bytes);
    const std::string asked = row.bytes.substr(0, 120);
    EXPECT_TRUE(answer.starts_with("HTTP/1.1 " + row.status)) << asked << "\n" << answer.substr(0, 300);
    EXPECT_TRUE(row.status == "200" || answer.size() < 8000) << asked;
    for (const char* leak :
         {"SELECT", "sqlite", "stillroom.db", STILLROOM_SOURCE_DIR, ".cc:", "root:", "what():"})
      EXPECT_EQ(answer.find(leak), std::string::npos) << asked << "\n" << answer.substr(0, 600);
    EXPECT_EQ(answer.find(BaseRoot().string()), std::string::npos) << asked;
  }
  EXPECT_EQ(JarsOf(serving), 0U);  // nothing that was refused was done
}

}  // namespace
}  // namespace server
