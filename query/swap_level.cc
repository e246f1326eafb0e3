#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "kb/chemistry/acid_base.h"
#include "query/solutes.h"
#include "query/swap.h"

namespace query {
namespace {

struct LawSetting {
  const Catalogue& catalogue;
  const kb::Function& role;
  IngredientIx missing;
  double missing_pct;
  IngredientIx stand_in;
  kb::Kind kind;
  std::optional<double> ph;
};

std::optional<Level> SameMass(const LawSetting& s) {
  return Level{s.missing_pct, "weight for weight", false};
}

std::optional<Level> ActiveMatter(const LawSetting& s) {
  const double have = ActiveShare(s.catalogue, s.missing);
  const double gives = ActiveShare(s.catalogue, s.stand_in);
  if (have <= 0 || gives <= 0) return std::nullopt;
  return Level{s.missing_pct * have / gives,
               fmt::format("equal active matter ({:.0f} % against {:.0f} %)", 100 * have, 100 * gives),
               false};
}

std::optional<Level> Moles(const LawSetting& s) {
  const auto a = s.catalogue.Number(s.missing, "molar_mass");
  const auto b = s.catalogue.Number(s.stand_in, "molar_mass");
  if (!a || !b) return std::nullopt;
  const double strength =
      ActiveShare(s.catalogue, s.missing) / std::max(ActiveShare(s.catalogue, s.stand_in), 1e-6);
  return Level{s.missing_pct * b->mid() / a->mid() * strength,
               fmt::format("mole for mole ({:.0f} against {:.0f} g/mol)", a->mid(), b->mid()), false};
}

// Charge that a mole brings at a pH: what it takes to move the pH, whatever the number of steps.
std::optional<double> EquivalentsPerGram(const LawSetting& s, IngredientIx ix) {
  const auto solute = SoluteOf(s.catalogue, ix);
  const auto mass = s.catalogue.Number(ix, "molar_mass");
  if (!solute || !mass) return std::nullopt;
  double charge = solute->charge_protonated;
  for (const kb::chemistry::StrongIon& ion : solute->strong_ions) charge += ion.charge * ion.per_formula;
  if (!solute->pka.empty()) {
    const auto shares = kb::chemistry::ProtonationShares(solute->pka, s.ph.value_or(7));
    if (!shares) return std::nullopt;
    for (std::size_t lost = 0; lost < shares->size(); ++lost)
      charge -= static_cast<double>(lost) * (*shares)[lost];
  }
  return charge / mass->mid() * ActiveShare(s.catalogue, ix);
}

std::optional<Level> Equivalents(const LawSetting& s) {
  const auto a = EquivalentsPerGram(s, s.missing);
  const auto b = EquivalentsPerGram(s, s.stand_in);
  if (!a || !b || std::abs(*b) < 1e-6 || *a / *b <= 0) return std::nullopt;
  return Level{
      s.missing_pct * *a / *b,
      s.ph ? fmt::format("equal equivalents at pH {:.1f}", *s.ph) : "equal equivalents, reckoned at pH 7",
      false};
}

std::optional<Level> UsagePosition(const LawSetting& s) {
  const auto a = UsualLevel(s.catalogue, s.missing, s.role.id, s.kind);
  const auto b = UsualLevel(s.catalogue, s.stand_in, s.role.id, s.kind);
  if (!a || !b || a->high <= 0 || b->high <= 0) return std::nullopt;
  // On a logarithmic scale: 0.1-1 % and 1-10 % are ranges of one shape.
  const auto log_of = [](double x) { return std::log(std::max(x, 1e-5)); };
  const double width = log_of(a->high) - log_of(a->low);
  const double place =
      width > 1e-6 ? std::clamp((log_of(s.missing_pct) - log_of(a->low)) / width, 0.0, 1.0) : 0.5;
  const double pct = std::exp(log_of(b->low) + place * (log_of(b->high) - log_of(b->low)));
  return Level{pct,
               fmt::format("the same place in its usual range ({:g}-{:g} % against {:g}-{:g} %)", b->low,
                           b->high, a->low, a->high),
               false};
}

std::optional<Level> Structure(const LawSetting& s) {
  const auto strength = [&](IngredientIx ix) -> std::optional<double> {
    const std::string_view word = s.catalogue.Choice(ix, "structures");
    if (word.empty()) return std::nullopt;
    return word == "weak" ? 0.6 : word == "medium" ? 1.0 : 1.5;
  };
  const auto a = strength(s.missing);
  const auto b = strength(s.stand_in);
  if (!a || !b) return std::nullopt;
  return Level{s.missing_pct * *a / *b,
               *a == *b  ? "weight for weight: it stiffens as much"
               : *a > *b ? "more of it: it stiffens less"
                         : "less of it: it stiffens more",
               false};
}

std::optional<Level> Ratio(const LawSetting& s) {
  const auto a = s.catalogue.Number(s.missing, "solubilise_ratio");
  const auto b = s.catalogue.Number(s.stand_in, "solubilise_ratio");
  if (!a || !b) return std::nullopt;
  return Level{s.missing_pct * b->mid() / a->mid(),
               fmt::format("by the usual ratio to the oil ({:g} against {:g} to 1): find it again by trial",
                           b->mid(), a->mid()),
               false};
}

std::optional<Level> ActiveEquivalent(const LawSetting& s) {
  for (const kb::Fact& fact : s.catalogue.Facts(s.missing, "equivalent")) {
    const auto other = s.catalogue.Number(s.stand_in, "equivalent", fact.key);
    if (!fact.number || !other || other->mid() <= 0) continue;
    return Level{s.missing_pct * fact.number->mid() / other->mid(), fmt::format("equal {}", fact.key), false};
  }
  return UsagePosition(s);
}

// A solution or another strength of the missing one itself: as much of the substance as before, whatever the role's law.
std::optional<Level> SameSubstance(const LawSetting& s) {
  const auto substances = [&](IngredientIx ix) {
    auto names = LabelNames(s.catalogue, ix);
    std::erase(names, std::string("AQUA"));
    return names;
  };
  if (substances(s.missing) != substances(s.stand_in)) return std::nullopt;
  const double have = ActiveShare(s.catalogue, s.missing);
  const double gives = ActiveShare(s.catalogue, s.stand_in);
  if (have <= 0 || gives <= 0 || have == gives) return std::nullopt;
  return Level{s.missing_pct * have / gives,
               fmt::format("as much of the same substance ({:.0f} % strong against {:.0f} %)", 100 * gives,
                           100 * have),
               false};
}

using Law = std::optional<Level> (*)(const LawSetting&);

Law LawOf(std::string_view name) {
  static constexpr std::array<std::pair<std::string_view, Law>, 8> kLaws = {{
      {"same-mass", SameMass},
      {"active-matter", ActiveMatter},
      {"moles", Moles},
      {"equivalents", Equivalents},
      {"usage-position", UsagePosition},
      {"structure", Structure},
      {"ratio", Ratio},
      {"active-equivalent", ActiveEquivalent},
  }};
  for (const auto& [known, law] : kLaws) {
    if (known == name) return law;
  }
  return SameMass;
}

// Rounded as a maker would write it: three figures below 1, a tenth above 10.
double Rounded(double pct) {
  if (pct <= 0) return 0;
  const double step = pct >= 10 ? 0.1 : pct >= 1 ? 0.05 : pct >= 0.1 ? 0.01 : pct >= 0.01 ? 0.001 : 0.0001;
  return std::max(step, std::round(pct / step) * step);
}

}  // namespace

Level LevelFor(const Catalogue& catalogue, const kb::Function& role, IngredientIx missing, double missing_pct,
               IngredientIx stand_in, kb::Kind kind, std::optional<double> ph) {
  const LawSetting setting{catalogue, role, missing, missing_pct, stand_in, kind, ph};
  std::optional<Level> level = SameSubstance(setting);
  const bool same_substance = level.has_value();
  if (!level) level = LawOf(role.level_law)(setting);
  if (!level) level = UsagePosition(setting);
  if (!level) level = SameMass(setting);
  // What is reckoned by moles is as much as the reaction takes: a usual range says nothing against it.
  const bool reckoned = same_substance || role.level_law == "moles" || role.level_law == "equivalents";
  const auto range = reckoned ? std::nullopt : UsualLevel(catalogue, stand_in, role.id, kind);
  if (range) {
    if (level->pct > range->high) {
      level->because += fmt::format(", held at its usual most of {:g} %", range->high);
      level->pct = range->high;
      level->clipped = true;
    } else if (level->pct < range->low && role.level_law != "same-mass" &&
               role.level_law != "active-matter") {
      level->because += fmt::format(", raised to its usual least of {:g} %", range->low);
      level->pct = range->low;
      level->clipped = true;
    }
  }
  if (reckoned && !same_substance) {
    constexpr double kBeyond = 4;  // times its usual most
    for (const kb::Fact& fact : catalogue.Facts(stand_in, "use_pct")) {
      if (fact.function == role.id && fact.number) level->beyond = level->pct > kBeyond * fact.number->high;
    }
  }
  for (const std::string& substance : LabelNames(catalogue, stand_in)) {
    for (const kb::Limit* limit : catalogue.LimitsOf(substance)) {
      if (!limit->max_pct || *limit->max_pct <= 0) continue;
      const bool here = limit->uses.empty() || std::find(limit->uses.begin(), limit->uses.end(),
                                                         kb::UseName(kind.use)) != limit->uses.end();
      if (!here || catalogue.at(stand_in).composition.size() > 1) continue;
      const double most = *limit->max_pct / std::max(limit->factor, 1e-6);
      if (level->pct <= most) continue;
      level->pct = std::floor(most * 1000) / 1000;
      level->because += fmt::format(", held at the legal {:g} %{}{}", *limit->max_pct,
                                    limit->expressed_as.empty() ? "" : " ", limit->expressed_as);
      level->clipped = true;
      return *level;
    }
  }
  const double rounded = Rounded(level->pct);
  level->pct = rounded;
  return *level;
}

}  // namespace query
