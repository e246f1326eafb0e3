// /api/v1: every command, the health of the server and its description.
#include <fmt/format.h>

#include "server/app.h"
#include "server/service_params.h"
#include "server/shelf.h"
#include "server/shelf_json.h"
#include "server/texts.h"

namespace server {
namespace {

Answer AnswerCommand(const Context& context, const query::Command& command, const Question& question) {
  auto params = ReadParamsAndBody(question);
  if (!params) return params.error();
  if (auto refused = LimitToShelf(context, *params)) return *refused;
  const auto reply = command.answer(context.base, *params, query::Want::kJson, query::Look{});
  if (!reply) return TroubleAnswer(reply.error());
  Answer answer;
  answer.status = reply->found ? 200 : 404;
  answer.body = command.name == "find" ? OnlyOnShelf(context, *params, reply->body) : reply->body;
  return answer;
}

Answer Health(const Context& context) {
  std::string commands;
  for (const query::Command& command : query::Commands())
    commands += fmt::format("{}\"{}\"", commands.empty() ? "" : ", ", command.name);
  Answer answer;
  answer.body = fmt::format(
      R"({{"status": "ok", "base": "{}", "ingredients": {}, "functions": {}, "shelf": {}, "commands": [{}]}})",
      context.base.files.hash, context.base.catalogue.ingredients().size(),
      context.base.catalogue.functions().size(), context.shelf != nullptr, commands);
  return answer;
}

}  // namespace

void AddApi(App& app) {
  app.On("GET", "/api/v1/health",
         [](const Context& context, const Question&, const std::string&) { return Health(context); });
  app.On("GET", "/api/v1/openapi.json", [](const Context&, const Question&, const std::string&) {
    Answer answer;
    answer.body = Text("openapi.json");
    return answer;
  });
  for (const query::Command& command : query::Commands()) {
    for (const char* method : {"GET", "POST"}) {
      app.On(method, fmt::format("/api/v1/{}", command.name),
             [&command](const Context& context, const Question& question, const std::string&) {
               return AnswerCommand(context, command, question);
             });
    }
  }
}

}  // namespace server
