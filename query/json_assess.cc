#include "query/json_assess.h"

#include "query/json_common.h"

namespace query {
namespace {

Json CompositionJson(const Assessment& a) {
  Json substances = Json::array();
  for (const Substance& item : a.substances) {
    substances.push_back({{"inci", item.inci}, {"pct", Number(item.pct)}});
  }
  const Composition& c = a.composition;
  return {{"water_pct", Number(c.water)},
          {"oil_pct", Number(c.oils)},
          {"emulsifier_pct", Number(c.emulsifiers)},
          {"humectant_pct", Number(c.humectants)},
          {"surfactant_active_pct", Number(c.surfactant_active)},
          {"electrolyte_pct", Number(c.electrolytes)},
          {"alcohol_pct", Number(c.alcohol)},
          {"glycol_pct", Number(c.glycols)},
          {"not_sorted", c.not_sorted},
          {"substances", std::move(substances)}};
}

Json HlbParts(const kb::Catalogue& catalogue, const kb::Formula& formula,
              const std::vector<EmulsionPart>& parts) {
  Json out = Json::array();
  for (const EmulsionPart& part : parts) {
    out.push_back({{"id", catalogue.at(formula.lines[part.line].ingredient).id},
                   {"pct", Number(part.pct)},
                   {"hlb", part.hlb},
                   {"source", part.source}});
  }
  return out;
}

Json EmulsionJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const Emulsion& e) {
  return {{"applies", e.applies},
          {"because", e.because},
          {"required_hlb", Maybe(e.required_hlb)},
          {"covered_share", Number(e.covered_share)},
          {"not_covered", e.not_covered},
          {"required_parts", HlbParts(catalogue, formula, e.required_parts)},
          {"provided_parts", HlbParts(catalogue, formula, e.provided_parts)},
          {"provided_hlb", Maybe(e.provided_hlb)},
          {"provided_share", Number(e.provided_share)},
          {"emulsifier_to_oil", Maybe(e.emulsifier_to_oil)}};
}

Json PhJson(const PhEstimate& ph) {
  Json drivers = Json::array();
  for (const PhDriver& driver : ph.drivers) {
    drivers.push_back({{"name", driver.name},
                       {"buffer_share", Number(driver.buffer_share)},
                       {"shift", Number(driver.shift)}});
  }
  Json out = {{"estimate", Maybe(ph.estimate)},
              {"low", Maybe(ph.low)},
              {"high", Maybe(ph.high)},
              {"used", Maybe(ph.used)},
              {"from_target", ph.from_target},
              {"ionic_strength", Number(ph.ionic_strength)},
              {"drivers", std::move(drivers)},
              {"missing", ph.missing},
              {"buffer_capacity", Number(ph.buffer_capacity)},
              {"because", ph.because}};
  if (ph.adjust)
    out["adjust"] = {{"with", ph.adjust->with}, {"pct", Number(ph.adjust->pct)}, {"text", ph.adjust->text}};
  return out;
}

Json PreservationJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const Preservation& p) {
  Json states = Json::array();
  for (const PreservativeState& state : p.preservatives) {
    states.push_back({{"id", catalogue.at(formula.lines[state.line].ingredient).id},
                      {"inci", state.inci},
                      {"pct", Number(state.pct)},
                      {"active_share", Maybe(state.active_share)},
                      {"in_window", state.in_window},
                      {"window", state.window ? Json{state.window->low, state.window->high} : Json(nullptr)},
                      {"carried", state.carried},
                      {"in_water_share", Maybe(state.in_water_share)},
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

Json LabelPart(const Label& label) {
  Json shares = Json::array();
  for (const double pct : label.pct) shares.push_back(Number(pct));
  Json allergens = Json::array();
  for (const LabelAllergen& allergen : label.allergens) {
    allergens.push_back({{"inci", allergen.inci},
                         {"pct_low", Number(allergen.pct_low)},
                         {"pct_high", Number(allergen.pct_high)},
                         {"threshold", allergen.threshold},
                         {"source", allergen.source}});
  }
  return {{"inci", label.inci},
          {"pct", std::move(shares)},
          {"one_percent_line", label.one_percent_line},
          {"allergens", std::move(allergens)}};
}

Json CheckPart(const kb::Catalogue& catalogue, const kb::Formula& formula, const Assessment& a) {
  Json phases = Json::array();
  for (const PhaseTotal& phase : a.phases)
    phases.push_back({{"phase", phase.phase}, {"name", phase.name}, {"total_pct", Number(phase.pct)}});
  Json solubility = Json::array();
  for (const SolubilityNote& note : a.solubility) {
    solubility.push_back({{"id", catalogue.at(formula.lines[note.line].ingredient).id},
                          {"where", note.where},
                          {"verdict", note.verdict},
                          {"pct", Number(note.pct)},
                          {"limit_pct", Maybe(note.limit_pct)},
                          {"text", note.text}});
  }
  Json heat = Json::array();
  for (const HeatNote& note : a.heat) {
    heat.push_back({{"phase", note.phase},
                    {"heated", note.heated},
                    {"cool_down", note.cool_down},
                    {"reaches_c", Maybe(note.reaches_c)},
                    {"needs_c", Maybe(note.needs_c)},
                    {"permits_c", Maybe(note.permits_c)},
                    {"needs", LineIds(catalogue, formula, note.needs_lines)},
                    {"permits", LineIds(catalogue, formula, note.permits_lines)},
                    {"text", note.text}});
  }
  Json limits = Json::array();
  for (const LimitUse& use : a.limits) {
    limits.push_back({{"substance", use.substance},
                      {"pct", Number(use.pct)},
                      {"max_pct", Maybe(use.max_pct)},
                      {"expressed_as", use.expressed_as},
                      {"jurisdiction", use.jurisdiction},
                      {"annex", use.annex},
                      {"entry", use.entry},
                      {"binds", use.binds},
                      {"at", use.at},
                      {"scope", use.scope},
                      {"conditions", use.conditions},
                      {"over", use.over},
                      {"prohibited", use.prohibited},
                      {"source", use.source}});
  }
  Json claims = Json::object();
  for (const ClaimResult& claim : a.claims)
    claims[claim.claim] = {{"state", claim.state},
                           {"because", claim.because},
                           {"ingredients", LineIds(catalogue, formula, claim.lines)}};
  return {{"formula", formula.name},
          {"kind", kb::KindName(formula.kind)},
          {"total_pct", Number(a.total_pct)},
          {"phases", std::move(phases)},
          {"composition", CompositionJson(a)},
          {"emulsion", EmulsionJson(catalogue, formula, a.emulsion)},
          {"ph", PhJson(a.ph)},
          {"preservation", PreservationJson(catalogue, formula, a.preservation)},
          {"solubility", std::move(solubility)},
          {"heat", std::move(heat)},
          {"limits", std::move(limits)},
          {"claims", std::move(claims)},
          {"findings", FindingsJson(catalogue, a.findings)},
          {"label", LabelPart(a.label)},
          {"unknown", a.unknown}};
}

Json PhaseJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighPhase& phase) {
  Json lines = Json::array();
  for (const WeighLine& line : phase.lines) {
    const kb::FormulaLine& item = formula.lines[line.line];
    lines.push_back({{"id", catalogue.at(item.ingredient).id},
                     {"inci", catalogue.at(item.ingredient).inci},
                     {"name", catalogue.at(item.ingredient).name},
                     {"pct", Number(item.pct)},
                     {"grams", Number(line.grams)},
                     {"exact_g", Number(line.exact_g)},
                     {"relative_error", Number(line.error)},
                     {"position", PositionId(line.place.position)},
                     {"min_c", Number(line.place.min_c)},
                     {"max_c", Number(line.place.max_c)},
                     {"how", line.place.moves.empty() ? line.place.brief : line.place.moves},
                     {"method", line.place.method},
                     {"dilution", line.dilution}});
  }
  return {{"phase", phase.phase},
          {"name", phase.name},
          {"grams", Number(phase.grams)},
          {"heat_to_c", Maybe(phase.heat_to_c)},
          {"heat_most_c", Maybe(phase.heat_most_c)},
          {"add_below_c", Maybe(phase.add_below_c)},
          {"not_above_c", Maybe(phase.not_above_c)},
          {"lines", std::move(lines)}};
}

}  // namespace

std::string AssessmentJson(const kb::Catalogue& catalogue, const kb::Formula& formula,
                           const Assessment& assessment) {
  return Dumped(CheckPart(catalogue, formula, assessment));
}

std::string LabelJson(const kb::Formula& formula, const Assessment& assessment) {
  return Dumped({{"formula", formula.name},
                 {"kind", kb::KindName(formula.kind)},
                 {"label", LabelPart(assessment.label)}});
}

std::string WeighJson(const kb::Catalogue& catalogue, const kb::Formula& formula, const WeighSheet& sheet) {
  Json phases = Json::array();
  for (const WeighPhase& phase : sheet.phases) phases.push_back(PhaseJson(catalogue, formula, phase));
  Json cautions = Json::array();
  for (const WeighCaution& caution : sheet.cautions) {
    cautions.push_back({{"what", caution.what},
                        {"gear", caution.gear},
                        {"ingredients", Ids(catalogue, caution.ingredients)},
                        {"notes", caution.notes}});
  }
  Json largest = nullptr;
  if (sheet.largest_error_line)
    largest = catalogue.at(formula.lines[*sheet.largest_error_line].ingredient).id;
  return Dumped({{"formula", sheet.name},
                 {"kind", kb::KindName(sheet.kind)},
                 {"batch_g", Number(sheet.batch_g)},
                 {"asked_g", Number(sheet.asked_g)},
                 {"scale_g", Number(sheet.scale_g)},
                 {"largest_relative_error", Number(sheet.largest_error)},
                 {"largest_relative_error_of", std::move(largest)},
                 {"phases", std::move(phases)},
                 {"steps", sheet.steps},
                 {"cautions", std::move(cautions)},
                 {"findings", FindingsJson(catalogue, sheet.findings)},
                 {"warnings", sheet.warnings}});
}

}  // namespace query
