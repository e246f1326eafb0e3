// /api/v1/shelf:
//   GET              what is in stock
//   GET   .csv       the same as a spreadsheet takes it
//   POST  text/csv   lines without a number are added, lines with one replaced; all or none
//   DELETE /{number} one jar
#include <fmt/format.h>

#include <charconv>

#include "server/app.h"
#include "server/service_params.h"
#include "server/shelf_csv.h"
#include "server/shelf_json.h"

namespace server {
namespace {

Answer NoShelf() {
  return Refusal(404, "this server keeps no shelf", "shelf", "stillroom-server --shelf FILE");
}

Answer Listed(const Context& context) {
  Answer answer;
  answer.body = ShelfJson(context.base.catalogue, context.shelf->All());
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

Answer Written(const Context& context, const Question& question) {
  const auto body = ReadParamsAndBody(question, kMostShelfLines);
  if (!body) return body.error();
  const auto jars = ReadJars(context.base.catalogue, *body->formula_text);
  if (!jars) return TroubleAnswer(jars.error());
  if (!context.shelf->Save(*jars))
    return Refusal(404, "a line replaces a jar that is not there", "number", "the number of a jar, or none");
  return Listed(context);
}

Answer Removed(const Context& context, const std::string& word) {
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), number);
  if (error != std::errc() || end != word.data() + word.size() || !context.shelf->Remove(number))
    return Refusal(404, "no such jar", "number", "the number of a jar, see /api/v1/shelf");
  return Listed(context);
}

}  // namespace

void AddShelfApi(App& app) {
  const auto on = [&app](const char* method, const char* path, App::ContextHandler handler) {
    app.On(method, path,
           [handler = std::move(handler)](const Context& context, const Question& question,
                                          const std::string& word) {
             return context.shelf == nullptr ? NoShelf() : handler(context, question, word);
           });
  };
  on("GET", "/api/v1/shelf",
     [](const Context& context, const Question&, const std::string&) { return Listed(context); });
  on("GET", "/api/v1/shelf.csv", [](const Context& context, const Question&, const std::string&) {
    return Answer{
        200,
        "text/csv; charset=utf-8",
        WriteJars(context.base.catalogue, context.shelf->All()),
        {{"Content-Disposition", "attachment; filename=\"shelf.csv\""}, {"Cache-Control", "no-store"}}};
  });
  on("POST", "/api/v1/shelf", [](const Context& context, const Question& question, const std::string&) {
    return Written(context, question);
  });
  on("DELETE", "/api/v1/shelf/{number}",
     [](const Context& context, const Question&, const std::string& word) { return Removed(context, word); });
}

}  // namespace server
