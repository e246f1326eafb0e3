// From an answer's JSON to a page: the templates of server/pages, filled. Includes the JSON library: for .cc files only.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "server/exchange.h"

namespace server {

using Json = nlohmann::json;

// Fills pages/<name>.mustache. Text is escaped; numbers are written with six digits; "", null and empty lists are false. Each list has a
// companion "any_<name>" that is true where it holds something. Files that begin with "_" are parts: {{>part_stand_in}} is _stand_in.
std::string Fill(std::string_view name, const Json& view);

struct PageLook {
  std::string title;  // "" for the front page
  std::string tab;    // find, bench, place, compare, shelf: which one the navigation marks
  std::string twin;   // address of the same page as JSON
  bool script_find = false, script_bench = false;
};

Answer HtmlAnswer(std::string_view name, const Json& view, const PageLook& look, int status = 200);
Answer JsonAnswer(const Json& twin, int status = 200);
// An error document as a page, for those who read pages; any other answer as it is.
Answer ForReader(const Question& question, Answer answer);

// Does the question want the twin: by ".json" at the end of its path, or by what it accepts?
bool WantsJson(const Question& question);

// "/find?q=a%20b&keep=vegan"; pairs with an empty value are left out.
std::string Href(std::string_view path, const Pairs& pairs);
std::string PercentEncoded(std::string_view text);
// The address of the same page as JSON.
std::string TwinOf(const Question& question);

}  // namespace server
