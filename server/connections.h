// The connections of a server and the workers that serve them; see http_server.h.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <unordered_map>
#include <vector>

#include "server/http_server.h"

namespace server {

class Connections {
 public:
  struct Served {
    std::string bytes;  // the answer as it goes over the wire
    bool close = false;
  };
  // Makes the answer to one whole request; called by the workers, several at once.
  using Serve = std::function<Served(const Frame& frame, std::string body, bool last)>;

  Connections(const HttpLimits& limits, Serve serve);
  ~Connections();
  Connections(const Connections&) = delete;
  Connections& operator=(const Connections&) = delete;

  void Start();
  // Takes a connected socket over.
  void Adopt(int socket);
  // Lets answers under way finish, closes everything, ends the workers.
  void Stop();

 private:
  enum class Phase : std::uint8_t { kIdle, kHead, kBody, kWrite, kDrain };
  struct Connection {
    int socket = -1;
    Phase phase = Phase::kHead;
    std::string in, out;
    std::size_t searched = 0, sent = 0, drained = 0;
    Frame frame;                            // of the request whose body is still coming
    bool last = false;                      // close after this answer
    std::atomic<std::int64_t> deadline{0};  // ms on the steady clock
    std::atomic<bool> expired{false};
    std::atomic<bool> busy{false};
  };
  enum class Step { kGoOn, kWaitToRead, kWaitToWrite, kClose };

  void Work();
  void Watch();
  void Advance(Connection& connection);
  Step Read(Connection& connection);
  Step Take(Connection& connection);
  Step Refuse(Connection& connection, int status, const char* what);
  Step Write(Connection& connection);
  Step Drain(Connection& connection);
  void Enter(Connection& connection, Phase phase);
  void Wait(Connection& connection, std::uint32_t events);
  void Close(Connection& connection);
  void Expire(std::int64_t now);
  void MakeRoom();

  const HttpLimits limits_;
  const Serve serve_;
  int epoll_ = -1;
  int wake_ = -1;  // an eventfd that ends the workers
  std::mutex mutex_;
  std::unordered_map<int, std::unique_ptr<Connection>> open_;  // by socket; closed only with the mutex held
  std::atomic<bool> stopping_{false};
  std::atomic<bool> ended_{false};
  std::vector<std::thread> workers_;
  std::thread watcher_;
};

// The contract's error document for a request that nobody may see further, with the headers of every answer.
std::string RefusalBytes(int status, const char* what);

}  // namespace server
