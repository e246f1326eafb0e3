#include "query/render.h"

namespace query {

std::string Wrapped(std::string_view text, std::size_t width, std::size_t indent) {
  std::string out;
  std::string line(indent, ' ');
  bool empty = true;
  while (!text.empty()) {
    const std::size_t end = text.find(' ');
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (word.empty()) continue;
    if (!empty && line.size() + 1 + word.size() > width) {
      out += line + '\n';
      line.assign(indent + 2, ' ');
      empty = true;
    }
    if (!empty) line += ' ';
    line += word;
    empty = false;
  }
  return out + line + '\n';
}

}  // namespace query
