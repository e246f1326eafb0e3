#include <fmt/format.h>

#include <cmath>

#include "kb/chemistry/hlb.h"
#include "query/assess_parts.h"
#include "query/facts.h"

namespace query::parts {
namespace {

using kb::chemistry::EmulsifierKind;

bool IsEmulsifier(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  for (const char* function : {"emulsifier-ow", "emulsifier-wo", "solubiliser", "rinsing-emulsifier"}) {
    if (catalogue.HasFunction(ix, function)) return true;
  }
  // A glyceryl or sorbitan ester of low HLB is a co-emulsifier in name and counts on the emulsifier's side; a fatty
  // alcohol is oil phase.
  return catalogue.HasFunction(ix, "co-emulsifier") && catalogue.Number(ix, "hlb") && !IsLipid(catalogue, ix);
}

EmulsifierKind KindOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const std::string_view charge = catalogue.Choice(ix, "charge");
  const std::string_view family = catalogue.Family(catalogue.Choice(ix, "class"));
  if (family == "silicone-emulsifiers") return EmulsifierKind::kSilicone;
  if (family == "acrylates") return EmulsifierKind::kPolymeric;
  if (charge == "anionic") return EmulsifierKind::kAnionic;
  if (charge == "cationic") return EmulsifierKind::kCationic;
  if (charge == "amphoteric") return EmulsifierKind::kAmphoteric;
  if (catalogue.Says(ix, "lamellar", "yes")) return EmulsifierKind::kLamellar;
  return EmulsifierKind::kNonionic;
}

void AddRequired(const Setting& setting, const Assessment& out, Emulsion& emulsion) {
  const bool water_in_oil = setting.formula.kind.form == kb::Form::kEmulsionWo;
  std::vector<kb::chemistry::Lipid> lipids;
  for (const Substance& item : out.substances) {
    if (!item.record || item.pct <= 0) continue;
    if (!IsLipid(setting.catalogue, *item.record) || IsEmulsifier(setting.catalogue, *item.record)) continue;
    const kb::Fact* fact = RequiredHlbFact(setting.catalogue, *item.record, water_in_oil);
    std::optional<double> required;
    if (fact != nullptr) {
      required = fact->number->mid();
      emulsion.required_parts.push_back(
          {item.lines.front(), item.pct, *required, setting.catalogue.source(fact->source).key});
    }
    lipids.push_back({item.inci, item.pct, required});
  }
  if (lipids.empty()) return;
  const auto answer = kb::chemistry::RequiredHlb(lipids);
  if (answer) {
    emulsion.required_hlb = answer->required;
    emulsion.covered_share = answer->share_covered;
    emulsion.not_covered = answer->not_covered;
  } else {
    for (const kb::chemistry::Lipid& lipid : lipids) emulsion.not_covered.emplace_back(lipid.name);
  }
}

void AddProvided(const Setting& setting, const Assessment& out, Emulsion& emulsion) {
  std::vector<kb::chemistry::Emulsifier> emulsifiers;
  for (const Substance& item : out.substances) {
    if (!item.record || item.pct <= 0 || !IsEmulsifier(setting.catalogue, *item.record)) continue;
    const auto hlb = setting.catalogue.Number(*item.record, "hlb");
    const EmulsifierKind kind = KindOf(setting.catalogue, *item.record);
    const bool on_scale = hlb && hlb->mid() <= kb::chemistry::kGreatestHlb;
    emulsifiers.push_back({item.inci, item.pct, on_scale ? std::optional(hlb->mid()) : std::nullopt, kind});
    if (on_scale && kind == EmulsifierKind::kNonionic) {
      const kb::Fact* fact = setting.catalogue.Best(*item.record, "hlb");
      emulsion.provided_parts.push_back(
          {item.lines.front(), item.pct, hlb->mid(), setting.catalogue.source(fact->source).key});
    }
  }
  if (emulsifiers.empty()) {
    emulsion.because = "no emulsifier among the ingredients";
    return;
  }
  const auto answer = kb::chemistry::BlendHlb(emulsifiers);
  if (!answer) {
    emulsion.because = answer.error().what;
    return;
  }
  emulsion.provided_hlb = answer->hlb;
  emulsion.provided_share = answer->share_counted;
  emulsion.applies = answer->applies && emulsion.required_hlb.has_value();
  if (!answer->not_counted.empty()) {
    emulsion.because =
        fmt::format("{}: {}", answer->not_counted.front().name, answer->not_counted.front().because);
  } else if (!emulsion.required_hlb) {
    emulsion.because = "no required HLB is known for the oil phase";
  } else {
    emulsion.because = "the emulsifiers are nonionic and their HLB is known";
  }
}

}  // namespace

void AddEmulsion(const Setting& setting, Assessment& out) {
  Emulsion& emulsion = out.emulsion;
  if (!kb::IsEmulsion(setting.formula.kind.form)) {
    emulsion.because = "the product is no emulsion";
    return;
  }
  AddRequired(setting, out, emulsion);
  AddProvided(setting, out, emulsion);
  if (out.composition.oils > 0 && out.composition.emulsifiers > 0) {
    emulsion.emulsifier_to_oil = out.composition.emulsifiers / out.composition.oils;
  }
  constexpr double kTelling =
      1.5;  // Griffin's values are good to about 1; below this a difference says little
  if (emulsion.applies && emulsion.covered_share >= 0.7) {
    const double gap = *emulsion.provided_hlb - *emulsion.required_hlb;
    if (std::abs(gap) > kTelling) {
      Finding& finding = out.findings.emplace_back();
      finding.severity = std::abs(gap) > 3 ? Severity::kWarn : Severity::kNote;
      finding.topic = "emulsion";
      finding.key = "emulsion:hlb";
      finding.text = fmt::format(
          "the oil phase asks for HLB {:.1f} (known for {:.0f} % of it), the emulsifiers give {:.1f}",
          *emulsion.required_hlb, 100 * emulsion.covered_share, *emulsion.provided_hlb);
      finding.advice = gap < 0 ? "raise the share of the emulsifier with the higher HLB"
                               : "raise the share of the emulsifier with the lower HLB";
      finding.sources = {"griffin-1949"};
    }
  }
}

}  // namespace query::parts
