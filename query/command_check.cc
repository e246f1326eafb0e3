// `check`: the assessment of a formula, as the contract's JSON and as text, worst first.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "query/assess.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

using Json = nlohmann::json;

Json Maybe(const std::optional<double>& value) {
  return value ? Json(std::round(*value * 1e4) / 1e4) : Json(nullptr);
}

Json Ids(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& ingredients) {
  Json out = Json::array();
  for (const kb::IngredientIx ix : ingredients) out.push_back(catalogue.at(ix).id);
  return out;
}

Json LineIds(const kb::Catalogue& catalogue, const kb::Formula& formula,
             const std::vector<std::size_t>& lines) {
  Json out = Json::array();
  for (const std::size_t line : lines) out.push_back(catalogue.at(formula.lines[line].ingredient).id);
  return out;
}

Json CompositionJson(const Assessment& a) {
  Json substances = Json::array();
  for (const Substance& item : a.substances) substances.push_back({{"inci", item.inci}, {"pct", item.pct}});
  const Composition& c = a.composition;
  return {{"water_pct", c.water},
          {"oil_pct", c.oils},
          {"emulsifier_pct", c.emulsifiers},
          {"humectant_pct", c.humectants},
          {"surfactant_active_pct", c.surfactant_active},
          {"electrolyte_pct", c.electrolytes},
          {"alcohol_pct", c.alcohol},
          {"glycol_pct", c.glycols},
          {"not_sorted", c.not_sorted},
          {"substances", std::move(substances)}};
}

Json EmulsionJson(const Emulsion& e) {
  return {{"applies", e.applies},
          {"because", e.because},
          {"required_hlb", Maybe(e.required_hlb)},
          {"covered_share", e.covered_share},
          {"not_covered", e.not_covered},
          {"provided_hlb", Maybe(e.provided_hlb)},
          {"provided_share", e.provided_share},
          {"emulsifier_to_oil", Maybe(e.emulsifier_to_oil)}};
}

Json PhJson(const PhEstimate& ph) {
  Json drivers = Json::array();
  for (const PhDriver& driver : ph.drivers) {
    drivers.push_back(
        {{"name", driver.name}, {"buffer_share", driver.buffer_share}, {"shift", driver.shift}});
  }
  Json out = {{"estimate", Maybe(ph.estimate)}, {"low", Maybe(ph.low)},
              {"high", Maybe(ph.high)},         {"used", Maybe(ph.used)},
              {"from_target", ph.from_target},  {"ionic_strength", ph.ionic_strength},
              {"drivers", std::move(drivers)},  {"missing", ph.missing},
              {"because", ph.because}};
  if (ph.adjust)
    out["adjust"] = {{"with", ph.adjust->with}, {"pct", ph.adjust->pct}, {"text", ph.adjust->text}};
  return out;
}

Json PreservationJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const Preservation& p) {
  Json states = Json::array();
  for (const PreservativeState& state : p.preservatives) {
    states.push_back({{"id", catalogue.at(formula.lines[state.line].ingredient).id},
                      {"inci", state.inci},
                      {"pct", state.pct},
                      {"active_share", Maybe(state.active_share)},
                      {"in_window", state.in_window},
                      {"gram_positive", state.gram_positive},
                      {"gram_negative", state.gram_negative},
                      {"yeast", state.yeast},
                      {"mould", state.mould},
                      {"remark", state.remark}});
  }
  return {{"needed", p.needed},
          {"because", p.because},
          {"covered", p.covered},
          {"gaps", p.gaps},
          {"chelator", p.chelator},
          {"water_activity", Maybe(p.water_activity)},
          {"preservatives", std::move(states)}};
}

Json FindingsJson(const kb::Catalogue& catalogue, const std::vector<Finding>& findings) {
  Json out = Json::array();
  for (const Finding& finding : findings) {
    out.push_back({{"severity", SeverityName(finding.severity)},
                   {"topic", finding.topic},
                   {"text", finding.text},
                   {"advice", finding.advice},
                   {"ingredients", Ids(catalogue, finding.ingredients)},
                   {"sources", finding.sources}});
  }
  return out;
}

Json LabelJson(const Label& label) {
  Json allergens = Json::array();
  for (const LabelAllergen& allergen : label.allergens) {
    allergens.push_back({{"inci", allergen.inci},
                         {"pct_low", allergen.pct_low},
                         {"pct_high", allergen.pct_high},
                         {"threshold", allergen.threshold}});
  }
  return {{"inci", label.inci},
          {"pct", label.pct},
          {"one_percent_line", label.one_percent_line},
          {"allergens", std::move(allergens)}};
}

Json CheckJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const Assessment& a) {
  Json phases = Json::array();
  for (const PhaseTotal& phase : a.phases)
    phases.push_back({{"phase", phase.phase}, {"name", phase.name}, {"total_pct", phase.pct}});
  Json solubility = Json::array();
  for (const SolubilityNote& note : a.solubility) {
    solubility.push_back({{"id", catalogue.at(formula.lines[note.line].ingredient).id},
                          {"where", note.where},
                          {"verdict", note.verdict},
                          {"pct", note.pct},
                          {"limit_pct", Maybe(note.limit_pct)},
                          {"text", note.text}});
  }
  Json heat = Json::array();
  for (const HeatNote& note : a.heat) {
    heat.push_back({{"phase", note.phase},
                    {"needs_c", Maybe(note.needs_c)},
                    {"permits_c", Maybe(note.permits_c)},
                    {"needs", LineIds(catalogue, formula, note.needs_lines)},
                    {"permits", LineIds(catalogue, formula, note.permits_lines)},
                    {"text", note.text}});
  }
  Json limits = Json::array();
  for (const LimitUse& use : a.limits) {
    limits.push_back({{"substance", use.substance},
                      {"pct", use.pct},
                      {"max_pct", Maybe(use.max_pct)},
                      {"expressed_as", use.expressed_as},
                      {"entry", use.jurisdiction + " " + use.annex + "/" + use.entry},
                      {"scope", use.scope},
                      {"conditions", use.conditions},
                      {"over", use.over},
                      {"prohibited", use.prohibited},
                      {"source", use.source}});
  }
  Json claims = Json::object();
  for (const ClaimResult& claim : a.claims)
    claims[claim.claim] = {{"state", claim.state}, {"because", claim.because}};
  return {{"formula", formula.name},
          {"kind", kb::KindName(formula.kind)},
          {"total_pct", a.total_pct},
          {"phases", std::move(phases)},
          {"composition", CompositionJson(a)},
          {"emulsion", EmulsionJson(a.emulsion)},
          {"ph", PhJson(a.ph)},
          {"preservation", PreservationJson(catalogue, formula, a.preservation)},
          {"solubility", std::move(solubility)},
          {"heat", std::move(heat)},
          {"limits", std::move(limits)},
          {"claims", std::move(claims)},
          {"findings", FindingsJson(catalogue, a.findings)},
          {"label", LabelJson(a.label)},
          {"unknown", a.unknown}};
}

std::string Bar(double pct) {
  constexpr double kPctPerMark = 2.5;
  return std::string(static_cast<std::size_t>(std::max(0.0, std::round(pct / kPctPerMark))), '#');
}

std::string CheckText(const kb::Formula& formula, const Assessment& a, const Look& look) {
  std::string out =
      Wrapped(fmt::format("{} ({}), {:.2f} %", formula.name, kb::KindWords(formula.kind), a.total_pct),
              look.width, 0);
  for (const PhaseTotal& phase : a.phases) {
    out += fmt::format("  {:<3} {:<10} {:6.2f} %  {}\n", phase.phase, phase.name, phase.pct,
                       look.bars ? Bar(phase.pct) : "");
  }
  for (const Finding& finding : a.findings) {
    std::string text = fmt::format("{}: {}", SeverityName(finding.severity), finding.text);
    if (!finding.advice.empty()) text += fmt::format(" - {}", finding.advice);
    if (!finding.sources.empty()) text += fmt::format(" [{}]", fmt::join(finding.sources, ", "));
    out += Wrapped(text, look.width, 0);
  }
  const Composition& c = a.composition;
  out += Wrapped(fmt::format("water {:.1f} %, oils {:.1f} %, emulsifiers {:.1f} %, humectants {:.1f} %, "
                             "active surfactant {:.1f} %",
                             c.water, c.oils, c.emulsifiers, c.humectants, c.surfactant_active),
                 look.width, 0);
  if (a.emulsion.required_hlb) {
    std::string text = fmt::format("required HLB {:.1f} from {:.0f} % of the oil phase",
                                   *a.emulsion.required_hlb, 100 * a.emulsion.covered_share);
    if (!a.emulsion.not_covered.empty())
      text += fmt::format("; no value for {}", fmt::join(a.emulsion.not_covered, ", "));
    if (a.emulsion.provided_hlb)
      text += fmt::format("; the emulsifiers give {:.1f}", *a.emulsion.provided_hlb);
    if (!a.emulsion.applies) text += "; HLB says little here: " + a.emulsion.because;
    out += Wrapped(text, look.width, 0);
  }
  if (a.ph.estimate) {
    std::string text =
        fmt::format("pH about {:.1f} ({:.1f}-{:.1f}) before adjustment: an estimate, measure it",
                    *a.ph.estimate, a.ph.low.value_or(*a.ph.estimate), a.ph.high.value_or(*a.ph.estimate));
    if (a.ph.adjust) text += "; " + a.ph.adjust->text;
    if (!a.ph.missing.empty())
      text += fmt::format("; constants not known for {}", fmt::join(a.ph.missing, ", "));
    out += Wrapped(text, look.width, 0);
  }
  if (!a.preservation.because.empty())
    out += Wrapped("preservation: " + a.preservation.because, look.width, 0);
  out += Wrapped(fmt::format("label: {}", fmt::join(a.label.inci, ", ")), look.width, 0);
  for (const std::string& text : a.unknown) out += Wrapped("not known: " + text, look.width, 0);
  return out;
}

std::string LabelText(const Assessment& a, const Look& look) {
  std::string out = Wrapped(fmt::format("{}", fmt::join(a.label.inci, ", ")), look.width, 0);
  for (const LabelAllergen& allergen : a.label.allergens) {
    out += Wrapped(fmt::format("allergen {}: up to {:.3g} %, named above {:g} %", allergen.inci,
                               allergen.pct_high, allergen.threshold),
                   look.width, 2);
  }
  return out +
         Wrapped("Below 1 % any order will do; check names and allergens against the supplier's papers.",
                 look.width, 0);
}

}  // namespace

Asked<Reply> AnswerCheck(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const Assessment assessment = Assess(base.catalogue, *formula);
  return Reply{want == Want::kJson ? CheckJson(base.catalogue, *formula, assessment)
                                         .dump(2, ' ', false, Json::error_handler_t::replace)
                                   : CheckText(*formula, assessment, look),
               true};
}

Asked<Reply> AnswerLabel(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const Assessment assessment = Assess(base.catalogue, *formula);
  if (want == Want::kText) return Reply{LabelText(assessment, look), true};
  const Json document = {{"formula", formula->name}, {"label", LabelJson(assessment.label)}};
  return Reply{document.dump(2, ' ', false, Json::error_handler_t::replace), true};
}

}  // namespace query
