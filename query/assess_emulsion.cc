#include <fmt/format.h>

#include <cmath>

#include "kb/chemistry/hlb.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

using kb::chemistry::EmulsifierKind;

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
  const bool water_in_oil = IsWaterInOil(setting);
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

// Beeswax or a fatty acid with an alkali: the old way of cold and vanishing creams.
bool MakesSoap(const Setting& setting) {
  bool alkali = false;
  bool acid = false;
  for (const kb::FormulaLine& line : setting.formula.lines) {
    if (line.pct <= 0) continue;
    alkali = alkali || HasAny(setting.catalogue, line.ingredient, {"alkaliser"});
    acid = acid || setting.catalogue.Choice(line.ingredient, "class") == "fatty-acid" ||
           setting.catalogue.at(line.ingredient).inci == "CERA ALBA";
  }
  return alkali && acid;
}

// Is there an emulsifier at all, of the right kind, and has it its partner?
void CheckEmulsifier(const Setting& setting, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const Composition& sums = out.composition;
  constexpr double kLittle = 0.5;  // %: what a thickener or a surfactant holds without an emulsifier; ours
  std::vector<std::size_t> makers;
  double right = 0;
  double wrong = 0;
  const bool water_in_oil = IsWaterInOil(setting);
  for (std::size_t i = 0; i < setting.formula.lines.size(); ++i) {
    const kb::FormulaLine& line = setting.formula.lines[i];
    if (!HasAny(
            catalogue, line.ingredient,
            {"emulsifier-ow", "emulsifier-wo", "rinsing-emulsifier", "solubiliser", "cationic-conditioner"}))
      continue;
    makers.push_back(i);
    const std::string_view makes = catalogue.Choice(line.ingredient, "emulsion_type");
    if (makes.empty()) continue;
    const bool fits = makes == "both" || (makes == "wo") == water_in_oil;
    (fits ? right : wrong) += line.pct;
  }
  if (sums.oils < kLittle || sums.water < kLittle) return;
  if (makers.empty() && MakesSoap(setting)) {
    Say(out, Severity::kNote, "emulsion", "emulsion:soap",
        "the alkali makes soap of the free fatty acids, and that soap is the emulsifier",
        "weigh the alkali closely: the emulsion hangs on it")
        .sources = {"common-practice"};
    return;
  }
  if (makers.empty()) {
    Say(out, Severity::kWarn, "emulsion", "emulsion:none",
        fmt::format("{:.0f} % oils and {:.0f} % water, and no emulsifier: they part", sums.oils, sums.water),
        water_in_oil ? "add a water-in-oil emulsifier"
                     : "add an oil-in-water emulsifier, about a fifth of the oils")
        .sources = {"common-practice"};
    return;
  }
  if (wrong > 0 && right == 0) {
    Finding& finding = Say(out, Severity::kWarn, "emulsion", "emulsion:type",
                           fmt::format("{} makes {} emulsions, and this is to be {}",
                                       LineNames(catalogue, setting.formula, makers),
                                       water_in_oil ? "oil-in-water" : "water-in-oil",
                                       water_in_oil ? "water in oil" : "oil in water"),
                           "take an emulsifier of the other kind, or call the product what it will be");
    for (const std::size_t line : makers)
      finding.ingredients.push_back(setting.formula.lines[line].ingredient);
    finding.sources = {SourceOf(catalogue, catalogue.Best(finding.ingredients.front(), "emulsion_type"))};
  } else if (water_in_oil && wrong >= right && wrong > 0) {
    // The other way round is usual: a low-HLB ester steadies an oil-in-water emulsion.
    Say(out, Severity::kWarn, "emulsion", "emulsion:against",
        fmt::format(
            "{:.2g} % of oil-in-water emulsifiers against {:.2g} % for water in oil: it turns over or parts",
            wrong, right),
        "keep the oil-in-water emulsifier well below the other, or leave it out")
        .sources = {"common-practice"};
  }
}

}  // namespace

bool IsEmulsifier(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  for (const char* function : {"emulsifier-ow", "emulsifier-wo", "solubiliser", "rinsing-emulsifier"}) {
    if (catalogue.HasFunction(ix, function)) return true;
  }
  // A glyceryl or sorbitan ester of low HLB is a co-emulsifier in name and counts on the emulsifier's side; a fatty
  // alcohol is oil phase.
  return catalogue.HasFunction(ix, "co-emulsifier") && catalogue.Number(ix, "hlb") && !IsLipid(catalogue, ix);
}

bool IsWaterInOil(const Setting& setting) {
  if (setting.formula.kind.form != kb::Form::kSunscreen)
    return setting.formula.kind.form == kb::Form::kEmulsionWo;
  double balance = 0;
  for (const kb::FormulaLine& line : setting.formula.lines) {
    if (!IsEmulsifier(setting.catalogue, line.ingredient)) continue;
    const std::string_view makes = setting.catalogue.Choice(line.ingredient, "emulsion_type");
    balance += makes == "wo" ? line.pct : makes == "ow" ? -line.pct : 0;
  }
  return balance > 0;
}

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
  CheckEmulsifier(setting, out);
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
