#include "query/render.h"

#include <algorithm>
#include <vector>

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

namespace {

// Columns that a text takes: letters, not bytes.
std::size_t Columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; }));
}

// The lines of a cell; a word longer than the column is broken where it must be.
std::vector<std::string> CellLines(std::string_view text, std::size_t width) {
  std::vector<std::string> lines(1);
  while (!text.empty()) {
    const std::size_t end = text.find(' ');
    std::string_view word = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (!lines.back().empty() && Columns(lines.back()) + 1 + Columns(word) > width) lines.emplace_back();
    if (!lines.back().empty()) lines.back() += ' ';
    while (Columns(word) > width) {
      std::size_t cut = width;
      while (cut > 1 && (static_cast<unsigned char>(word[cut]) & 0xC0U) == 0x80) --cut;
      lines.back() += word.substr(0, cut);
      word.remove_prefix(cut);
      lines.emplace_back();
    }
    lines.back() += word;
  }
  return lines;
}

}  // namespace

std::string TableLine(const std::vector<std::string>& cells, const std::vector<std::size_t>& widths,
                      std::size_t indent) {
  std::vector<std::vector<std::string>> columns;
  std::size_t height = 1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    columns.push_back(CellLines(cells[i], widths[i] - 1));
    height = std::max(height, columns.back().size());
  }
  std::string out;
  for (std::size_t row = 0; row < height; ++row) {
    std::string line(indent, ' ');
    for (std::size_t i = 0; i < columns.size(); ++i) {
      const std::string cell = row < columns[i].size() ? columns[i][row] : "";
      line += cell + std::string(widths[i] - Columns(cell), ' ');
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out += line + '\n';
  }
  return out;
}

std::string Escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

}  // namespace query
