#include "server/view.h"

#include <fmt/format.h>

#include <kainjow/mustache.hpp>

#include "server/texts.h"

namespace server {
namespace {

namespace mustache = kainjow::mustache;

mustache::data ToData(const Json& value) {
  switch (value.type()) {
    case Json::value_t::object: {
      mustache::data out(mustache::data::type::object);
      for (const auto& [name, item] : value.items()) {
        out.set(name, ToData(item));
        if (item.is_array()) out.set("any_" + name, mustache::data(!item.empty()));
      }
      return out;
    }
    case Json::value_t::array: {
      mustache::data out(mustache::data::type::list);
      for (const Json& item : value) out.push_back(ToData(item));
      return out;
    }
    case Json::value_t::string: {
      const auto& text = value.get_ref<const std::string&>();
      return text.empty() ? mustache::data(false) : mustache::data(text);
    }
    case Json::value_t::boolean:
      return mustache::data(value.get<bool>());
    case Json::value_t::number_integer:
    case Json::value_t::number_unsigned:
    case Json::value_t::number_float:
      return mustache::data(fmt::format("{:.6g}", value.get<double>()));
    default:
      return mustache::data(false);
  }
}

void AddParts(mustache::data& view) {
  for (const char* part :
       {"stand_in", "changes", "facts", "findings", "complaints", "search", "bars", "rebalanced"}) {
    const std::string file = std::string("_") + part + ".mustache";
    if (HasText(file))
      view.set(std::string("part_") + part, mustache::partial([file] { return Text(file); }));
  }
}

bool IsPlain(char c) {
  return (c >= '0' && c <= '9') || ((c | 0x20) >= 'a' && (c | 0x20) <= 'z') || c == '-' || c == '.' ||
         c == '_' || c == '~';
}

}  // namespace

std::string Fill(std::string_view name, const Json& view) {
  mustache::mustache page(Text(std::string(name) + ".mustache"));
  if (!page.is_valid()) throw std::logic_error("a page's template is wrong");
  mustache::data data = ToData(view);
  AddParts(data);
  return page.render(data);
}

Answer HtmlAnswer(std::string_view name, const Json& view, const PageLook& look, int status) {
  const Json shell = {{"title", look.title},
                      {"twin", look.twin},
                      {"script_find", look.script_find},
                      {"script_bench", look.script_bench},
                      {"tab_find", look.tab == "find"},
                      {"tab_bench", look.tab == "bench"},
                      {"tab_place", look.tab == "place"},
                      {"tab_compare", look.tab == "compare"},
                      {"tab_shelf", look.tab == "shelf"},
                      {"body", Fill(name, view)}};
  Answer answer;
  answer.status = status;
  answer.type = "text/html; charset=utf-8";
  answer.body = Fill("layout", shell);
  return answer;
}

Answer JsonAnswer(const Json& twin, int status) {
  Answer answer;
  answer.status = status;
  answer.body = twin.dump(2, ' ', false, Json::error_handler_t::replace);
  return answer;
}

Answer ForReader(const Question& question, Answer answer) {
  const bool reads_pages = question.accept.find("text/html") != std::string::npos &&
                           !question.path.starts_with("/api/") && !question.path.ends_with(".json");
  if (answer.status < 400 || !reads_pages || !answer.type.starts_with("application/json")) return answer;
  Answer page =
      HtmlAnswer("error", Json::parse(answer.body), {"not answered", "", "", false, false}, answer.status);
  page.headers = std::move(answer.headers);
  return page;
}

bool WantsJson(const Question& question) {
  return question.path.ends_with(".json") || (question.accept.find("application/json") != std::string::npos &&
                                              question.accept.find("text/html") == std::string::npos);
}

std::string PercentEncoded(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (IsPlain(c)) {
      out += c;
    } else {
      out += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return out;
}

std::string Href(std::string_view path, const Pairs& pairs) {
  std::string out(path);
  char mark = '?';
  for (const auto& [name, value] : pairs) {
    if (value.empty()) continue;
    out += mark + PercentEncoded(name) + '=' + PercentEncoded(value);
    mark = '&';
  }
  return out;
}

std::string TwinOf(const Question& question) {
  const std::string path = question.path == "/" ? "/find" : question.path;
  return Href(path + ".json", question.query);
}

}  // namespace server
