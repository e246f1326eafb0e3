#include "query/render_sheet.h"

#include <fmt/format.h>

#include <algorithm>

#include "query/render.h"
#include "query/swap_json.h"

namespace query {
namespace {

constexpr std::string_view kSheetStyle =
    "body{font:11pt/1.4 serif;margin:2em auto;max-width:60em;padding:0 "
    "1em}table{border-collapse:collapse;width:100%}"
    "th,td{border-bottom:1px solid #888;padding:.3em "
    ".6em;text-align:left;vertical-align:top}td.n{text-align:right}"
    "@media print{body{margin:0}tr{break-inside:avoid}}";

std::string Amount(const kb::FormulaLine& line) {
  return line.rest ? fmt::format("q.s. ({:.1f})", line.pct) : fmt::format("{:g}", line.pct);
}

// Every sign that could mean something is escaped (CommonMark 0.31, section 2.4; the bar: GitHub Flavored Markdown, section 4.10).
std::string MarkdownWords(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("\\`*_[]<>&|#~").find(c) != std::string_view::npos) out += '\\';
    out += c == '\n' || c == '\r' ? ' ' : c;
  }
  return out;
}

}  // namespace

std::string SheetText(const Catalogue& catalogue, const Sheet& sheet, std::size_t width) {
  std::string out =
      fmt::format("Stand-ins for {} ({})\n", sheet.formula.name, kb::KindWords(sheet.formula.kind));
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    out += Wrapped(
        fmt::format("\n{} {} {} %{}", sheet.formula.phases[line.phase], catalogue.at(line.ingredient).name,
                    Amount(line), item.role.empty() ? "" : " - " + item.role),
        width, 0);
    if (item.verdict != "swap") out += Wrapped(item.because, width, 4);
    for (const StandIn& stand_in : item.stand_ins) {
      out += Wrapped(fmt::format("{}: {}", BlendWords(catalogue, stand_in), ChangeThatMatters(stand_in)),
                     width, 4);
    }
  }
  return out + "\n" + Wrapped(kSheetCaution, width, 0);
}

std::string SheetMarkdown(const Catalogue& catalogue, const Sheet& sheet) {
  std::string out = fmt::format("# Stand-ins for {}\n\n{}\n\n", MarkdownWords(sheet.formula.name),
                                kb::KindWords(sheet.formula.kind));
  out += "| phase | ingredient | % | stand-in | what changes |\n|---|---|---|---|---|\n";
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    const std::string head = fmt::format("| {} | {} | {} |", MarkdownWords(sheet.formula.phases[line.phase]),
                                         MarkdownWords(catalogue.at(line.ingredient).name), Amount(line));
    if (item.stand_ins.empty()) out += fmt::format("{} none | {} |\n", head, MarkdownWords(item.because));
    for (std::size_t i = 0; i < item.stand_ins.size(); ++i) {
      out += fmt::format("{} {} | {} |\n", i == 0 ? head : "| | | |",
                         MarkdownWords(BlendWords(catalogue, item.stand_ins[i])),
                         MarkdownWords(ChangeThatMatters(item.stand_ins[i])));
    }
  }
  return out + fmt::format("\n{}\n", kSheetCaution);
}

std::string SheetHtml(const Catalogue& catalogue, const Sheet& sheet) {
  std::string out = fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
      "content=\"width=device-width\">\n"
      "<title>Stand-ins for {0}</title>\n<style>{1}</style>\n<h1>Stand-ins for "
      "{0}</h1>\n<p>{2}</p>\n<table>\n<thead><tr>"
      "<th>Phase</th><th>Ingredient</th><th>%</th><th>Stand-in</th><th>What "
      "changes</th></tr></thead>\n<tbody>\n",
      Escaped(sheet.formula.name), kSheetStyle, Escaped(kb::KindWords(sheet.formula.kind)));
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    const std::size_t rows = std::max<std::size_t>(item.stand_ins.size(), 1);
    std::string head = fmt::format(
        "<td rowspan=\"{0}\">{1}</td><td rowspan=\"{0}\">{2}</td><td class=\"n\" rowspan=\"{0}\">{3}</td>",
        rows, Escaped(sheet.formula.phases[line.phase]), Escaped(catalogue.at(line.ingredient).name),
        Amount(line));
    if (item.stand_ins.empty())
      out += fmt::format("<tr>{}<td>none</td><td>{}</td></tr>\n", head, Escaped(item.because));
    for (const StandIn& stand_in : item.stand_ins) {
      out += fmt::format("<tr>{}<td>{}</td><td>{}</td></tr>\n", head,
                         Escaped(BlendWords(catalogue, stand_in)), Escaped(ChangeThatMatters(stand_in)));
      head.clear();
    }
  }
  return out + fmt::format("</tbody>\n</table>\n<p>{}</p>\n</html>\n", kSheetCaution);
}

}  // namespace query
