#include "server/router.h"

#include <algorithm>
#include <optional>

#include "kb/text.h"
#include "query/service.h"

namespace server {
namespace {

// What stands for "{...}" where the path fits the pattern; nullopt where it does not.
std::optional<std::string> Fits(std::string_view pattern, std::string_view path) {
  const std::size_t open = pattern.find('{');
  if (open == std::string_view::npos) {
    if (pattern == path) return std::string();
    return std::nullopt;
  }
  const std::string_view head = pattern.substr(0, open);
  const std::string_view tail = pattern.substr(pattern.find('}') + 1);
  if (path.size() <= head.size() + tail.size() || !path.starts_with(head) || !path.ends_with(tail))
    return std::nullopt;
  const std::string_view word = path.substr(head.size(), path.size() - head.size() - tail.size());
  if (word.find('/') != std::string_view::npos) return std::nullopt;
  return std::string(word);
}

}  // namespace

void Router::On(std::string method, std::string path, Handler handler) {
  entries_.push_back({std::move(method), std::move(path), std::move(handler)});
}

Answer Router::Route(const Question& question) const {
  const std::string method = question.method == "HEAD" ? "GET" : question.method;
  std::string allowed;
  for (const Entry& entry : entries_) {
    const auto word = Fits(entry.path, question.path);
    if (!word) continue;
    if (entry.method == method) return entry.handler(question, *word);
    const std::string here = entry.method == "GET" ? "GET, HEAD" : entry.method;
    if (allowed.find(here) == std::string::npos) allowed += (allowed.empty() ? "" : ", ") + here;
  }
  if (allowed.empty()) {
    return Refusal(404, "no such place", kb::IsUtf8(question.path) ? question.path : "",
                   "/, /bench, /place, /compare, /shelf, /api/v1/openapi.json");
  }
  allowed += ", OPTIONS";
  if (method == "OPTIONS") return {204, "", "", {{"Allow", allowed}}};
  Answer answer = Refusal(405, "this place is not asked that way", question.method, allowed);
  answer.headers.emplace_back("Allow", allowed);
  return answer;
}

std::vector<Router::Known> Router::All() const {
  std::vector<Known> all;
  for (const Entry& entry : entries_) all.push_back({entry.method, entry.path});
  return all;
}

Answer Refusal(int status, std::string_view what, std::string_view where, std::string_view expected) {
  query::Trouble trouble;
  trouble.what = what;
  trouble.where = where;
  trouble.expected = expected;
  Answer answer;
  answer.status = status;
  answer.body = query::TroubleJson(trouble);
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

}  // namespace server
