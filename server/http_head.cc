#include "server/http_head.h"

#include <algorithm>
#include <charconv>
#include <optional>

namespace server {
namespace {

char Lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}

bool SameName(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return Lower(x) == Lower(y); });
}

bool IsToken(std::string_view text) {
  constexpr std::string_view kMarks = "!#$%&'*+-.^_`|~";
  return !text.empty() && std::all_of(text.begin(), text.end(), [&](char c) {
    return (c >= '0' && c <= '9') || (Lower(c) >= 'a' && Lower(c) <= 'z') ||
           kMarks.find(c) != std::string_view::npos;
  });
}

bool IsControl(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

std::string_view Trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

Frame Refuse(int status, const char* what) {
  Frame frame;
  frame.state = Frame::State::kRefused;
  frame.status = status;
  frame.what = what;
  return frame;
}

// Fields that are dealt with here, or not at all: ranges of answers made on the spot, and compression, which costs more than a wire on
// this machine saves.
bool IsDropped(std::string_view name) {
  for (const std::string_view dropped :
       {"content-length", "content-type", "expect", "range", "if-range", "accept-encoding"}) {
    if (SameName(name, dropped)) return true;
  }
  return false;
}

std::optional<Frame> CheckRequestLine(std::string_view line, const HeadLimits& limits) {
  const std::size_t first = line.find(' ');
  const std::size_t last = line.rfind(' ');
  if (first == std::string_view::npos || first == last) return Refuse(400, "no request line");
  const std::string_view target = line.substr(first + 1, last - first - 1);
  if (!IsToken(line.substr(0, first))) return Refuse(400, "no request line");
  const std::string_view version = line.substr(last + 1);
  if (version != "HTTP/1.1" && version != "HTTP/1.0") return Refuse(505, "another version of HTTP");
  if (target.empty() || target.front() != '/') return Refuse(400, "the address does not begin with /");
  if (target.size() > limits.target || std::min(target.find('?'), target.size()) > limits.path)
    return Refuse(414, "the address is too long");
  for (const char c : target) {
    if (IsControl(c) || c == ' ' || static_cast<unsigned char>(c) > 0x7f)
      return Refuse(400, "the address holds bytes that have to be escaped");
  }
  return std::nullopt;
}

struct Seen {
  int hosts = 0;
  std::optional<std::size_t> length;
};

std::optional<Frame> ReadField(std::string_view line, Frame& frame, Seen& seen) {
  const std::size_t colon = line.find(':');
  if (colon == std::string_view::npos || !IsToken(line.substr(0, colon)))
    return Refuse(400, "a header field without a name");
  const std::string_view name = line.substr(0, colon);
  const std::string_view value = Trimmed(line.substr(colon + 1));
  if (std::any_of(value.begin(), value.end(), [](char c) { return IsControl(c) && c != '\t'; }))
    return Refuse(400, "a control character in a header field");
  if (SameName(name, "host")) ++seen.hosts;
  if (SameName(name, "transfer-encoding")) return Refuse(411, "a body without its length");
  if (SameName(name, "content-encoding") && !SameName(value, "identity"))
    return Refuse(415, "a compressed body");
  if (SameName(name, "content-type")) frame.content_type = value;
  if (SameName(name, "expect")) frame.wants_continue = SameName(value, "100-continue");
  if (SameName(name, "content-length")) {
    std::size_t length = 0;
    const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), length);
    if (error != std::errc() || end != value.data() + value.size() || seen.length)
      return Refuse(400, "a length that is none");
    seen.length = length;
  }
  if (!IsDropped(name)) frame.head.append(line).append("\r\n");
  return std::nullopt;
}

Frame ReadHead(std::string_view head, const HeadLimits& limits) {
  Frame frame;
  Seen seen;
  std::size_t fields = 0;
  bool first = true;
  while (!head.empty()) {
    const std::size_t end = head.find("\r\n");
    const std::string_view line = head.substr(0, end);
    head.remove_prefix(end + 2);
    if (line.empty()) break;
    if (first) {
      if (auto refused = CheckRequestLine(line, limits)) return *refused;
      frame.head.append(line).append("\r\n");
      first = false;
      continue;
    }
    if (++fields > limits.fields) return Refuse(431, "too many header fields");
    if (auto refused = ReadField(line, frame, seen)) return *refused;
  }
  if (first) return Refuse(400, "no request line");
  if (seen.hosts != 1) return Refuse(400, "not one Host field");
  if (seen.length.value_or(0) > limits.body) return Refuse(413, "the body is too long");
  frame.body_bytes = seen.length.value_or(0);
  frame.head += "\r\n";
  return frame;
}

}  // namespace

Frame ReadFrame(std::string_view bytes, const HeadLimits& limits, std::size_t& searched) {
  // Browsers send an empty line after a body now and then (RFC 9112, 2.2).
  const std::size_t skipped = bytes.starts_with("\r\n") ? 2 : 0;
  const std::size_t from = std::max(skipped, searched > 3 ? searched - 3 : 0);
  const std::size_t end = bytes.find("\r\n\r\n", from);
  if (end == std::string_view::npos) {
    searched = bytes.size();
    if (bytes.size() > limits.head) return Refuse(431, "the header is too long");
    return {};
  }
  if (end + 4 > limits.head) return Refuse(431, "the header is too long");
  Frame frame = ReadHead(bytes.substr(skipped, end + 4 - skipped), limits);
  if (frame.state == Frame::State::kRefused) return frame;
  frame.head_is_whole = true;
  frame.head_bytes = end + 4;
  if (bytes.size() - frame.head_bytes >= frame.body_bytes) frame.state = Frame::State::kRequest;
  return frame;
}

}  // namespace server
