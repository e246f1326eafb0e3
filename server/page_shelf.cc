// The shelf: what is in stock, what runs low; a form for a jar, spreadsheets in and out.
#include <fmt/format.h>

#include <charconv>

#include "server/form.h"
#include "server/page_parts.h"
#include "server/service_params.h"
#include "server/shelf_csv.h"
#include "server/shelf_json.h"

namespace server {
namespace {

std::int64_t NumberOf(std::string_view text) {
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  return error == std::errc() && end == text.data() + text.size() ? number : 0;
}

std::string_view Field(const Pairs& fields, std::string_view name) {
  for (const auto& [key, value] : fields) {
    if (key == name) return value;
  }
  return "";
}

// The jar in the form: the one being changed, or what was just sent and is wrong.
Json EditedView(const Json& jars, std::int64_t number, const Pairs& sent) {
  Json edited = {{"number", ""}};
  for (const Json& jar : jars) {
    if (number != 0 && jar.at("number") == number) {
      edited = jar;
      edited["ingredient"] = jar.at("name");
    }
  }
  for (const auto& [name, value] : sent) edited[name] = value;
  return edited;
}

Answer Show(const Context& context, const Question& question, const Pairs& sent, const Json& error,
            int status) {
  PageLook look{"shelf", "shelf", TwinOf(question), false, false};
  if (context.shelf == nullptr) {
    if (WantsJson(question))
      return Refusal(404, "this server keeps no shelf", "shelf", "stillroom-server --shelf FILE");
    return HtmlAnswer("no_shelf", Json::object(), look, 404);
  }
  const Json twin = Json::parse(ShelfJson(context.base.catalogue, context.shelf->All()));
  if (WantsJson(question)) {
    Answer answer = JsonAnswer(twin);
    answer.headers.emplace_back("Cache-Control", "no-store");
    return answer;
  }
  Json view = twin;
  Json low = Json::array();
  double worth = 0;
  for (Json& jar : view["jars"]) {
    if (jar.at("low") != "") low.push_back(jar);
    if (jar.at("cost_per_kg").is_number())
      worth += jar["cost_per_kg"].get<double>() * jar["amount_g"].get<double>() / 1000;
    jar["edit"] = fmt::format("/shelf?edit={}", jar.at("number").get<std::int64_t>());
    jar["number"] = fmt::format("{}", jar.at("number").get<std::int64_t>());
  }
  view["low"] = std::move(low);
  view["worth"] = fmt::format("{:.2f}", worth);
  view["edited"] = EditedView(twin["jars"], NumberOf(question.Get("edit")), sent);
  if (view["edited"]["number"].is_number())
    view["edited"]["number"] = fmt::format("{}", view["edited"]["number"].get<std::int64_t>());
  if (error.is_object()) {
    view["error"] = error.at("error");
    view["complaints"] = error.at("error").value("complaints", Json::array());
  }
  Answer answer = HtmlAnswer("shelf", view, look, status);
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

// Back to the list by GET, so that loading the page again does not save again.
Answer Done() {
  return {303, "", "", {{"Location", "/shelf"}, {"Cache-Control", "no-store"}}};
}

Answer Change(const Context& context, const Question& question) {
  if (context.shelf == nullptr) return Show(context, question, {}, {}, 404);
  auto fields = ReadForm(question);
  if (!fields) return fields.error();
  const std::string_view action = Field(*fields, "action");
  const auto wrong = [&](const query::Trouble& trouble, const Pairs& sent) {
    return Show(context, question, sent, Json::parse(query::TroubleJson(trouble)), 400);
  };
  query::Trouble gone;
  gone.what = "that jar is not on the shelf";
  gone.where = "number";
  gone.expected = "the number of a jar, or none";
  if (action == "remove")
    return context.shelf->Remove(NumberOf(Field(*fields, "number"))) ? Done() : wrong(gone, {});
  if (action == "import") {
    if (auto refused = TooLong(Field(*fields, "file"), kMostShelfLines)) return *refused;
    const auto jars = ReadJars(context.base.catalogue, Field(*fields, "file"));
    if (!jars) return wrong(jars.error(), {});
    return context.shelf->Save(*jars) ? Done() : wrong(gone, {});
  }
  std::erase_if(*fields, [](const auto& field) { return field.first == "action"; });
  const auto jar = ReadJar(context.base.catalogue, *fields);
  if (!jar) return wrong(jar.error(), *fields);
  return context.shelf->Save({*jar}) ? Done() : wrong(gone, *fields);
}

}  // namespace

void AddShelfPages(App& app) {
  AddPage(app, "/shelf", [](const Context& context, const Question& question, const std::string&) {
    const auto params = ReadParams(question);
    return params ? Show(context, question, {}, {}, 200) : params.error();
  });
  app.On("POST", "/shelf", [](const Context& context, const Question& question, const std::string&) {
    return Change(context, question);
  });
}

}  // namespace server
