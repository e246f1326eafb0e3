// stillroom-server: the answers over HTTP and as pages, for this machine unless told otherwise.
#include <pthread.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <csignal>
#include <iostream>
#include <string>
#include <thread>

#include "kb/base.h"
#include "kb/store.h"
#include "server/app.h"
#include "server/http_server.h"
#include "server/shelf.h"

namespace {

struct Settings {
  int port = 8088;
  std::string base_root, address = "127.0.0.1", token, shelf_file, back_up_to;
  std::size_t threads = 0;
};

int Wrong(const std::string& what, const std::string& next) {
  std::cerr << "stillroom-server: " << what << "\n    " << next << '\n';
  return 2;
}

void AddOptions(CLI::App& app, Settings& settings) {
  app.set_version_flag("--version", std::string("stillroom-server ") + STILLROOM_VERSION);
  app.add_option("--port", settings.port, "port (8088)")->check(CLI::Range(1, 65535));
  app.add_option("--base", settings.base_root, "folder of the base (default: $STILLROOM_BASE, ./base)");
  app.add_option("--listen", settings.address,
                 "address to listen on (127.0.0.1); any other asks for --token");
  app.add_option("--token", settings.token,
                 "what everybody who asks must show; 16 letters and digits or more");
  app.add_option("--shelf", settings.shelf_file, "the shelf's file; made where there is none");
  app.add_option("--threads", settings.threads, "workers (two a core, at least 4)")
      ->check(CLI::Range(1, 256));
  app.add_option("--back-up-shelf", settings.back_up_to,
                 "copy the shelf of --shelf to this new file, and end");
}

bool IsGoodToken(const std::string& token) {
  constexpr std::size_t kShortest = 16;
  return token.size() >= kShortest && std::all_of(token.begin(), token.end(), [](char c) {
           return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' || c == '_';
         });
}

int Serve(const Settings& settings) {
  const bool loopback = server::IsLoopback(settings.address);
  std::unique_ptr<server::Shelf> shelf;
  if (!settings.shelf_file.empty()) shelf = std::make_unique<server::Shelf>(settings.shelf_file);
  if (!settings.back_up_to.empty()) {
    if (!shelf) return Wrong("no shelf to back up", "name it: --shelf FILE --back-up-shelf COPY");
    shelf->BackUp(settings.back_up_to);
    return 0;
  }
  server::BaseHolder holder(settings.base_root.empty() ? kb::DefaultBaseRoot()
                                                       : std::filesystem::path(settings.base_root));
  const server::App app(holder, shelf.get(), {settings.port, loopback, settings.token});
  server::HttpLimits limits;
  limits.threads = settings.threads;
  server::HttpServer http([&app](const server::Question& question) { return app.Respond(question); }, limits);
  if (http.Bind(settings.address, settings.port) == 0)
    return Wrong("port " + std::to_string(settings.port) + " is taken, or the address is not this machine's",
                 "choose another with --port, --listen");
  // Before any thread starts, so that all of them leave the two signals to the one that waits for them.
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  std::thread waiting([&] {
    int signal = 0;
    sigwait(&signals, &signal);
    http.Stop();
  });
  const std::string name = loopback ? "localhost" : settings.address;
  std::cout << "stillroom-server: http://" << name << ':' << settings.port << "/\n";
  if (!loopback)
    std::cout << "stillroom-server: others reach it too; each asks with the token: /?token=...\n";
  std::cout.flush();
  const bool served = http.Run();
  if (!served) pthread_kill(waiting.native_handle(), SIGTERM);
  waiting.join();
  return served ? 0 : 2;
}

}  // namespace

int main(int count, char** words) {
  CLI::App app("stillroom-server: the answers over HTTP and as pages, for this machine unless told otherwise",
               "stillroom-server");
  Settings settings;
  AddOptions(app, settings);
  try {
    app.parse(count, words);
  } catch (const CLI::Success& success) {
    return app.exit(success);
  } catch (const CLI::ParseError& error) {
    return Wrong(error.what(), "see stillroom-server --help");
  }
  if (!server::IsLoopback(settings.address) && settings.token.empty())
    return Wrong("listening on " + settings.address + " lets others in, and needs a token",
                 "add --token with 16 letters and digits or more");
  if (!settings.token.empty() && !IsGoodToken(settings.token))
    return Wrong("the token is too easy to guess, or holds other signs than letters, digits, - and _",
                 "16 of them or more");
  try {
    return Serve(settings);
  } catch (const kb::StoreError& error) {
    return Wrong(error.what(), "see stillroom-server --help");
  } catch (const server::ShelfError& error) {
    return Wrong(error.what(), settings.shelf_file);
  } catch (const std::exception& error) {
    return Wrong(error.what(), "a fault of ours");
  }
}
