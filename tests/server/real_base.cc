#include "tests/server/real_base.h"

#include <httplib.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <iterator>
#include <sstream>

#include "indexer/run.h"

namespace testing_server {
namespace {

namespace fs = std::filesystem;

struct Folder {
  Folder() : path(fs::temp_directory_path() / ("stillroom-http-" + std::to_string(getpid()))) {
    fs::remove_all(path);
    fs::create_directories(path);
  }
  ~Folder() { fs::remove_all(path); }
  fs::path path;
};

const Folder& Own() {
  static const Folder folder;
  return folder;
}

}  // namespace

const fs::path& BaseRoot() {
  static const fs::path root = [] {
    indexer::Options options;
    options.data = STILLROOM_SOURCE_DIR "/data";
    options.base = Own().path / "base";
    std::ostringstream out;
    std::ostringstream complaints;
    if (indexer::Run(options, out, complaints, false) != 0) {
      std::cerr << complaints.str();
      std::abort();
    }
    return options.base;
  }();
  return root;
}

fs::path Scratch(const std::string& name) {
  return Own().path / name;
}

server::Question Get(const std::string& target) {
  server::Question question;
  question.method = "GET";
  question.target = target;
  const std::size_t mark = target.find('?');
  question.path = target.substr(0, mark);
  question.host = "localhost:8088";
  httplib::Params params;
  if (mark != std::string::npos) httplib::detail::parse_query_text(target.substr(mark + 1), params);
  for (const auto& [name, value] : params) question.query.emplace_back(name, value);
  return question;
}

server::Question Post(const std::string& target, std::string body, std::string type) {
  server::Question question = Get(target);
  question.method = "POST";
  question.body = std::move(body);
  question.content_type = std::move(type);
  return question;
}

std::string HandCream() {
  std::ifstream file(STILLROOM_SOURCE_DIR "/data/formulas/demo/hand-cream.csv");
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace testing_server
