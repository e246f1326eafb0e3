// One question over HTTP and its answer, as plain values: what the handlers see, without the library's types.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace server {

using Pairs = std::vector<std::pair<std::string, std::string>>;

struct Question {
  std::string method;        // GET, HEAD, POST, OPTIONS ...
  std::string path;          // decoded, without the query
  std::string target;        // as sent: path and query
  Pairs query;               // decoded, repeated ones in order
  std::string body;          // at most kb::kLargestFormulaFile bytes
  std::string content_type;  // of the body
  std::string accept, host, origin, fetch_site, authorization, cookie, if_none_match;

  std::string_view Get(std::string_view name) const;  // "" where absent; the last where repeated
};

struct Answer {
  int status = 200;
  std::string type = "application/json; charset=utf-8";
  std::string body;
  Pairs headers;
};

using Responder = std::function<Answer(const Question&)>;

}  // namespace server
