// Does what is to dissolve do so, in the water or the oil that is there, and does it stay dissolved when the batch cools?
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "kb/chemistry/acid_base.h"
#include "kb/chemistry/solubility.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"

namespace query::parts {
namespace {

using kb::chemistry::DissolutionVerdict;
using kb::chemistry::SolubilityRange;

constexpr std::string_view kTopic = "solubility";
constexpr double kRoom = 25;         // C
constexpr double kLeastWater = 1;    // %: below that there is no water to dissolve in
constexpr double kMuchSolvent = 15;  // % of glycols and alcohol from which the water is another solvent; ours
constexpr double kMostIonised =
    1e3;  // times that a salt may dissolve better than its acid before its own limit must be asked for
constexpr double kOilMolarMass =
    450;  // g/mol, between the light esters (300) and the triglyceride oils (880); ours
constexpr double kIdealTrust = 3;  // IdealSolubility is good to a factor of three

bool IsSolid(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  static constexpr std::array<std::string_view, 4> kSolid = {"powder", "crystals", "flakes", "solid"};
  const std::string_view form = catalogue.Choice(ix, "form");
  return std::find(kSolid.begin(), kSolid.end(), form) != kSolid.end();
}

// Is it there to dissolve? Clays, pigments, starches and gums are not.
bool IsToDissolve(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const std::string_view water = catalogue.Choice(ix, "in_water");
  if (water == "dissolves") return true;
  if (water != "insoluble") return false;
  const auto dissolves = [&](std::string_view property) {
    const std::string_view in = catalogue.Choice(ix, property);
    return in == "dissolves" || in == "polar-oils-only";
  };
  return dissolves("in_oil") || dissolves("in_ethanol") || dissolves("in_glycol");
}

struct Known {
  std::optional<SolubilityRange> cold, hot;
  const kb::Fact* fact = nullptr;
};

// Solubility in plain water: figures where there are any, else the pharmacopoeia's class.
Known InWater(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::optional<double> hot_c) {
  Known known;
  std::vector<kb::chemistry::SolubilityPoint> points;
  for (const kb::Fact& fact : catalogue.Facts(ix, "water_g_per_l")) {
    if (!fact.number || !fact.context.empty() || fact.number->low <= 0) continue;
    if (known.fact == nullptr) known.fact = &fact;
    points.push_back({fact.number->low, fact.at_c});
    if (fact.number->high > fact.number->low) points.push_back({fact.number->high, fact.at_c});
  }
  if (const auto cold = kb::chemistry::SolubilityAt(points, kRoom)) known.cold = cold->range;
  if (hot_c) {
    if (const auto hot = kb::chemistry::SolubilityAt(points, *hot_c)) known.hot = hot->range;
  }
  if (known.cold) return known;
  std::string name(catalogue.Choice(ix, "water_class"));
  std::replace(name.begin(), name.end(), '-', ' ');
  if (const auto soluble = kb::chemistry::ParseSolubilityClass(name)) {
    known.cold = kb::chemistry::ClassBounds(*soluble);
    known.fact = catalogue.Best(ix, "water_class");
  }
  return known;
}

// How many times more of a weak acid or base dissolves because part of it is ionised at this pH; 1 for what is no such thing.
double IonisedGain(const kb::Catalogue& catalogue, kb::IngredientIx ix, double ph) {
  const auto charge = catalogue.Number(ix, "charge_protonated");
  const auto pka = catalogue.Number(ix, "pka", "1");
  const auto ions = catalogue.Number(ix, "counter_charge");
  if (!charge || !pka || (ions && ions->mid() != 0) || catalogue.Number(ix, "pka", "3")) return 1;
  const auto share = kb::chemistry::UndissociatedShare(pka->mid(), ph);
  if (!share) return 1;
  if (charge->mid() == 0) return std::min(kMostIonised, 1 / std::max(*share, 1e-9));
  if (charge->mid() == 1 && !catalogue.Number(ix, "pka", "2")) {
    return std::min(kMostIonised, 1 / std::max(1 - *share, 1e-9));
  }
  return 1;
}

SolubilityRange Times(const SolubilityRange& range, double factor) {
  return {range.low * factor, range.high * factor};
}

// One substance in the water of this formula.
struct Case {
  const Substance& item;
  kb::IngredientIx ix;
  double water;
  std::optional<double> hot_c;
};

std::string Held(const SolubilityRange& range, double water) {
  const auto pct = [&](double g_per_l) { return Figure(g_per_l * water / 1000); };
  if (std::isinf(range.high)) return fmt::format("at least {} %", pct(range.low));
  if (range.high <= range.low * 1.02) return fmt::format("{} %", pct(range.high));
  return fmt::format("{} to {} %", pct(range.low), pct(range.high));
}

void SayNotDissolved(const Setting& setting, const Case& c, const SolubilityRange& cold,
                     const SolubilityNote& note, const Known& known, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const kb::Ingredient& item = catalogue.at(c.ix);
  const double helping = out.composition.glycols + out.composition.alcohol;
  const std::string_view in_glycol = catalogue.Choice(c.ix, "in_glycol");
  const bool helped = helping >= kMuchSolvent && (in_glycol == "dissolves" || in_glycol == "partly" ||
                                                  catalogue.Choice(c.ix, "in_ethanol") == "dissolves");
  const bool cools = note.verdict == "crystallises on cooling";
  const bool solid = IsSolid(catalogue, c.ix);
  std::string text =
      cools ? fmt::format(
                  "{} % {} dissolves hot and crystallises when it cools: the water here holds {} at 25 C",
                  Figure(c.item.pct), item.name, Held(cold, c.water))
            : fmt::format("{} % {} is more than the water here dissolves at 25 C ({}): the rest {}",
                          Figure(c.item.pct), item.name, Held(cold, c.water),
                          solid ? "stays as grit" : "clouds it or floats up");
  if (helped) text += fmt::format("; the {:.0f} % of glycols and alcohol may hold more", helping);
  if (catalogue.Number(c.ix, "pka") && !out.ph.used) text += "; it depends on the pH, which is not known";
  std::string advice =
      fmt::format("use {} % or less", Figure(std::floor(cold.low * c.water / 1000 * 100) / 100));
  if (in_glycol == "dissolves") advice += ", or dissolve it in glycol first and try whether it stays";
  // A liquid only sparingly soluble is often carried by its company: glycols, preservative alcohols, surfactants.
  const bool doubtful = helped || !solid;
  Finding& finding = Say(out, doubtful ? Severity::kNote : Severity::kWarn, kTopic, "solubility:" + item.id,
                         std::move(text), std::move(advice));
  finding.ingredients = {c.ix};
  finding.sources = {SourceOf(catalogue, known.fact)};
}

std::string_view VerdictWord(DissolutionVerdict verdict) {
  switch (verdict) {
    case DissolutionVerdict::kDissolves:
      return "dissolves";
    case DissolutionVerdict::kBorderline:
      return "borderline";
    case DissolutionVerdict::kDoesNotDissolve:
      return "does not dissolve";
    case DissolutionVerdict::kUnknown:
      break;
  }
  return "not known";
}

void CheckInWater(const Setting& setting, const Case& c, Assessment& out) {
  SolubilityNote note;
  note.line = c.item.lines.front();
  note.where = "water";
  note.pct = c.item.pct;
  const Known known = InWater(setting.catalogue, c.ix, c.hot_c);
  const double gain = out.ph.used ? IonisedGain(setting.catalogue, c.ix, *out.ph.used) : 1;
  const auto cold = known.cold ? std::optional(Times(*known.cold, gain)) : std::nullopt;
  const auto hot = known.hot ? std::optional(Times(*known.hot, gain)) : std::nullopt;
  const auto cooling = kb::chemistry::OnCooling(c.item.pct, c.water, hot, cold);
  if (!cooling) return;
  note.verdict = VerdictWord(cooling->cold.verdict);
  if (cold) note.limit_pct = cold->low * c.water / 1000;
  const bool dissolves_hot = cooling->hot.verdict == DissolutionVerdict::kDissolves;
  if (cooling->cold.verdict == DissolutionVerdict::kDoesNotDissolve && dissolves_hot)
    note.verdict = "crystallises on cooling";
  const std::string& name = setting.catalogue.at(c.ix).name;
  if (cold) {
    note.text =
        fmt::format("{} % {}: the water holds {} at 25 C", Figure(c.item.pct), name, Held(*cold, c.water));
    if (gain > 1.2) {
      note.text +=
          fmt::format(" at pH {:.3g}, where {:.0f} % of it is ionised{}", *out.ph.used, 100 * (1 - 1 / gain),
                      gain >= kMostIonised / 10 ? "; the salt has a limit of its own" : "");
    }
  } else {
    note.text = fmt::format("{}: how much dissolves is not known", name);
  }
  if (cooling->cold.verdict == DissolutionVerdict::kDoesNotDissolve)
    SayNotDissolved(setting, c, *cold, note, known, out);
  out.solubility.push_back(std::move(note));
}

// A salt of a weak acid gives its acid back as the pH falls, and that may crystallise though the salt dissolves.
void CheckFreedAcid(const Setting& setting, const Case& c, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const auto pka = catalogue.Number(c.ix, "pka", "1");
  const auto ions = catalogue.Number(c.ix, "counter_charge");
  if (!out.ph.used || !pka || !ions || ions->mid() <= 0) return;
  for (const kb::Fact& fact : catalogue.Facts(c.ix, "equivalent")) {
    const auto acid = catalogue.FindExact(fact.key);
    if (!acid || !fact.number || *acid == c.ix) continue;
    const Known known = InWater(catalogue, *acid, std::nullopt);
    const auto share = kb::chemistry::UndissociatedShare(pka->mid(), *out.ph.used);
    if (!known.cold || !share) continue;
    const double freed = c.item.pct * fact.number->mid() * *share;
    const auto dissolved = kb::chemistry::Dissolve(freed, c.water, known.cold);
    if (!dissolved || dissolved->verdict != DissolutionVerdict::kDoesNotDissolve) continue;
    Finding& finding = Say(
        out, Severity::kWarn, kTopic, "solubility:freed:" + catalogue.at(c.ix).id,
        fmt::format(
            "at pH {:.3g} the {} gives {} % free {}, and the water holds {}: it may crystallise in the cold",
            *out.ph.used, catalogue.at(c.ix).name, Figure(freed), catalogue.at(*acid).name,
            Held(*known.cold, c.water)),
        "use less of it, or a higher pH within its window");
    finding.ingredients = {c.ix};
    finding.sources = {SourceOf(catalogue, known.fact),
                       SourceOf(catalogue, catalogue.Best(c.ix, "pka", "1"))};
  }
}

// Solids in oil: no figures are published for most, so only the ideal law, which is an order of size.
void CheckInOil(const Setting& setting, const Substance& item, kb::IngredientIx ix, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const auto melting = catalogue.Number(ix, "melting_c");
  const auto molar_mass = catalogue.Number(ix, "molar_mass");
  SolubilityNote note;
  note.line = item.lines.front();
  note.where = "oil";
  note.pct = item.pct;
  note.verdict = "not known";
  note.text = fmt::format(
      "{}: how much the oils dissolve is not known; melt a sample in, chill it for a week and look",
      catalogue.at(ix).name);
  if (melting && molar_mass && melting->mid() > kRoom && melting->mid() <= 400 && molar_mass->mid() >= 10 &&
      molar_mass->mid() <= 5000) {
    const auto fraction = kb::chemistry::IdealSolubility(melting->mid(), kRoom);
    const auto grams =
        fraction && *fraction < 1
            ? kb::chemistry::GramsPer100Grams(*fraction, molar_mass->mid(), kOilMolarMass)
            : tl::expected<double, kb::chemistry::OutOfRange>(tl::unexpect, kb::chemistry::OutOfRange{});
    if (grams) {
      const double held = *grams * out.composition.oils / 100;
      note.limit_pct = held / kIdealTrust;
      note.verdict = item.pct <= held / kIdealTrust   ? "dissolves"
                     : item.pct <= held * kIdealTrust ? "borderline"
                                                      : "does not dissolve";
      note.text = fmt::format("{} % {}: by its melting point the oils hold about {} %, to a factor of three",
                              Figure(item.pct), catalogue.at(ix).name, Figure(held));
    }
  }
  if (note.verdict == "does not dissolve") {
    Finding& finding =
        Say(out, Severity::kNote, kTopic, "solubility:" + catalogue.at(ix).id,
            note.text + ", so it may come out as crystals",
            "take a polar ester among the oils, or less of it; chill a sample for a week and look");
    finding.ingredients = {ix};
    finding.sources = {SourceOf(catalogue, catalogue.Best(ix, "melting_c"))};
  }
  out.solubility.push_back(std::move(note));
}

void CheckSides(const Setting& setting, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const kb::Form form = setting.formula.kind.form;
  std::vector<std::size_t> oils;
  std::vector<std::size_t> waters;
  for (std::size_t i = 0; i < setting.formula.lines.size(); ++i) {
    const kb::FormulaLine& line = setting.formula.lines[i];
    if (line.pct <= 0) continue;
    const Side side = SideOf(catalogue, line.ingredient);
    if (side == Side::kOil && !HasAny(catalogue, line.ingredient, {"preservative", "preservative-booster"}))
      oils.push_back(i);
    if (side == Side::kWater && !GoesIntoOil(catalogue, line.ingredient)) waters.push_back(i);
  }
  const auto ingredients = [&](const std::vector<std::size_t>& lines) {
    std::vector<kb::IngredientIx> list;
    list.reserve(lines.size());
    for (const std::size_t line : lines) list.push_back(setting.formula.lines[line].ingredient);
    return list;
  };
  const bool watery = form == kb::Form::kWater || form == kb::Form::kGel;
  if (watery && !oils.empty() && out.composition.emulsifiers + out.composition.surfactant_active < 0.01 &&
      out.composition.alcohol < 20) {
    Finding& finding =
        Say(out, Severity::kWarn, kTopic, "solubility:floats",
            fmt::format(
                "nothing here carries in water what goes into oil ({}): it floats up or clings to the wall",
                LineNames(catalogue, setting.formula, oils)),
            "add a solubiliser, mixed with it before the water, or leave it out");
    finding.ingredients = ingredients(oils);
    finding.sources = {"common-practice"};
  }
  if (form == kb::Form::kAnhydrous && !waters.empty() && out.composition.emulsifiers < 0.01) {
    Finding& finding = Say(
        out, Severity::kWarn, kTopic, "solubility:sinks",
        fmt::format(
            "there is no water here to hold what does not go into oil ({}): it sinks, weeps or stays gritty",
            LineNames(catalogue, setting.formula, waters)),
        "leave it out, take an oil-soluble kin, or make it an emulsion");
    finding.ingredients = ingredients(waters);
    finding.sources = {"common-practice"};
  }
}

// Temperature of the heated phase that it stands in.
std::optional<double> HotC(const Setting& setting, const Assessment& out, const Substance& item) {
  std::optional<double> hot;
  for (const std::size_t line : item.lines) {
    const HeatNote& note = out.heat[setting.formula.lines[line].phase];
    if (note.heated && note.reaches_c && (!hot || *note.reaches_c > *hot)) hot = note.reaches_c;
  }
  return hot;
}

}  // namespace

void AddSolubility(const Setting& setting, Assessment& out) {
  const kb::Catalogue& catalogue = setting.catalogue;
  const double water = out.composition.water;
  for (const Substance& item : out.substances) {
    if (!item.record || item.pct <= 0) continue;
    const kb::IngredientIx ix = *item.record;
    if (IsLipid(catalogue, ix) || WaterShare(catalogue, ix) > 0.5 || !IsToDissolve(catalogue, ix)) continue;
    const bool solid = IsSolid(catalogue, ix);
    const bool oil_too = GoesIntoOil(catalogue, ix) && out.composition.oils > 0;
    const bool sparing_liquid = !solid && catalogue.Number(ix, "water_g_per_l") && !oil_too;
    if (!solid && !sparing_liquid) continue;
    const bool in_oil = oil_too && (catalogue.Choice(ix, "in_water") != "dissolves" ||
                                    IsOilPhase(out.phases[setting.formula.lines[item.lines.front()].phase]));
    if (in_oil) {
      CheckInOil(setting, item, ix, out);
    } else if (water >= kLeastWater) {
      const Case c{item, ix, water, HotC(setting, out, item)};
      CheckInWater(setting, c, out);
      CheckFreedAcid(setting, c, out);
    }
  }
  CheckSides(setting, out);
}

}  // namespace query::parts
