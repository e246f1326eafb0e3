#include "server/connections.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

namespace server {
namespace {

constexpr std::size_t kReadAtOnce = 16 << 10;
constexpr std::size_t kMostDrained = 8
                                     << 20;  // bytes of a refused body that are read before the door is shut
constexpr auto kTurn = std::chrono::milliseconds(2);  // work for one connection before others have their turn
constexpr auto kWatchEvery = std::chrono::milliseconds(200);
constexpr auto kDrainTime = std::chrono::milliseconds(2000);

std::int64_t Now() {
  return std::chrono::duration_cast<std::chrono::milliseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

const char* Reason(int status) {
  switch (status) {
    case 400:
      return "Bad Request";
    case 408:
      return "Request Timeout";
    case 411:
      return "Length Required";
    case 413:
      return "Payload Too Large";
    case 414:
      return "URI Too Long";
    case 415:
      return "Unsupported Media Type";
    case 431:
      return "Request Header Fields Too Large";
    default:
      return "Refused";
  }
}

}  // namespace

std::string RefusalBytes(int status, const char* what) {
  const std::string body = fmt::format(
      R"({{"error": {{"what": "{}", "where": "request", "expected": "a request by HTTP/1.1, whole and in time", "nearest": []}}}})",
      what);
  return fmt::format(
      "HTTP/1.1 {} {}\r\nContent-Type: application/json; charset=utf-8\r\nContent-Length: {}\r\nConnection: "
      "close\r\n"
      "X-Content-Type-Options: nosniff\r\nCache-Control: no-store\r\n\r\n{}",
      status, Reason(status), body.size(), body);
}

Connections::Connections(const HttpLimits& limits, Serve serve) : limits_(limits), serve_(std::move(serve)) {
  epoll_ = ::epoll_create1(EPOLL_CLOEXEC);
  wake_ = ::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
  if (epoll_ < 0 || wake_ < 0) throw std::system_error(errno, std::generic_category(), "epoll");
  epoll_event event{};
  event.events = EPOLLIN;  // level-triggered and never read: once written, every worker sees it
  event.data.ptr = nullptr;
  ::epoll_ctl(epoll_, EPOLL_CTL_ADD, wake_, &event);
}

Connections::~Connections() {
  Stop();
  ::close(epoll_);
  ::close(wake_);
}

void Connections::Start() {
  const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
  const std::size_t threads = limits_.threads > 0 ? limits_.threads : std::max<std::size_t>(4, 2 * cores);
  for (std::size_t i = 0; i < threads; ++i) workers_.emplace_back([this] { Work(); });
  watcher_ = std::thread([this] { Watch(); });
}

void Connections::Adopt(int socket) {
  ::fcntl(socket, F_SETFL, ::fcntl(socket, F_GETFL) | O_NONBLOCK);
  auto fresh = std::make_unique<Connection>();
  fresh->socket = socket;
  Connection* connection = fresh.get();
  Enter(*connection, Phase::kHead);
  const std::lock_guard lock(mutex_);
  if (stopping_ || open_.size() >= limits_.connections + limits_.connections / 8) {
    ::close(socket);
    return;
  }
  if (open_.size() >= limits_.connections) MakeRoom();
  open_.emplace(socket, std::move(fresh));
  epoll_event event{};
  event.events = EPOLLIN | EPOLLONESHOT;
  event.data.ptr = connection;
  if (::epoll_ctl(epoll_, EPOLL_CTL_ADD, socket, &event) != 0) {
    open_.erase(socket);
    ::close(socket);
  }
}

// Called with the mutex held. The worker that the end of the connection wakes closes it.
void Connections::MakeRoom() {
  const auto first = std::min_element(open_.begin(), open_.end(), [](const auto& a, const auto& b) {
    const auto order = [](const Connection& c) {
      return std::pair(c.busy.load() || c.expired.load(), c.deadline.load());
    };
    return order(*a.second) < order(*b.second);
  });
  if (first == open_.end()) return;
  first->second->expired = true;
  ::shutdown(first->second->socket, SHUT_RDWR);
}

void Connections::Expire(std::int64_t now) {
  const std::lock_guard lock(mutex_);
  for (const auto& [socket, connection] : open_) {
    if (connection->busy || connection->deadline > now) continue;
    // The first time ends reading, so that the client can still be told; the second time everything.
    ::shutdown(socket, connection->expired.exchange(true) ? SHUT_RDWR : SHUT_RD);
  }
}

void Connections::Watch() {
  while (!ended_) {
    std::this_thread::sleep_for(kWatchEvery);
    Expire(Now());
  }
}

void Connections::Work() {
  while (!ended_) {
    epoll_event event{};
    const int count = ::epoll_wait(epoll_, &event, 1, -1);  // one at a time: the next may be another's
    if (count < 0 && errno != EINTR) return;
    if (count < 1) continue;
    if (event.data.ptr == nullptr) return;
    auto* connection = static_cast<Connection*>(event.data.ptr);
    connection->busy = true;
    Advance(*connection);
  }
}

void Connections::Advance(Connection& connection) {
  const auto started = std::chrono::steady_clock::now();
  for (;;) {
    Step step = Step::kGoOn;
    switch (connection.phase) {
      case Phase::kIdle:
      case Phase::kHead:
      case Phase::kBody:
        step = Take(connection);
        break;
      case Phase::kWrite:
        step = Write(connection);
        break;
      case Phase::kDrain:
        step = Drain(connection);
        break;
    }
    switch (step) {
      case Step::kClose:
        return Close(connection);
      case Step::kWaitToRead:
        return Wait(connection, EPOLLIN);
      case Step::kWaitToWrite:
        return Wait(connection, EPOLLOUT);
      case Step::kGoOn:
        // By time, not by number: thirty swaps in a row would let everybody else wait for a second.
        if (connection.phase != Phase::kIdle || std::chrono::steady_clock::now() - started < kTurn) continue;
        // More may lie in our own buffer, where epoll does not look: a socket that can be written wakes us again.
        return Wait(connection, connection.in.empty() ? EPOLLIN : EPOLLOUT);
    }
  }
}

void Connections::Enter(Connection& connection, Phase phase) {
  connection.phase = phase;
  std::chrono::milliseconds time = limits_.head_time;
  if (phase == Phase::kIdle) time = limits_.idle_time;
  if (phase == Phase::kBody) time = limits_.body_time;
  if (phase == Phase::kWrite) time = limits_.write_time;
  if (phase == Phase::kDrain) time = kDrainTime;
  connection.deadline = Now() + time.count();
}

Connections::Step Connections::Take(Connection& connection) {
  Frame& frame = connection.frame;
  if (!frame.head_is_whole && !connection.in.empty())
    frame = ReadFrame(connection.in, limits_.head, connection.searched);
  if (frame.state == Frame::State::kRefused) return Refuse(connection, frame.status, frame.what);
  if (!frame.head_is_whole) {
    if (connection.phase == Phase::kIdle && !connection.in.empty()) Enter(connection, Phase::kHead);
    return Read(connection);
  }
  const std::size_t whole = frame.head_bytes + frame.body_bytes;
  if (connection.in.size() < whole) {
    if (connection.phase != Phase::kBody) {
      Enter(connection, Phase::kBody);
      constexpr std::string_view kContinue = "HTTP/1.1 100 Continue\r\n\r\n";
      // Twenty-five bytes into an empty buffer; a client that misses them sends its body after a second anyway.
      if (frame.wants_continue)
        (void)!::send(connection.socket, kContinue.data(), kContinue.size(), MSG_NOSIGNAL);
    }
    return Read(connection);
  }
  std::string body = connection.in.substr(frame.head_bytes, frame.body_bytes);
  connection.in.erase(0, whole);
  Served served = serve_(frame, std::move(body), stopping_);
  frame = {};
  connection.searched = 0;
  connection.out = std::move(served.bytes);
  connection.sent = 0;
  connection.last = served.close;
  Enter(connection, Phase::kWrite);
  return Step::kGoOn;
}

Connections::Step Connections::Read(Connection& connection) {
  if (connection.phase == Phase::kIdle && stopping_) return Step::kClose;
  char bytes[kReadAtOnce];
  const ssize_t count = ::recv(connection.socket, bytes, sizeof bytes, 0);
  if (count > 0) {
    connection.in.append(bytes, static_cast<std::size_t>(count));
    return Step::kGoOn;
  }
  if (count < 0 && errno == EINTR) return Step::kGoOn;
  if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) return Step::kWaitToRead;
  if (count == 0 && connection.expired && !connection.in.empty())
    return Refuse(connection, 408, "the request did not come in time");
  return Step::kClose;
}

Connections::Step Connections::Refuse(Connection& connection, int status, const char* what) {
  connection.out = RefusalBytes(status, what);
  connection.sent = 0;
  connection.last = true;
  connection.in.clear();
  connection.frame = {};
  Enter(connection, Phase::kWrite);
  return Step::kGoOn;
}

Connections::Step Connections::Write(Connection& connection) {
  while (connection.sent < connection.out.size()) {
    const ssize_t count = ::send(connection.socket, connection.out.data() + connection.sent,
                                 connection.out.size() - connection.sent, MSG_NOSIGNAL);
    if (count > 0) {
      connection.sent += static_cast<std::size_t>(count);
    } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
      return Step::kWaitToWrite;
    } else if (errno != EINTR) {
      return Step::kClose;
    }
  }
  connection.out.clear();
  connection.sent = 0;
  if (!connection.last) {
    Enter(connection, Phase::kIdle);
    return Step::kGoOn;
  }
  // Closing with unread bytes would tear the answer away from the client: end our side, and read what still comes for a while.
  ::shutdown(connection.socket, SHUT_WR);
  Enter(connection, Phase::kDrain);
  return Step::kGoOn;
}

Connections::Step Connections::Drain(Connection& connection) {
  char bytes[kReadAtOnce];
  for (;;) {
    const ssize_t count = ::recv(connection.socket, bytes, sizeof bytes, 0);
    if (count > 0) {
      connection.drained += static_cast<std::size_t>(count);
      if (connection.drained > kMostDrained) return Step::kClose;
    } else if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) {
      return connection.expired ? Step::kClose : Step::kWaitToRead;
    } else if (count == 0 || errno != EINTR) {
      return Step::kClose;
    }
  }
}

void Connections::Wait(Connection& connection, std::uint32_t events) {
  epoll_event event{};
  event.events = events | EPOLLONESHOT;
  event.data.ptr = &connection;
  const int socket = connection.socket;
  connection.busy = false;
  // From here on another worker may have it, and may have freed it.
  ::epoll_ctl(epoll_, EPOLL_CTL_MOD, socket, &event);
}

void Connections::Close(Connection& connection) {
  const int socket = connection.socket;
  const std::lock_guard lock(mutex_);
  open_.erase(socket);
  ::close(socket);
}

void Connections::Stop() {
  if (workers_.empty() || stopping_.exchange(true)) return;
  const std::int64_t latest = Now() + limits_.stop_time.count();
  for (bool some = true; some && Now() < latest;) {
    {
      const std::lock_guard lock(mutex_);
      for (const auto& [socket, connection] : open_) {
        // Nobody is told anything that has not asked yet.
        if (!connection->busy && connection->deadline.exchange(latest) != latest) ::shutdown(socket, SHUT_RD);
      }
      some = !open_.empty();
    }
    if (some) std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  ended_ = true;
  const std::uint64_t one = 1;
  (void)!::write(wake_, &one, sizeof one);
  for (std::thread& worker : workers_) worker.join();
  watcher_.join();
  const std::lock_guard lock(mutex_);
  for (const auto& [socket, connection] : open_) ::close(socket);
  open_.clear();
}

}  // namespace server
