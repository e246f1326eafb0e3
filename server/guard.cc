#include "server/guard.h"

#include <arpa/inet.h>
#include <fmt/format.h>

#include "server/router.h"

namespace server {
namespace {

constexpr std::string_view kCookie = "stillroom";

// In a time that does not tell how much of it was right.
bool Same(std::string_view given, std::string_view wanted) {
  unsigned different = given.size() == wanted.size() ? 0 : 1;
  for (std::size_t i = 0; i < wanted.size(); ++i)
    different |=
        static_cast<unsigned char>(wanted[i]) ^ static_cast<unsigned char>(i < given.size() ? given[i] : 0);
  return different == 0;
}

bool IsAddress(std::string host) {
  in_addr four{};
  in6_addr six{};
  if (::inet_pton(AF_INET, host.c_str(), &four) == 1) return true;
  if (host.size() < 3 || host.front() != '[' || host.back() != ']') return false;
  host = host.substr(1, host.size() - 2);
  return ::inet_pton(AF_INET6, host.c_str(), &six) == 1;
}

// A name can be made to lead here from elsewhere; a bare address cannot.
bool IsOurHost(std::string_view host, const GuardSettings& settings) {
  const std::string port = fmt::format(":{}", settings.port);
  if (host.ends_with(port)) host.remove_suffix(port.size());
  if (host == "localhost" || host == "127.0.0.1" || host == "[::1]") return true;
  return !settings.loopback && IsAddress(std::string(host));
}

bool IsOurOrigin(const Question& question) {
  if (question.fetch_site == "cross-site" && question.method != "GET" && question.method != "HEAD")
    return false;
  return question.origin.empty() || question.origin == "http://" + question.host;
}

std::string_view CookieToken(std::string_view cookies) {
  while (!cookies.empty()) {
    const std::size_t end = std::min(cookies.find(';'), cookies.size());
    std::string_view one = cookies.substr(0, end);
    cookies.remove_prefix(std::min(end + 1, cookies.size()));
    while (!one.empty() && one.front() == ' ') one.remove_prefix(1);
    if (one.starts_with(kCookie) && one.size() > kCookie.size() && one[kCookie.size()] == '=')
      return one.substr(kCookie.size() + 1);
  }
  return {};
}

std::optional<Answer> CheckToken(const Question& question, const GuardSettings& settings) {
  if (settings.token.empty()) return std::nullopt;
  constexpr std::string_view kBearer = "Bearer ";
  const std::string_view header = question.authorization;
  if (header.starts_with(kBearer) && Same(header.substr(kBearer.size()), settings.token)) return std::nullopt;
  if (Same(CookieToken(question.cookie), settings.token)) return std::nullopt;
  if (question.method == "GET" && Same(question.Get("token"), settings.token)) {
    // Out of the address at once, so that it stays in no history and on no print. The path as sent: it holds no line ends.
    const std::string path = question.target.substr(0, question.target.find('?'));
    return Answer{
        303,
        "",
        "",
        {{"Location", path.starts_with("//") ? "/" : path},
         {"Cache-Control", "no-store"},
         {"Set-Cookie", fmt::format("{}={}; HttpOnly; SameSite=Strict; Path=/", kCookie, settings.token)}}};
  }
  Answer answer =
      Refusal(401, "this server asks for its token", "Authorization",
              "the token that it was started with, as Authorization: Bearer ..., or ?token=... once");
  answer.headers.emplace_back("WWW-Authenticate", "Bearer");
  return answer;
}

}  // namespace

bool IsLoopback(std::string_view address) {
  return address == "localhost" || address == "::1" || address.starts_with("127.");
}

std::optional<Answer> Refused(const Question& question, const GuardSettings& settings) {
  if (!IsOurHost(question.host, settings))
    return Refusal(403, "asked by a name that is not this server's", "Host",
                   fmt::format("http://localhost:{}", settings.port));
  if (!IsOurOrigin(question))
    return Refusal(403, "asked by a page of another site", "Origin",
                   fmt::format("a page of http://localhost:{}", settings.port));
  return CheckToken(question, settings);
}

}  // namespace server
