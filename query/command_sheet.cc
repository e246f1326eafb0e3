// `swap --sheet` and `swap A B`: many stand-ins on one page.
#include <fmt/format.h>

#include <algorithm>

#include "query/render.h"
#include "query/service.h"
#include "query/sheet.h"
#include "query/swap_json.h"

namespace query {
namespace {

using Json = nlohmann::json;

constexpr std::string_view kSheetCaution =
    "Start with a small batch. Measure the pH, and have a changed formula that holds water challenge-tested "
    "before sale "
    "(ISO 11930). Sun protection cannot be swapped. Limits differ by country: check the local code.";

std::string Amount(const kb::FormulaLine& line) {
  return line.rest ? fmt::format("q.s. ({:.1f})", line.pct) : fmt::format("{:g}", line.pct);
}

Json SheetJson(const Catalogue& catalogue, const Sheet& sheet) {
  Json lines = Json::array();
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    Json stand_ins = Json::array();
    for (std::size_t i = 0; i < item.stand_ins.size(); ++i) {
      Json one = StandInJson(catalogue, item.stand_ins[i], i + 1);
      one["matters"] = ChangeThatMatters(item.stand_ins[i]);
      stand_ins.push_back(std::move(one));
    }
    lines.push_back({{"phase", sheet.formula.phases[line.phase]},
                     {"id", catalogue.at(line.ingredient).id},
                     {"inci", catalogue.at(line.ingredient).inci},
                     {"name", catalogue.at(line.ingredient).name},
                     {"level_pct", line.pct},
                     {"role", item.role},
                     {"verdict", item.verdict},
                     {"because", item.because},
                     {"stand_ins", std::move(stand_ins)}});
  }
  return {{"formula", sheet.formula.name},
          {"kind", kb::KindName(sheet.formula.kind)},
          {"lines", std::move(lines)},
          {"caution", kSheetCaution}};
}

std::string SheetText(const Catalogue& catalogue, const Sheet& sheet, const Look& look) {
  std::string out =
      fmt::format("Stand-ins for {} ({})\n", sheet.formula.name, kb::KindWords(sheet.formula.kind));
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    out += Wrapped(
        fmt::format("\n{} {} {} %{}", sheet.formula.phases[line.phase], catalogue.at(line.ingredient).name,
                    Amount(line), item.role.empty() ? "" : " - " + item.role),
        look.width, 0);
    if (item.verdict != "swap") out += Wrapped(item.because, look.width, 4);
    for (const StandIn& stand_in : item.stand_ins) {
      out += Wrapped(fmt::format("{}: {}", BlendWords(catalogue, stand_in), ChangeThatMatters(stand_in)),
                     look.width, 4);
    }
  }
  return out + "\n" + Wrapped(kSheetCaution, look.width, 0);
}

std::string MarkdownCell(std::string text) {
  for (std::size_t at = 0; (at = text.find('|', at)) != std::string::npos; at += 2) text.insert(at, "\\");
  return text;
}

std::string SheetMarkdown(const Catalogue& catalogue, const Sheet& sheet) {
  std::string out =
      fmt::format("# Stand-ins for {}\n\n{}\n\n", sheet.formula.name, kb::KindWords(sheet.formula.kind));
  out += "| phase | ingredient | % | stand-in | what changes |\n|---|---|---|---|---|\n";
  for (const SheetLine& item : sheet.lines) {
    const kb::FormulaLine& line = sheet.formula.lines[item.line];
    const std::string head = fmt::format("| {} | {} | {} |", MarkdownCell(sheet.formula.phases[line.phase]),
                                         MarkdownCell(catalogue.at(line.ingredient).name), Amount(line));
    if (item.stand_ins.empty()) out += fmt::format("{} none | {} |\n", head, MarkdownCell(item.because));
    for (std::size_t i = 0; i < item.stand_ins.size(); ++i) {
      out += fmt::format("{} {} | {} |\n", i == 0 ? head : "| | | |",
                         MarkdownCell(BlendWords(catalogue, item.stand_ins[i])),
                         MarkdownCell(ChangeThatMatters(item.stand_ins[i])));
    }
  }
  return out + fmt::format("\n{}\n", kSheetCaution);
}

constexpr std::string_view kSheetStyle =
    "body{font:11pt/1.4 serif;margin:2em auto;max-width:60em;padding:0 "
    "1em}table{border-collapse:collapse;width:100%}"
    "th,td{border-bottom:1px solid #888;padding:.3em "
    ".6em;text-align:left;vertical-align:top}td.n{text-align:right}"
    "@media print{body{margin:0}tr{break-inside:avoid}}";

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

Json SeveralJson(const Catalogue& catalogue, const SeveralAnswer& answer) {
  Json missing = Json::array();
  for (const SwapAnswer& one : answer.each) {
    const kb::Ingredient& item = catalogue.at(one.missing);
    Json stand_ins = Json::array();
    for (std::size_t i = 0; i < one.stand_ins.size(); ++i)
      stand_ins.push_back(StandInJson(catalogue, one.stand_ins[i], i + 1));
    missing.push_back({{"missing", {{"id", item.id}, {"inci", item.inci}, {"level_pct", one.level_pct}}},
                       {"verdict", one.verdict},
                       {"because", one.because},
                       {"stand_ins", std::move(stand_ins)}});
  }
  return {{"each", std::move(missing)},
          {"complete", answer.complete},
          {"changes", ChangesJson(answer.changes)},
          {"formula", kb::WriteFormula(catalogue, answer.after)}};
}

std::string SeveralText(const Catalogue& catalogue, const SeveralAnswer& answer, const Look& look) {
  std::string out;
  for (const SwapAnswer& one : answer.each) {
    out += Wrapped(
        fmt::format("{} {:g} %: {}", catalogue.at(one.missing).name, one.level_pct,
                    one.stand_ins.empty() ? one.because : BlendWords(catalogue, one.stand_ins.front())),
        look.width, 0);
    for (std::size_t i = 1; i < std::min<std::size_t>(one.stand_ins.size(), 3); ++i) {
      out += Wrapped("or " + BlendWords(catalogue, one.stand_ins[i]), look.width, 4);
    }
  }
  out += "Together:\n";
  for (const Change& change : answer.changes) out += Wrapped("- " + change.text, look.width, 2);
  return out + "\n" + kb::WriteFormula(catalogue, answer.after);
}

}  // namespace

Asked<Reply> AnswerSheet(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  auto keep = ReadClaims(base.catalogue, params);
  if (!keep) return tl::unexpected(keep.error());
  const std::string_view format = params.Get("format");
  if (!format.empty() && format != "text" && format != "markdown" && format != "html") {
    return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                  fmt::format("'{}' is no format", format),
                                  "format",
                                  "text, markdown or html",
                                  {},
                                  {}});
  }
  const Sheet sheet = MakeSheet(base.catalogue, *formula, *keep);
  if (want == Want::kJson)
    return Reply{SheetJson(base.catalogue, sheet).dump(2, ' ', false, Json::error_handler_t::replace), true};
  if (format == "markdown") return Reply{SheetMarkdown(base.catalogue, sheet), true};
  if (format == "html") return Reply{SheetHtml(base.catalogue, sheet), true};
  return Reply{SheetText(base.catalogue, sheet, look), true};
}

Asked<Reply> AnswerSeveral(const Base& base, const Params& params, Want want, const Look& look) {
  if (!params.formula_text) {
    return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                  "several ingredients, and no formula",
                                  "name",
                                  "a formula that they stand in (--in FILE)",
                                  {},
                                  {}});
  }
  std::vector<kb::IngredientIx> missing;
  std::optional<SwapAsked> first;
  for (const std::string& name : params.All("name")) {
    Params one = params;
    std::erase_if(one.values, [](const auto& value) { return value.first == "name"; });
    one.values.emplace_back("name", name);
    auto asked = ReadSwapQuestion(base.catalogue, one);
    if (!asked) return tl::unexpected(asked.error());
    missing.push_back(asked->question.formula.lines[asked->question.line].ingredient);
    if (!first) first = std::move(*asked);
  }
  const SeveralAnswer answer = SwapSeveral(base.catalogue, first->question, missing);
  Reply reply;
  reply.found = answer.complete;
  reply.body = want == Want::kJson
                   ? SeveralJson(base.catalogue, answer).dump(2, ' ', false, Json::error_handler_t::replace)
                   : SeveralText(base.catalogue, answer, look);
  return reply;
}

}  // namespace query
