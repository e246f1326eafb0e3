// An HTTP/1.1 server in which no slow client holds a thread.
//
// cpp-httplib gives a connection a thread until it is closed, so that a handful of idle browsers lock everybody out. Here the
// library keeps what it is good at (listening, reading a request, writing an answer); connections wait in one epoll set, and a worker
// touches one only while bytes are there. A request is answered when it has arrived whole; what the client does not take at once
// waits again. Deadlines hold for a whole head, a whole body, a whole answer: a byte now and then does not move them.
#pragma once

#include <chrono>
#include <cstddef>
#include <memory>
#include <string>

#include "server/exchange.h"
#include "server/http_head.h"

namespace server {

struct HttpLimits {
  HeadLimits head;
  std::chrono::milliseconds head_time{10'000};   // from its first byte, and from connecting
  std::chrono::milliseconds body_time{30'000};   // from the end of the head
  std::chrono::milliseconds write_time{30'000};  // for one answer
  std::chrono::milliseconds idle_time{60'000};   // between requests
  std::chrono::milliseconds stop_time{5'000};    // for answers under way when stopping
  std::size_t connections = 8192;                // above that the one nearest its deadline makes room
  std::size_t threads = 0;                       // workers; 0: two a core, at least 4
};

class HttpServer {
 public:
  HttpServer(Responder responder, const HttpLimits& limits);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  // Binds; port 0 takes a free one. Returns the port, 0 where the address cannot be had.
  int Bind(const std::string& address, int port);
  // Serves until Stop(); answers under way are finished. false: it could not serve.
  bool Run();
  // From any thread; does nothing before Run() serves.
  void Stop();
  bool IsRunning() const;

 private:
  class Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace server
