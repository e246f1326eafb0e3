#include "server/http_server.h"

#include <httplib.h>
#include <sys/resource.h>

#include "server/connections.h"

namespace server {
namespace {

// A whole request to read from, and a place for the answer, as the library wants to see them.
class Memory final : public httplib::Stream {
 public:
  explicit Memory(std::string_view in) : in_(in) {}
  bool is_readable() const override { return !in_.empty(); }
  bool is_writable() const override { return true; }
  ssize_t read(char* to, size_t size) override {
    const std::size_t count = in_.copy(to, size);
    in_.remove_prefix(count);
    return static_cast<ssize_t>(count);
  }
  ssize_t write(const char* from, size_t size) override {
    out.append(from, size);
    return static_cast<ssize_t>(size);
  }
  void get_remote_ip_and_port(std::string&, int&) const override {}
  void get_local_ip_and_port(std::string&, int&) const override {}
  socket_t socket() const override { return -1; }

  std::string out;

 private:
  std::string_view in_;
};

// The library hands each connection over as a task; ours only pass the socket on, so that the thread that accepts runs them.
class AtOnce final : public httplib::TaskQueue {
 public:
  void enqueue(std::function<void()> task) override { task(); }
  void shutdown() override {}
};

Question Asked(const httplib::Request& request) {
  Question question;
  question.method = request.method;
  question.path = request.path;
  question.target = request.target;
  question.body = request.body;
  question.content_type = request.get_header_value("X-Stillroom-Body-Type");
  for (const auto& [name, value] : request.params) question.query.emplace_back(name, value);
  question.accept = request.get_header_value("Accept");
  question.host = request.get_header_value("Host");
  question.origin = request.get_header_value("Origin");
  question.fetch_site = request.get_header_value("Sec-Fetch-Site");
  question.authorization = request.get_header_value("Authorization");
  question.cookie = request.get_header_value("Cookie");
  question.if_none_match = request.get_header_value("If-None-Match");
  return question;
}

void Fill(Answer answer, httplib::Response& response) {
  response.status = answer.status;
  for (auto& [name, value] : answer.headers) response.set_header(name, value);
  if (answer.status == 304 || answer.status == 204) return;
  response.body = std::move(answer.body);
  response.set_header("Content-Type", answer.type);
}

void Remove(std::string& bytes, std::string_view line) {
  const std::size_t at = bytes.find(line);
  if (at < bytes.find("\r\n\r\n")) bytes.erase(at, line.size());
}

void AllowManyFiles(std::size_t wanted) {
  rlimit files{};
  if (::getrlimit(RLIMIT_NOFILE, &files) != 0 || files.rlim_cur >= wanted) return;
  files.rlim_cur = std::min<rlim_t>(files.rlim_max, wanted);
  ::setrlimit(RLIMIT_NOFILE, &files);
}

}  // namespace

std::string_view Question::Get(std::string_view name) const {
  std::string_view found;
  for (const auto& [key, value] : query) {
    if (key == name) found = value;
  }
  return found;
}

class HttpServer::Inside : public httplib::Server {
 public:
  Inside(Responder responder, const HttpLimits& limits)
      : responder_(std::move(responder)),
        connections_(limits, [this](const Frame& frame, std::string body, bool last) {
          return Serve(frame, std::move(body), last);
        }) {
    AllowManyFiles(2 * limits.connections);
    set_tcp_nodelay(true);  // or every answer waits 44 ms for the client's acknowledgement
    set_keep_alive_timeout(std::chrono::duration_cast<std::chrono::seconds>(limits.idle_time).count());
    set_keep_alive_max_count(1'000'000);
    new_task_queue = [] { return new AtOnce; };
    // Every path is the responder's own: it is found by comparing words, not by the library's regular expressions.
    set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
      Fill(responder_(Asked(request)), response);
      return HandlerResponse::Handled;
    });
    set_exception_handler([](const httplib::Request&, httplib::Response& response, std::exception_ptr) {
      response.status = 500;
    });
    set_error_handler([](const httplib::Request&, httplib::Response& response) {
      if (!response.body.empty()) return;
      response.set_content(
          response.status == 500
              ? R"({"error": {"what": "a fault of ours", "where": "", "expected": "an answer", "nearest": []}})"
              : R"({"error": {"what": "no request that can be read", "where": "request", "expected": "a request by HTTP/1.1", "nearest": []}})",
          "application/json; charset=utf-8");
    });
  }

  bool Listen() {
    constexpr int kBacklog = 1024;  // the library's five overflow at the first page with six files
    return ::listen(svr_sock_, kBacklog) == 0;
  }
  Connections& connections() { return connections_; }

 private:
  bool process_and_close_socket(socket_t socket) override {
    connections_.Adopt(socket);
    return true;
  }

  Connections::Served Serve(const Frame& frame, std::string body, bool last) {
    Memory memory(frame.head);
    Connections::Served served;
    process_request(memory, last, served.close, [&](httplib::Request& request) {
      // The body is not read through the library: its reader of forms takes quadratic time on a hostile one.
      request.body = std::move(body);
      request.headers.erase("X-Stillroom-Body-Type");
      request.headers.emplace("X-Stillroom-Body-Type", frame.content_type);
    });
    served.close = served.close || last;
    if (memory.out.starts_with("HTTP/1.1 304") || memory.out.starts_with("HTTP/1.1 204"))
      Remove(memory.out, "Content-Length: 0\r\n");
    Remove(memory.out, "Accept-Ranges: bytes\r\n");  // the library's promise, not ours
    served.bytes = std::move(memory.out);
    return served;
  }

  Responder responder_;
  Connections connections_;
};

HttpServer::HttpServer(Responder responder, const HttpLimits& limits)
    : inside_(std::make_unique<Inside>(std::move(responder), limits)) {}

HttpServer::~HttpServer() = default;

int HttpServer::Bind(const std::string& address, int port) {
  if (port == 0) {
    port = std::max(0, inside_->bind_to_any_port(address));
  } else if (!inside_->bind_to_port(address, port)) {
    port = 0;
  }
  return port != 0 && inside_->Listen() ? port : 0;
}

bool HttpServer::Run() {
  inside_->connections().Start();
  const bool served = inside_->listen_after_bind();
  inside_->connections().Stop();
  return served;
}

void HttpServer::Stop() {
  inside_->stop();
}

bool HttpServer::IsRunning() const {
  return inside_->is_running();
}

}  // namespace server
