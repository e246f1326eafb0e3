// The pages together, and what they are dressed in.
#include "server/app.h"
#include "server/texts.h"

namespace server {

void AddFindPages(App& app);
void AddCardPages(App& app);
void AddBenchPages(App& app);
void AddPrintPages(App& app);
void AddPlacePages(App& app);
void AddComparePages(App& app);

namespace {

Answer StaticFile(const std::string& name) {
  const auto type = [&]() -> const char* {
    if (name.ends_with(".css")) return "text/css; charset=utf-8";
    if (name.ends_with(".js")) return "text/javascript; charset=utf-8";
    if (name.ends_with(".svg")) return "image/svg+xml";
    return nullptr;
  }();
  if (type == nullptr || !HasText(name)) return Refusal(404, "no such file", "", "/static/style.css");
  return {200, type, Text(name), {{"Cache-Control", "no-cache"}}};
}

}  // namespace

void AddPages(App& app) {
  AddFindPages(app);
  AddCardPages(app);
  AddBenchPages(app);
  AddPrintPages(app);
  AddPlacePages(app);
  AddComparePages(app);
  app.On("GET", "/static/{file}",
         [](const Context&, const Question&, const std::string& name) { return StaticFile(name); });
  app.On("GET", "/favicon.ico", [](const Context&, const Question&, const std::string&) {
    return Answer{301, "", "", {{"Location", "/static/icon.svg"}}};
  });
}

}  // namespace server
