#include "server/routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/formula.h"
#include "kb/store.h"
#include "kb/text.h"

namespace server {
namespace {

using httplib::Request;
using httplib::Response;
using query::Trouble;

constexpr const char* kJson = "application/json; charset=utf-8";
constexpr std::size_t kLongestValue = 4096;  // bytes of one parameter; a name has fifty

void Fail(Response& response, int status, std::string what, std::string where, std::string expected) {
  response.status = status;
  response.set_content(
      query::TroubleJson(Trouble{
          Trouble::Kind::kBadQuestion, std::move(what), std::move(where), std::move(expected), {}, {}}),
      kJson);
}

// A name that leads here from elsewhere (DNS rebinding) and a page of another site that posts are refused.
bool IsOurs(const Request& request, int port) {
  const auto local = [&](std::string host) {
    if (const auto scheme = host.find("://"); scheme != std::string::npos) host.erase(0, scheme + 3);
    for (const char* name : {"localhost", "127.0.0.1", "[::1]"}) {
      if (host == name || host == fmt::format("{}:{}", name, port)) return true;
    }
    return false;
  };
  if (!local(request.get_header_value("Host"))) return false;
  return !request.has_header("Origin") || local(request.get_header_value("Origin"));
}

tl::expected<query::Params, std::string> ReadParams(const Request& request) {
  query::Params params;
  for (const auto& [name, value] : request.params) {
    if (!kb::IsUtf8(value) || value.find('\0') != std::string::npos) return tl::unexpected(name);
    if (value.size() > kLongestValue) return tl::unexpected(name);
    params.values.emplace_back(name, value);
  }
  if (request.method == "POST") {
    params.formula_text = request.body;
    params.formula_name = "formula";
  }
  return params;
}

void Answer(const query::Command& command, const query::Base& base, const Request& request,
            Response& response) {
  const auto params = ReadParams(request);
  if (!params)
    return Fail(response, 400, "a parameter is no text, or too long", params.error(),
                "UTF-8 text below 4 kB");
  const auto reply = command.answer(base, *params, query::Want::kJson, query::Look{});
  if (!reply) {
    response.status = reply.error().kind == Trouble::Kind::kNothingFound ? 404 : 400;
    response.set_content(query::TroubleJson(reply.error()), kJson);
    return;
  }
  response.status = 200;
  response.set_header("ETag", fmt::format("\"{}\"", base.files.hash));
  response.set_content(reply->body, kJson);
}

void Health(const query::Base& base, Response& response) {
  nlohmann::json commands = nlohmann::json::array();
  for (const query::Command& command : query::Commands()) commands.push_back(command.name);
  const nlohmann::json document = {{"status", "ok"},
                                   {"base", base.files.hash},
                                   {"ingredients", base.catalogue.ingredients().size()},
                                   {"functions", base.catalogue.functions().size()},
                                   {"commands", std::move(commands)}};
  response.set_content(document.dump(2), kJson);
}

}  // namespace

BaseHolder::BaseHolder(std::filesystem::path root) : root_(std::move(root)), base_(query::OpenBase(root_)) {}

std::shared_ptr<const query::Base> BaseHolder::Get() {
  const std::lock_guard lock(mutex_);
  try {
    if (kb::CurrentBase(root_).hash != base_->files.hash) base_ = query::OpenBase(root_);
  } catch (const kb::StoreError&) {
    // A base that cannot be opened leaves the one in service where it is.
  }
  return base_;
}

void AddRoutes(httplib::Server& http, BaseHolder& holder, int port) {
  http.set_tcp_nodelay(true);
  http.set_payload_max_length(kb::kLargestFormulaFile);
  http.set_default_headers({{"X-Content-Type-Options", "nosniff"},
                            {"Referrer-Policy", "no-referrer"},
                            {"Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"}});
  http.set_pre_routing_handler([port](const Request& request, Response& response) {
    if (IsOurs(request, port)) return httplib::Server::HandlerResponse::Unhandled;
    Fail(response, 403, "asked by a name or a page that is not this server's", "Host",
         "http://localhost and this port");
    return httplib::Server::HandlerResponse::Handled;
  });
  http.Get("/api/v1/health",
           [&holder](const Request&, Response& response) { Health(*holder.Get(), response); });
  const auto answer = [&holder](const Request& request, Response& response) {
    const query::Command* command = query::FindCommand(request.matches[1].str());
    if (command == nullptr)
      return Fail(response, 404, "no such command", request.matches[1].str(), "see /api/v1/health");
    Answer(*command, *holder.Get(), request, response);
  };
  http.Get(R"(/api/v1/([a-z]+))", answer);
  http.Post(R"(/api/v1/([a-z]+))", answer);
  http.set_error_handler([](const Request& request, Response& response) {
    if (!response.body.empty()) return;
    Fail(response, response.status, "no such place", kb::IsUtf8(request.path) ? request.path : "",
         "/api/v1/health, /api/v1/<command>");
  });
  http.set_exception_handler([](const Request&, Response& response, const std::exception_ptr&) {
    Fail(response, 500, "a fault of ours", "", "an answer");
  });
}

}  // namespace server
