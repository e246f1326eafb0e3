// What the measurements of the server stand beside, and what presses on it. For http_bench.sh; only ever 127.0.0.1.
//
//   http_bare fixed PORT             bare cpp-httplib: one prepared JSON answer of 4 KB for every GET
//   http_bare answers PORT BASE      bare cpp-httplib: find and swap answered as the server answers them, and nothing else
//   http_bare layer PORT             the project's own HTTP layer with the prepared answer of `fixed`
//   http_bare inside BASE FILE SECS  the questions of FILE, one address a line, on two threads without HTTP: answers a second
//   http_bare abuse PORT SECS        500 idle and 500 dripping connections, and a new one every 50 ms: the worst time to an answer
//
// The servers end at SIGTERM. The bare ones have the settings without which cpp-httplib 0.11 stalls: no delay, long keep-alive, a
// thread for every connection of the load, a long backlog.
#include <arpa/inet.h>
#include <fmt/format.h>
#include <httplib.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>
#include <thread>
#include <vector>

#include "query/service.h"
#include "server/http_server.h"

namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr std::size_t kFixed = 4096;  // bytes of the prepared answer
constexpr int kThreads = 96;          // of the bare servers; the load has 64 connections
constexpr int kIdle = 500, kDripping = 500;
constexpr int kLongestAbuse = 60;  // s

std::string Prepared() {
  std::string body = R"({"filler": ")";
  body.append(kFixed - body.size() - 2, 'x');
  return body + "\"}";
}

class Bare : public httplib::Server {
 public:
  Bare() {
    set_tcp_nodelay(true);
    set_keep_alive_max_count(1'000'000'000);
    set_keep_alive_timeout(60);
    new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
  }
  bool Serve(int port) {
    constexpr int kBacklog = 1024;
    return bind_to_port("127.0.0.1", port) && ::listen(svr_sock_, kBacklog) == 0 && listen_after_bind();
  }
};

query::Params ParamsOf(const httplib::Params& given) {
  query::Params params;
  for (const auto& [name, value] : given) params.values.emplace_back(name, value);
  return params;
}

std::string AnswerOf(const query::Base& base, std::string_view command, const query::Params& params) {
  const auto reply = query::FindCommand(command)->answer(base, params, query::Want::kJson, query::Look{});
  return reply ? reply->body : query::TroubleJson(reply.error());
}

int ServeFixed(int port) {
  const std::string body = Prepared();
  Bare bare;
  bare.Get(".*", [&](const httplib::Request&, httplib::Response& response) {
    response.set_content(body, "application/json");
  });
  return bare.Serve(port) ? 0 : 2;
}

int ServeAnswers(int port, const std::string& root) {
  const auto base = query::OpenBase(root);
  Bare bare;
  for (const char* command : {"find", "swap"}) {
    bare.Get(fmt::format("/api/v1/{}", command),
             [&base, command](const httplib::Request& request, httplib::Response& response) {
               response.set_content(AnswerOf(*base, command, ParamsOf(request.params)), "application/json");
             });
  }
  return bare.Serve(port) ? 0 : 2;
}

int ServeLayer(int port) {
  const std::string body = Prepared();
  server::HttpServer http(
      [&](const server::Question&) {
        server::Answer answer;
        answer.body = body;
        return answer;
      },
      {});
  return http.Bind("127.0.0.1", port) != 0 && http.Run() ? 0 : 2;
}

struct Asked {
  std::string command;
  query::Params params;
};

std::vector<Asked> ReadQuestions(const std::string& name) {
  std::vector<Asked> out;
  std::ifstream file(name);
  for (std::string line; std::getline(file, line);) {
    const std::size_t mark = line.find('?');
    const std::size_t slash = line.rfind('/', mark);
    if (line.empty() || line[0] != '/' || mark == std::string::npos) continue;
    httplib::Params params;
    httplib::detail::parse_query_text(line.substr(mark + 1), params);
    out.push_back({line.substr(slash + 1, mark - slash - 1), ParamsOf(params)});
  }
  return out;
}

int Inside(const std::string& root, const std::string& file, int seconds) {
  const auto base = query::OpenBase(root);
  const std::vector<Asked> questions = ReadQuestions(file);
  if (questions.empty()) return 2;
  std::atomic<bool> ended{false};
  std::atomic<std::size_t> answered{0};
  std::vector<std::thread> threads;
  const auto started = Clock::now();
  for (std::size_t first = 0; first < 2; ++first) {
    threads.emplace_back([&, first] {
      std::size_t bytes = 0;
      for (std::size_t i = first; !ended; ++i) {
        const Asked& one = questions[i % questions.size()];
        bytes += AnswerOf(*base, one.command, one.params).size();
        ++answered;
      }
      if (bytes == 0) std::abort();  // so that no answer is left out as unused
    });
  }
  std::this_thread::sleep_for(std::chrono::seconds(seconds));
  ended = true;
  for (std::thread& thread : threads) thread.join();
  const double took = std::chrono::duration<double>(Clock::now() - started).count();
  fmt::print("{:.0f}\n", static_cast<double>(answered) / took);
  return 0;
}

int Connected(int port) {
  const int one = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const timeval patience{5, 0};
  ::setsockopt(one, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
  if (::connect(one, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0) return one;
  ::close(one);
  return -1;
}

bool Send(int socket, std::string_view bytes) {
  return ::send(socket, bytes.data(), bytes.size(), MSG_NOSIGNAL | MSG_DONTWAIT) ==
         static_cast<ssize_t>(bytes.size());
}

// From connecting to the whole answer, in ms; negative where there was none.
double Probe(int port) {
  const auto started = Clock::now();
  const int socket = Connected(port);
  if (socket < 0) return -1;
  Send(socket, fmt::format("GET /api/v1/find?q=glycerin&limit=5 HTTP/1.1\r\nHost: localhost:{}\r\n"
                           "Connection: close\r\n\r\n",
                           port));
  std::string all;
  char bytes[8192];
  for (ssize_t count = 0; (count = ::recv(socket, bytes, sizeof bytes, 0)) > 0;)
    all.append(bytes, static_cast<std::size_t>(count));
  ::close(socket);
  const double took = std::chrono::duration<double, std::milli>(Clock::now() - started).count();
  return all.starts_with("HTTP/1.1 200") ? took : -1;
}

int Abuse(int port, int seconds) {
  seconds = std::clamp(seconds, 1, kLongestAbuse);
  std::vector<int> idle;
  std::vector<int> dripping;
  for (int i = 0; i < kIdle; ++i) idle.push_back(Connected(port));
  for (int i = 0; i < kDripping; ++i) {
    dripping.push_back(Connected(port));
    Send(dripping.back(), fmt::format("GET /api/v1/health HTTP/1.1\r\nHost: localhost:{}\r\nX-Slow: ", port));
  }
  std::atomic<bool> ended{false};
  std::thread drips([&] {
    while (!ended) {
      for (int& socket : dripping) {  // whoever was cut off comes again
        if (Send(socket, "y")) continue;
        ::close(socket);
        socket = Connected(port);
        Send(socket, "GET / HTTP/1.1\r\nX-Slow: ");
      }
      std::this_thread::sleep_for(milliseconds(500));
    }
  });
  std::vector<double> times;
  int failed = 0;
  for (const auto until = Clock::now() + std::chrono::seconds(seconds); Clock::now() < until;) {
    const double took = Probe(port);
    if (took < 0) {
      ++failed;
    } else {
      times.push_back(took);
    }
    std::this_thread::sleep_for(milliseconds(50));
  }
  ended = true;
  drips.join();
  for (const int socket : idle) ::close(socket);
  for (const int socket : dripping) ::close(socket);
  std::sort(times.begin(), times.end());
  const double worst = times.empty() ? -1 : times.back();
  fmt::print("{} probes, {} failed, median {:.1f} ms, worst {:.1f} ms\n", times.size(), failed,
             times.empty() ? -1 : times[times.size() / 2], worst);
  return failed == 0 && worst >= 0 && worst < 500 ? 0 : 1;
}

}  // namespace

int main(int count, char** words) {
  const std::vector<std::string> given(words + 1, words + count);
  const auto number = [&](std::size_t at) { return std::atoi(given[at].c_str()); };
  if (given.size() == 2 && given[0] == "fixed") return ServeFixed(number(1));
  if (given.size() == 3 && given[0] == "answers") return ServeAnswers(number(1), given[2]);
  if (given.size() == 2 && given[0] == "layer") return ServeLayer(number(1));
  if (given.size() == 4 && given[0] == "inside") return Inside(given[1], given[2], number(3));
  if (given.size() == 3 && given[0] == "abuse") return Abuse(number(1), number(2));
  std::fputs("http_bare: see the head of http_bare.cc\n", stderr);
  return 2;
}
