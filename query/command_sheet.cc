// `swap --sheet` and `swap A B`: many stand-ins on one page.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "query/render.h"
#include "query/render_sheet.h"
#include "query/service.h"
#include "query/sheet.h"
#include "query/swap_json.h"
#include "query/swap_rebalance.h"

namespace query {
namespace {

using Json = nlohmann::json;

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
  Json out = {{"each", std::move(missing)},
              {"complete", answer.complete},
              {"changes", ChangesJson(answer.changes)},
              {"formula", kb::WriteFormula(catalogue, answer.after)}};
  if (answer.rebalanced) out["rebalanced"] = RebalancedJson(catalogue, *answer.rebalanced);
  return out;
}

std::string SeveralText(const Catalogue& catalogue, const SeveralAnswer& answer, const Look& look) {
  constexpr std::size_t kEach = 3;
  std::string out;
  for (const SwapAnswer& one : answer.each) {
    std::string verdict = one.verdict;
    std::replace(verdict.begin(), verdict.end(), '-', ' ');
    out += Wrapped(
        fmt::format("Out of stock: {} {:g} %, here {}. Verdict: {}{}{}", catalogue.at(one.missing).name,
                    one.level_pct, catalogue.function(one.role).name, verdict,
                    one.verdict == "swap" ? "" : ". ", one.verdict == "swap" ? "" : one.because),
        look.width, 0);
    for (std::size_t i = 0; i < std::min(one.stand_ins.size(), kEach); ++i) {
      const StandIn& item = one.stand_ins[i];
      out += Wrapped(fmt::format("{} {} (likeness {:.2f}): {}", i == 0 ? "take" : "or  ",
                                 BlendWords(catalogue, item), item.likeness, ChangeThatMatters(item)),
                     look.width, 4);
    }
    if (one.stand_ins.empty()) continue;
    for (const std::string& text : one.stand_ins.front().handling)
      out += Wrapped("do: " + text, look.width, 9);
    out += "\n";
  }
  out += "With the first of each:\n";
  if (answer.rebalanced) {
    for (const std::string& words : RebalanceWords(catalogue, *answer.rebalanced))
      out += Wrapped(words, look.width, 2);
  }
  for (const Change& change : answer.changes) out += Wrapped("- " + change.text, look.width, 2);
  std::set<std::string> cautions;
  for (const SwapAnswer& one : answer.each) {
    if (one.stand_ins.empty()) continue;
    for (const std::string& caution : one.stand_ins.front().cautions) {
      if (cautions.insert(caution).second) out += Wrapped("caution: " + caution, look.width, 2);
    }
  }
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
  const auto rebalance = ReadFlag(params, "rebalance");
  if (!rebalance) return tl::unexpected(rebalance.error());
  if (*rebalance) {
    return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                  "a sheet names stand-ins for many lines, and no one formula to rebalance",
                                  "rebalance",
                                  "one swap: stillroom swap NAME --in FILE --rebalance",
                                  {},
                                  {}});
  }
  const Sheet sheet = MakeSheet(base.catalogue, *formula, *keep);
  if (want == Want::kJson)
    return Reply{SheetJson(base.catalogue, sheet).dump(2, ' ', false, Json::error_handler_t::replace), true};
  if (format == "markdown") return Reply{SheetMarkdown(base.catalogue, sheet), true};
  if (format == "html") return Reply{SheetHtml(base.catalogue, sheet), true};
  return Reply{SheetText(base.catalogue, sheet, look.width), true};
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
