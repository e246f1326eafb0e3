// What is printed: the sheet of stand-ins for every line, and the weigh sheet.
#include <fmt/format.h>

#include <algorithm>

#include "server/page_bench.h"
#include "server/service_params.h"
#include "server/shelf_json.h"

namespace server {
namespace {

// The formula, or why there is none, as an answer.
tl::expected<query::Params, Answer> Asked(const Context& context, const Question& question) {
  const auto params = ReadParams(question);
  if (!params) return tl::unexpected(params.error());
  const auto text = BenchFormula(context, *params);
  if (!text) return tl::unexpected(Refusal(400, "no formula given", "formula", "a formula: see the bench"));
  query::Params out = WithFormula(*params, *text);
  std::erase_if(out.values, [](const auto& pair) { return pair.second.empty(); });
  return out;
}

Answer ShowSheet(const Context& context, const Question& question) {
  auto params = Asked(context, question);
  if (!params) return params.error();
  params->values.emplace_back("sheet", "true");
  const Told told = Tell(context, "swap", *params);
  if (!told.ok()) return Failed(told);
  if (WantsJson(question)) return JsonAnswer(told.document);
  Json view = told.document;
  for (Json& line : view["lines"]) {
    Json stand_ins = Json::array();
    for (const Json& one : line["stand_ins"]) {
      Json shown = StandInView(one);
      shown["matters"] = one.value("matters", "");
      stand_ins.push_back(std::move(shown));
    }
    line["stand_ins"] = std::move(stand_ins);
    line["verdict_words"] = VerdictWords(line.value("verdict", ""));
    line["swap"] = line.value("verdict", "") == "swap";
    line["level"] = fmt::format("{:g}", line.at("level_pct").get<double>());
  }
  const auto kind = kb::ReadKind(view.value("kind", ""));
  view["kind_words"] = kind ? kb::KindWords(*kind) : view.value("kind", "");
  view["back"] = Href("/bench", {{"formula", *params->formula_text}});
  return HtmlAnswer("sheet", view,
                    {view.value("formula", "") + ": stand-ins", "bench", TwinOf(question), false, false});
}

std::string Grams(double grams, double scale) {
  int digits = 0;
  for (double step = scale; step < 0.99999 && digits < 5; step *= 10) ++digits;
  return fmt::format("{:.{}f}", grams, digits);
}

void AddCost(const Context& context, const query::Params& params, Json& view) {
  const auto formula = query::ReadGivenFormula(context.base.catalogue, params);
  if (!formula) return;
  const auto cost = CostOf(context, *formula);
  if (!cost) return;
  view["cost"] = {{"batch", fmt::format("{:.2f}", cost->per_kg * view.value("batch_g", 0.0) / 1000)},
                  {"covered", fmt::format("{:.0f}", cost->covered_pct)},
                  {"unknown", cost->unknown}};
}

Answer ShowWeigh(const Context& context, const Question& question) {
  auto params = Asked(context, question);
  if (!params) return params.error();
  if (params->Get("batch").empty()) params->values.emplace_back("batch", "500g");
  if (params->Get("scale").empty()) params->values.emplace_back("scale", "0.1g");
  const Told told = Tell(context, "weigh", *params);
  if (!told.ok()) return Failed(told);
  if (WantsJson(question)) return JsonAnswer(told.document);
  Json view = told.document;
  const double scale = view.value("scale_g", 0.1);
  for (Json& phase : view["phases"]) {
    phase["grams"] = Grams(phase.at("grams").get<double>(), scale);
    for (Json& line : phase["lines"]) {
      line["off"] = std::abs(line.value("relative_error", 0.0)) >= 0.01
                        ? fmt::format("{:+.1f} %", 100 * line.value("relative_error", 0.0))
                        : "";
      line["grams"] = Grams(line.at("grams").get<double>(), scale);
    }
  }
  for (Json& caution : view["cautions"]) caution["what"] = Words(caution.value("what", ""));
  view["batch"] = std::string(params->Get("batch"));
  view["scale"] = std::string(params->Get("scale"));
  view["text"] = *params->formula_text;
  view["back"] = Href("/bench", {{"formula", *params->formula_text}});
  AddCost(context, *params, view);
  return HtmlAnswer("weigh", view,
                    {view.value("formula", "") + ": weigh sheet", "bench", TwinOf(question), false, false});
}

void Add(App& app, const std::string& path, Answer (*show)(const Context&, const Question&)) {
  AddPage(app, path, [show](const Context& context, const Question& question, const std::string&) {
    return show(context, question);
  });
  app.On("POST", path, [show](const Context& context, const Question& question, const std::string&) {
    const auto asked = FromForm(question);
    return asked ? show(context, *asked) : asked.error();
  });
}

}  // namespace

void AddPrintPages(App& app) {
  Add(app, "/bench/sheet", ShowSheet);
  Add(app, "/bench/weigh", ShowWeigh);
}

}  // namespace server
