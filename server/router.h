// Which handler an address leads to: paths by comparing segments, "{word}" standing for any one of them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "server/exchange.h"

namespace server {

class Router {
 public:
  // `word` is what stood in the place of "{...}", or "".
  using Handler = std::function<Answer(const Question& question, const std::string& word)>;

  // GET brings HEAD with it. A path ends without a slash; "/ingredient/{id}" takes one segment.
  void On(std::string method, std::string path, Handler handler);

  // 404 for an unknown path, 405 with Allow for an unknown method, 204 with Allow for OPTIONS.
  Answer Route(const Question& question) const;

  struct Known {
    std::string method, path;
  };
  std::vector<Known> All() const;  // for the description and its test

 private:
  struct Entry {
    std::string method, path;
    Handler handler;
  };
  std::vector<Entry> entries_;
};

// The contract's {"error": ...} with a status; 400 and above are never stored.
Answer Refusal(int status, std::string_view what, std::string_view where, std::string_view expected);

}  // namespace server
