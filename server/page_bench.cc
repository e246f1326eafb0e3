// The bench: a formula, what follows from it, and what stands in for what is missing.
#include "server/page_bench.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "server/form.h"
#include "server/service_params.h"
#include "server/shelf_json.h"

namespace server {
namespace {

constexpr std::size_t kMostMissing = 4;

struct Bench {
  std::string text;
  std::vector<std::string> missing;
  std::optional<kb::Formula> formula;
  Json check, swap;
  Json error;  // of the formula or of the swap
  int status = 200;
};

std::vector<std::string> SomeOf(const query::Params& params, std::string_view name, std::size_t most) {
  std::vector<std::string> all = params.All(name);
  if (all.size() > most) all.resize(most);
  return all;
}

// Drops what stands empty in the form, and what the commands call otherwise.
query::Params SwapParams(const query::Params& params, const Bench& bench) {
  query::Params out = WithFormula(params, bench.text);
  std::erase_if(out.values, [](const auto& pair) {
    return pair.second.empty() || pair.first == "name" || pair.first == "kind" || pair.first == "missing";
  });
  for (const std::string& name : bench.missing) out.values.emplace_back("name", name);
  return out;
}

Bench Work(const Context& context, const query::Params& params, std::string text) {
  Bench bench;
  bench.text = std::move(text);
  bench.missing = SomeOf(params, "missing", kMostMissing);
  query::Params given = WithFormula(params, bench.text);
  std::erase_if(given.values, [](const auto& pair) { return pair.second.empty(); });
  const Told check = Tell(context, "check", given);
  if (!check.ok()) {
    bench.error = check.document;
    bench.status = check.status;
    return bench;
  }
  bench.check = check.document;
  if (auto formula = query::ReadGivenFormula(context.base.catalogue, given))
    bench.formula = std::move(*formula);
  if (bench.missing.empty()) return bench;
  query::Params asked = SwapParams(params, bench);
  if (const auto refused = LimitToShelf(context, asked)) {
    bench.error = Json::parse(refused->body);
    bench.status = refused->status;
    return bench;
  }
  const Told swap = Tell(context, "swap", asked);
  (swap.ok() ? bench.swap : bench.error) = swap.document;
  bench.status = swap.status;
  return bench;
}

Json LinesView(const kb::Catalogue& catalogue, const Bench& bench) {
  Json out = Json::array();
  if (!bench.formula) return out;
  std::vector<kb::IngredientIx> missing;
  for (const std::string& name : bench.missing) {
    if (const auto found = catalogue.FindName(name)) missing.push_back(found->ingredient);
  }
  for (const kb::FormulaLine& line : bench.formula->lines) {
    const kb::Ingredient& item = catalogue.at(line.ingredient);
    out.push_back({{"number", out.size() + 1},
                   {"phase", bench.formula->phases[line.phase]},
                   {"id", item.id},
                   {"name", item.name},
                   {"inci", item.inci},
                   {"pct", line.pct},
                   {"rest", line.rest},
                   {"missing", std::find(missing.begin(), missing.end(), line.ingredient) != missing.end()}});
  }
  return out;
}

Json RuledOutView(const kb::Catalogue& catalogue, const Json& ruled_out, const query::Params& params) {
  std::vector<std::string> asked;
  for (const std::string& name : params.All("why_not")) {
    if (const auto found = catalogue.FindName(name)) asked.push_back(catalogue.at(found->ingredient).id);
  }
  Json answers = Json::array();
  Json others = Json::array();
  for (const Json& one : ruled_out) {
    const bool wanted = std::find(asked.begin(), asked.end(), one.at("id").get<std::string>()) != asked.end();
    (wanted ? answers : others).push_back(one);
  }
  return {{"answers", answers}, {"others", others}};
}

// An asked-for ingredient that does stand in is named as such.
void NameAccepted(const kb::Catalogue& catalogue, const query::Params& params, Json& swap) {
  Json accepted = Json::array();
  for (const std::string& name : params.All("why_not")) {
    const auto found = catalogue.FindName(name);
    if (!found) continue;
    for (const Json& stand_in : swap["stand_ins"]) {
      if (stand_in.at("id") == catalogue.at(found->ingredient).id)
        accepted.push_back({{"name", catalogue.at(found->ingredient).name}, {"rank", stand_in.at("rank")}});
    }
  }
  swap["accepted"] = std::move(accepted);
}

Json SwapView(const kb::Catalogue& catalogue, const Json& swap, const query::Params& params) {
  Json view = swap;
  if (swap.contains("each")) {  // several are missing
    for (Json& one : view["each"]) {
      Json stand_ins = Json::array();
      for (const Json& stand_in : one["stand_ins"]) {
        if (stand_ins.size() < 3) stand_ins.push_back(StandInView(stand_in));
      }
      one["stand_ins"] = std::move(stand_ins);
      const auto ix = catalogue.FindId(one["missing"].value("id", ""));
      one["missing"]["name"] = ix ? catalogue.at(*ix).name : one["missing"].value("inci", "");
      one["verdict"] = VerdictWords(one.value("verdict", ""));
    }
    view["bars"] = PhaseBars(swap.at("changes"));
    view["changes"] = ChangesView(swap.at("changes"));
    if (swap.contains("rebalanced")) view["rebalanced"] = RebalancedView(swap["rebalanced"]);
    view["several"] = true;
    return view;
  }
  Json stand_ins = Json::array();
  for (const Json& one : swap.at("stand_ins")) stand_ins.push_back(StandInView(one));
  if (!stand_ins.empty()) stand_ins[0]["first"] = true;
  view["stand_ins"] = std::move(stand_ins);
  view["verdict"] = VerdictWords(swap.at("verdict").get<std::string>());
  view["do_not"] = swap.at("verdict") == "do-not-swap";
  for (Json& role : view["roles"])
    role["percent"] = fmt::format("{:.0f} %", 100 * role["weight"].get<double>());
  view["ruled"] = RuledOutView(catalogue, swap.at("ruled_out"), params);
  NameAccepted(catalogue, params, view);
  view["one"] = true;
  return view;
}

Json DemosView(const kb::Catalogue& catalogue) {
  Json out = Json::array();
  for (const kb::SavedFormula& formula : catalogue.formulas()) {
    if (formula.folder == "demo") out.push_back({{"id", formula.id}, {"name", FormulaName(formula)}});
  }
  return out;
}

void AddForm(const Context& context, const query::Params& params, Json& view) {
  const kb::Catalogue& catalogue = context.base.catalogue;
  view["demos"] = DemosView(catalogue);
  view["kinds"] = KindChoices(params.Get("kind"));
  view["claims"] = ClaimChoices(catalogue, params.All("keep"));
  view["functions"] = FunctionChoices(catalogue, params.Get("role"));
  view["why_not"] = std::string(params.Get("why_not"));
  view["on_shelf"] = !params.Get("on_shelf").empty();
  view["rebalance"] = params.Get("rebalance") == "1" || params.Get("rebalance") == "true";
  view["shelf"] = context.shelf != nullptr;
  view["took"] = std::string(params.Get("took"));
  view["instead"] = std::string(params.Get("instead"));
}

Answer ShowBench(const Context& context, const Question& question) {
  auto params = ReadParams(question);
  if (!params) return params.error();
  const auto text = BenchFormula(context, *params);
  if (!text) {
    Json view = {{"formula", ""}, {"demos", DemosView(context.base.catalogue)}};
    if (WantsJson(question)) return JsonAnswer(view);
    AddForm(context, *params, view);
    return HtmlAnswer("bench", view, {"bench", "bench", TwinOf(question), false, true});
  }
  const Bench bench = Work(context, *params, *text);
  Json view = {{"formula", bench.text}, {"lines", LinesView(context.base.catalogue, bench)}};
  if (bench.check.is_object()) view["check"] = bench.check;
  if (bench.swap.is_object()) view["swap"] = bench.swap;
  if (bench.error.is_object()) view["error"] = bench.error.at("error");
  if (WantsJson(question)) return JsonAnswer(view, bench.status);
  AddForm(context, *params, view);
  if (bench.check.is_object()) view["check"] = CheckView(context, bench.check, bench.formula);
  if (bench.swap.is_object()) view["swap"] = SwapView(context.base.catalogue, bench.swap, *params);
  if (bench.error.is_object()) {
    Pairs others = question.query;
    std::erase_if(others, [](const auto& pair) { return pair.first == "formula" || pair.first == "demo"; });
    view["complaints"] = ComplaintsView(bench.error["error"], bench.text, others);
  }
  view["title"] = bench.formula ? bench.formula->name : "";
  view["csv_href"] = Href("/bench.csv", {{"formula", bench.text}});
  view["short"] = view["csv_href"].get<std::string>().size() < kLongestAddress;
  const std::string title = bench.formula && !bench.formula->name.empty() ? bench.formula->name : "bench";
  return HtmlAnswer("bench", view, {title, "bench", view["short"] ? TwinOf(question) : "", false, true},
                    bench.status);
}

Answer Download(const Context& context, const Question& question) {
  const auto params = ReadParams(question);
  if (!params) return params.error();
  const auto text = BenchFormula(context, *params);
  if (!text) return Refusal(400, "no formula given", "formula", "a formula: phase, ingredient, percent");
  return {200,
          "text/csv; charset=utf-8",
          *text,
          {{"Content-Disposition", "attachment; filename=\"formula.csv\""}}};
}

using Shower = Answer (*)(const Context&, const Question&);

Answer Posted(const Context& context, const Question& question, Shower show) {
  const auto asked = FromForm(question);
  return asked ? show(context, *asked) : asked.error();
}

}  // namespace

std::optional<std::string> BenchFormula(const Context& context, const query::Params& params) {
  const std::string_view text = params.Get("formula");
  if (!text.empty()) return std::string(text);
  const std::string_view demo = params.Get("demo");
  if (demo.empty()) return std::nullopt;
  for (const char* folder : {"demo", "typical"}) {
    if (const auto* formula = context.base.catalogue.FindFormula(folder, demo)) return formula->text;
  }
  return std::nullopt;
}

query::Params WithFormula(const query::Params& params, const std::string& text) {
  query::Params out;
  for (const auto& pair : params.values) {
    if (pair.first != "formula" && pair.first != "demo") out.values.push_back(pair);
  }
  out.formula_text = text;
  out.formula_name = "formula";
  return out;
}

tl::expected<Question, Answer> FromForm(const Question& question) {
  auto fields = ReadForm(question);
  if (!fields) return tl::unexpected(fields.error());
  Question asked = question;
  asked.query.clear();
  std::string file;
  for (auto& [name, value] : *fields) {
    if (name == "file") {
      file = std::move(value);
    } else if (!value.empty()) {
      asked.query.emplace_back(name, std::move(value));
    }
  }
  if (!file.empty()) {
    std::erase_if(asked.query,
                  [](const auto& pair) { return pair.first == "formula" || pair.first == "demo"; });
    asked.query.emplace_back("formula", std::move(file));
  }
  const std::string address = Href(question.path, asked.query);
  if (address.size() < kLongestAddress)
    return tl::unexpected(Answer{303, "", "", {{"Location", address}, {"Cache-Control", "no-store"}}});
  return asked;
}

void AddBenchPages(App& app) {
  AddPage(app, "/bench", [](const Context& context, const Question& question, const std::string&) {
    return ShowBench(context, question);
  });
  app.On("POST", "/bench", [](const Context& context, const Question& question, const std::string&) {
    return Posted(context, question, ShowBench);
  });
  app.On("GET", "/bench.csv", [](const Context& context, const Question& question, const std::string&) {
    return Download(context, question);
  });
  app.On("POST", "/bench.csv", [](const Context& context, const Question& question, const std::string&) {
    return Posted(context, question, Download);
  });
}

}  // namespace server
