// Cuts one HTTP/1.1 request out of the bytes of a connection, before anything else looks at it. Strict, because what two readers
// understand differently is how requests are smuggled: CRLF line ends alone, one Host, one Content-Length, no chunked bodies.
// Pure; RFC 9112.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace server {

struct HeadLimits {
  std::size_t head = 16 << 10;  // bytes of request line and fields
  std::size_t target = 8000;    // bytes of the request target
  std::size_t path = 1024;      // bytes of it before the '?'
  std::size_t fields = 64;      // header fields
  std::size_t body = 1 << 20;   // bytes
};

struct Frame {
  enum class State { kMore, kRequest, kRefused };
  State state = State::kMore;
  int status = 0;         // of a refusal: 400, 411, 413, 414, 415, 431
  const char* what = "";  // of a refusal, for people
  std::size_t head_bytes = 0, body_bytes = 0;
  bool head_is_whole = false;
  bool wants_continue = false;  // the client waits for "100 Continue" before it sends the body
  std::string head;             // for the library: without the fields that are dealt with here
  std::string content_type;
};

// Looks at the bytes received so far. `searched` remembers how far the end of the head was looked for, so that a head that comes in
// drops is not read again and again; 0 for a new request.
Frame ReadFrame(std::string_view bytes, const HeadLimits& limits, std::size_t& searched);

}  // namespace server
