// `place`: the question written out, as JSON or as text.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "query/facts.h"
#include "query/place_request.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

using Json = nlohmann::json;

double Round(double value, double steps) {
  return std::round(value * steps) / steps;
}

std::string PlaceJson(const kb::Catalogue& catalogue, const Placement& answer, const PlaceAsked& asked) {
  Json second = Json::array();
  for (const SecondPlace& item : answer.second)
    second.push_back({{"position", PositionId(item.position)},
                      {"because", item.because},
                      {"share", Round(item.share, 1000)}});
  Json ask = Json::array();
  for (const BenchAsk& item : answer.ask) {
    ask.push_back({{"fact", item.fact},
                   {"bench_test", item.bench_test},
                   {"results", item.results},
                   {"bits", Round(item.bits, 100)}});
  }
  Json setting = {{"kind", kb::KindName(asked.question.formula.kind)},
                  {"typical", asked.typical},
                  {"text", asked.question.setting}};
  if (!asked.typical) setting["formula"] = asked.question.setting;
  Json document = {{"what", answer.what},
                   {"position", PositionId(answer.position)},
                   {"method", answer.method},
                   {"min_c", Round(answer.min_c, 10)},
                   {"max_c", Round(answer.max_c, 10)},
                   {"because", answer.because},
                   {"against", answer.against},
                   {"watch", answer.watch},
                   {"second", std::move(second)},
                   {"ask", std::move(ask)},
                   {"confidence", Round(answer.confidence, 1000)},
                   {"level_pct", Round(answer.level_pct, 10000)},
                   {"level_because", answer.level_because},
                   {"fits", answer.fits},
                   {"setting", std::move(setting)},
                   {"sources", answer.sources}};
  if (answer.stands_c) document["stands_c"] = *answer.stands_c;
  if (answer.ingredient) {
    document["id"] = catalogue.at(*answer.ingredient).id;
    document["inci"] = catalogue.at(*answer.ingredient).inci;
  }
  if (!asked.taken_for.empty()) document["taken_for"] = asked.taken_for;
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

void AddList(std::string& out, std::string_view heading, const std::vector<std::string>& list,
             std::size_t width) {
  if (list.empty()) return;
  out += fmt::format("{}\n", heading);
  for (const std::string& text : list) out += Wrapped("- " + text, width, 2);
}

std::string PlaceText(const kb::Catalogue& catalogue, const Placement& answer, const PlaceAsked& asked,
                      const Look& look) {
  std::string out;
  if (!asked.taken_for.empty()) out += fmt::format("Taken for {}.\n", asked.taken_for);
  const std::string name = answer.ingredient ? NameAndInci(catalogue, *answer.ingredient) : answer.what;
  out += Wrapped(fmt::format("{}, {:.3g} % ({}) in {}", name, answer.level_pct, answer.level_because,
                             asked.question.setting),
                 look.width, 0);
  out += Wrapped(fmt::format("> {}, {:.0f} to {:.0f} C   confidence {:.0f} %", answer.where, answer.min_c,
                             answer.max_c, 100 * answer.confidence),
                 look.width, 0);
  out += Wrapped(answer.method, look.width, 2);
  AddList(out, "Because", answer.because, look.width);
  AddList(out, "Against it", answer.against, look.width);
  if (!answer.second.empty()) out += "Second best\n";
  for (const SecondPlace& item : answer.second)
    out += Wrapped(fmt::format("- {}: {}", PositionWords(item.position), item.because), look.width, 2);
  for (const BenchAsk& item : answer.ask) {
    out += Wrapped(fmt::format("To be sure, find out: {}", item.fact), look.width, 0);
    out += Wrapped(item.bench_test, look.width, 2);
    for (const std::string& result : item.results) out += Wrapped("- " + result, look.width, 4);
  }
  AddList(out, "Watch", answer.watch, look.width);
  return out;
}

}  // namespace

Asked<Reply> AnswerPlace(const Base& base, const Params& params, Want want, const Look& look) {
  const auto asked = ReadPlaceQuestion(base.catalogue, params);
  if (!asked) return tl::unexpected(asked.error());
  const Placement answer = Place(base.catalogue, asked->question);
  return Reply{want == Want::kJson ? PlaceJson(base.catalogue, answer, *asked)
                                   : PlaceText(base.catalogue, answer, *asked, look),
               true};
}

}  // namespace query
