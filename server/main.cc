// stillroom-server: the answers over HTTP, on this machine only.
#include <CLI/CLI.hpp>
#include <csignal>
#include <iostream>
#include <string>

#include "kb/base.h"
#include "kb/store.h"
#include "server/routes.h"

namespace {

httplib::Server* running = nullptr;  // for the signal handler, which takes no argument

void Stop(int) {
  if (running != nullptr) running->stop();
}

}  // namespace

int main(int count, char** words) {
  CLI::App app("stillroom-server: the same answers over HTTP, on this machine only", "stillroom-server");
  app.set_version_flag("--version", std::string("stillroom-server ") + STILLROOM_VERSION);
  int port = 8088;
  std::string base_root;
  app.add_option("--port", port, "port on 127.0.0.1 (8088)")->check(CLI::Range(1, 65535));
  app.add_option("--base", base_root, "folder of the base (default: $STILLROOM_BASE, ./base)");
  try {
    app.parse(count, words);
  } catch (const CLI::Success& success) {
    return app.exit(success);
  } catch (const CLI::ParseError& error) {
    std::cerr << "stillroom-server: " << error.what() << "\n    see stillroom-server --help\n";
    return 2;
  }
  try {
    server::BaseHolder holder(base_root.empty() ? kb::DefaultBaseRoot() : std::filesystem::path(base_root));
    httplib::Server http;
    // One connection holds one thread: with the library's eight, eight idle browsers would lock everybody out.
    http.new_task_queue = [] { return new httplib::ThreadPool(128); };
    server::AddRoutes(http, holder, port);
    running = &http;
    std::signal(SIGINT, Stop);
    std::signal(SIGTERM, Stop);
    if (!http.bind_to_port("127.0.0.1", port)) {
      std::cerr << "stillroom-server: port " << port << " is taken; choose another with --port\n";
      return 2;
    }
    std::cout << "stillroom-server: http://localhost:" << port << "/api/v1/health" << std::endl;
    return http.listen_after_bind() ? 0 : 2;
  } catch (const kb::StoreError& error) {
    std::cerr << "stillroom-server: " << error.what() << '\n';
    return 2;
  }
}
