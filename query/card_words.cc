#include "query/card_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "kb/condition.h"
#include "kb/text.h"

namespace query {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 52> kLabels = {{
    {"about", "what it is"},
    {"commonness", "how common"},
    {"in_water", "in water"},
    {"in_oil", "in oils"},
    {"in_ethanol", "in ethanol"},
    {"in_glycol", "in glycols"},
    {"water_g_per_l", "dissolves in water"},
    {"water_class", "solubility class in water"},
    {"log_p", "log P"},
    {"melting_c", "melts at"},
    {"boiling_c", "boils at"},
    {"flash_c", "its vapour burns from"},
    {"needs_c", "needs"},
    {"max_c", "stands up to"},
    {"phase", "goes into"},
    {"how_in", "how it goes in"},
    {"lumps", "lumps"},
    {"use_pct", "usual level"},
    {"topical_max_pct", "highest in an approved topical medicine"},
    {"us_otc_pct", "as the active of a drug in the US"},
    {"reported_max_pct", "highest reported in cosmetics"},
    {"suits", "suits"},
    {"suits_not", "does not suit"},
    {"ph_use", "pH of the product"},
    {"ph_stable", "keeps at pH"},
    {"ph_solution", "pH of its solution"},
    {"ph_active", "acts at pH"},
    {"mic_ug_ml", "stops growth of"},
    {"mic_vv_pct", "stops growth of"},
    {"mic_lotion_pct", "held a test lotion,"},
    {"pka", "pKa"},
    {"hlb", "HLB"},
    {"hlb_required", "required HLB"},
    {"dosing", "usually makes up"},
    {"fatty_acid_pct", "fatty acid"},
    {"hansen_d", "Hansen, dispersion"},
    {"hansen_p", "Hansen, polar"},
    {"hansen_h", "Hansen, hydrogen bonds"},
    {"spreading_mm2", "spreads over"},
    {"uptake_pct", "takes up water at relative humidity"},
    {"norrish_k", "Norrish K"},
    {"complete", "needs no partner"},
    {"viscosity_mpas", "viscosity"},
    {"active_pct", "active matter"},
    {"yield_mpas", "viscosity given"},
    {"alcohol_pct", "stands alcohol up to"},
    {"allergen_pct", "labelled allergen"},
    {"component_pct", "holds"},
    {"cmc_mmol_l", "forms micelles from"},
    {"surface_tension_mn_m", "surface tension above that"},
    {"uv_max_nm", "absorbs most at"},
    {"claim", "claim"},
}};

bool Ends(std::string_view text, std::string_view end) {
  return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

std::string Spaced(std::string_view word) {
  std::string out(word);
  std::replace(out.begin(), out.end(), '-', ' ');
  std::replace(out.begin(), out.end(), '_', ' ');
  return out;
}

std::string_view QuantityWords(kb::Quantity quantity) {
  switch (quantity) {
    case kb::Quantity::kWater:
      return "water";
    case kb::Quantity::kOil:
      return "oil";
    case kb::Quantity::kAlcohol:
      return "alcohol";
    case kb::Quantity::kGlycol:
      return "glycols";
    case kb::Quantity::kEmulsifier:
      return "emulsifier";
    case kb::Quantity::kSurfactant:
      return "active surfactant";
    case kb::Quantity::kElectrolyte:
      return "salts";
    default:
      return "";
  }
}

std::string CompareWords(const kb::ConditionTerm& term) {
  const bool below = term.comparator == kb::Comparator::kLess || term.comparator == kb::Comparator::kAtMost;
  const std::string side = term.comparator == kb::Comparator::kEqual ? "at" : below ? "below" : "above";
  switch (term.quantity) {
    case kb::Quantity::kPh:
      return fmt::format("{} pH {:g}", side, term.number);
    case kb::Quantity::kPct:
      return fmt::format("{} {:g} %", side, term.number);
    case kb::Quantity::kTotal:
      return fmt::format("{} {:g} % in all", side, term.number);
    case kb::Quantity::kHeat:
      return fmt::format("heated {} {:g} C", side, term.number);
    default:
      return fmt::format("with {} than {:g} % {}", below ? "less" : "more", term.number,
                         QuantityWords(term.quantity));
  }
}

std::string TermWords(const kb::Catalogue& catalogue, const kb::ConditionTerm& term) {
  std::vector<std::string> values;
  for (const std::string& value : term.values) {
    const auto function = catalogue.FindFunction(value);
    values.push_back(function ? catalogue.function(*function).name : Spaced(value));
  }
  const std::string any = fmt::format("{}", fmt::join(values, " or "));
  switch (term.word) {
    case kb::ConditionWord::kCompare:
      return CompareWords(term);
    case kb::ConditionWord::kPhase:
      return "in the " + any + " phase";
    case kb::ConditionWord::kForm:
    case kb::ConditionWord::kUse:
      return "in " + any + " products";
    case kb::ConditionWord::kWith:
      return "beside a " + any;
    case kb::ConditionWord::kWithout:
      return "without a " + any;
    case kb::ConditionWord::kIs:
      return fmt::format("where {} is {}", PropertyLabel(term.property), any);
    case kb::ConditionWord::kNot:
      return fmt::format("where {} is not {}", PropertyLabel(term.property), any);
    case kb::ConditionWord::kSamePhase:
      return "in the same phase";
  }
  return "";
}

}  // namespace

std::string PropertyLabel(std::string_view property) {
  for (const auto& [id, label] : kLabels) {
    if (id == property) return std::string(label);
  }
  for (const std::string_view unit : {"_c", "_pct", "_mpas", "_mm2", "_g_per_l"}) {
    if (Ends(property, unit)) property.remove_suffix(unit.size());
  }
  return Spaced(property);
}

std::string ConditionText(const kb::Catalogue& catalogue, std::string_view condition) {
  std::vector<std::string> sides;
  for (const std::string& side : kb::SplitTrimmed(condition, ';')) {
    const auto terms = kb::ParseCondition(side);
    if (!terms) return std::string(condition);
    std::string words;
    for (const kb::ConditionTerm& term : *terms)
      words += (words.empty() ? "" : " ") + TermWords(catalogue, term);
    if (!words.empty() && std::find(sides.begin(), sides.end(), words) == sides.end()) sides.push_back(words);
  }
  return fmt::format("{}", fmt::join(sides, ", "));
}

std::string_view BasisWords(kb::Basis basis) {
  switch (basis) {
    case kb::Basis::kClass:
      return "of its class";
    case kb::Basis::kFunction:
      return "of its function";
    case kb::Basis::kComputed:
      return "computed";
    case kb::Basis::kRecord:
      break;
  }
  return "";
}

std::string SourceTag(const kb::Catalogue& catalogue, const kb::Fact& fact) {
  const kb::Source& source = catalogue.source(fact.source);
  const std::string_view standing = kb::StandingName(fact.standing);
  // "common practice" and "memory" are sources of their own, of the same name.
  const bool same = kb::FoldTight(source.key) == kb::FoldTight(standing);
  const std::string_view basis = BasisWords(fact.basis);
  return fmt::format("[{}{}{}{}{}]", standing, same ? "" : ": " + source.key,
                     fact.at.empty() ? "" : ", " + fact.at, basis.empty() ? "" : ", ", basis);
}

std::string PlainNumber(double number) {
  constexpr double kExponentFrom = 1e5;
  return number >= kExponentFrom ? fmt::format("{:.0f}", number) : fmt::format("{:g}", number);
}

std::string PlainRange(const kb::Range& range) {
  return range.low == range.high ? PlainNumber(range.low)
                                 : fmt::format("{} to {}", PlainNumber(range.low), PlainNumber(range.high));
}

}  // namespace query
