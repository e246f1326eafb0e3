#include "query/swap_company.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "kb/chemistry/hlb.h"

namespace query {
namespace {

constexpr std::array<const char*, 4> kKingdoms = {"gram_positive", "gram_negative", "yeast", "mould"};

bool CoversAt(const Catalogue& catalogue, IngredientIx ix, const char* kingdom, std::optional<double> ph) {
  const std::string_view rating = catalogue.Choice(ix, "spectrum", kingdom);
  if (rating != "good" && rating != "moderate") return false;
  const auto window = catalogue.Number(ix, "ph_active");
  return !ph || !window || (*ph >= window->low - 0.3 && *ph <= window->high + 0.3);
}

// Does it, or a part of it, cover the kingdom?
bool Covers(const Catalogue& catalogue, IngredientIx ix, const char* kingdom, std::optional<double> ph) {
  if (CoversAt(catalogue, ix, kingdom, ph)) return true;
  const auto& parts = catalogue.at(ix).composition;
  return std::any_of(parts.begin(), parts.end(), [&](const kb::Component& part) {
    return part.ingredient && catalogue.HasFunction(*part.ingredient, "preservative") &&
           Covers(catalogue, *part.ingredient, kingdom, ph);
  });
}

bool InFormula(const kb::Formula& formula, IngredientIx ix, std::size_t except_line) {
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    if (i != except_line && formula.lines[i].ingredient == ix) return true;
  }
  return false;
}

double UsualMiddle(const Catalogue& catalogue, IngredientIx ix, std::string_view function, kb::Kind kind) {
  const auto range = UsualLevel(catalogue, ix, function, kind);
  if (!range) return 1;
  return std::sqrt(std::max(range->low, 0.01) * std::max(range->high, 0.01));
}

// Level of the partner: from the required HLB where both are nonionic and known, else the middle of its usual range.
double PartnerLevel(const RuleSetting& setting, IngredientIx lead, IngredientIx partner, double& lead_level,
                    std::string& because) {
  const Catalogue& catalogue = setting.catalogue;
  const auto lead_hlb = catalogue.Number(lead, "hlb");
  const auto partner_hlb = catalogue.Number(partner, "hlb");
  const bool nonionic =
      catalogue.Choice(lead, "charge") == "nonionic" && catalogue.Choice(partner, "charge") == "nonionic";
  if (lead_hlb && partner_hlb && nonionic && !IsLipid(catalogue, partner)) {
    const Assessment now = Assess(catalogue, setting.question.formula);
    if (now.emulsion.required_hlb) {
      const auto split =
          kb::chemistry::SplitForHlb(*now.emulsion.required_hlb, lead_hlb->mid(), partner_hlb->mid());
      if (split && split->first > 0.05 && split->second > 0.05) {
        const double total = std::max(lead_level, 2.0);
        because = fmt::format("the pair is split for the required HLB of {:.1f}", *now.emulsion.required_hlb);
        lead_level = std::round(total * split->first * 10) / 10;
        return std::max(0.1, std::round(total * split->second * 10) / 10);
      }
    }
  }
  const std::string_view function =
      catalogue.HasFunction(partner, "co-emulsifier") ? "co-emulsifier" : "bodying-agent";
  return std::round(UsualMiddle(catalogue, partner, function, setting.question.formula.kind) * 10) / 10;
}

bool MayBreakAClaim(const RuleSetting& setting, IngredientIx ix) {
  const auto& keep = setting.question.keep;
  return std::any_of(keep.begin(), keep.end(), [&](const std::string& claim) {
    const ClaimState state = KeepsClaim(setting.catalogue, ix, claim).state;
    return state == ClaimState::kBroken || state == ClaimState::kUnknown;
  });
}

std::vector<Partner> EmulsifierPartners(const RuleSetting& setting, IngredientIx stand_in,
                                        double& level_pct) {
  const Catalogue& catalogue = setting.catalogue;
  const SwapQuestion& question = setting.question;
  const auto partners = catalogue.Facts(stand_in, "partner");
  if (partners.empty() || catalogue.Choice(stand_in, "complete") == "yes") return {};
  for (const kb::Fact& fact : partners) {
    const auto ix = catalogue.FindId(fact.text);
    if (!ix) continue;
    if (InFormula(question.formula, *ix, question.line)) {
      return {{*ix, 0, fmt::format("{} is in the formula already", catalogue.at(*ix).name)}};
    }
  }
  for (const kb::Fact& fact : partners) {
    const auto ix = catalogue.FindId(fact.text);
    if (!ix || *ix == setting.missing) continue;
    const auto& also_missing = question.also_missing;
    if (std::find(also_missing.begin(), also_missing.end(), *ix) != also_missing.end()) continue;
    // A fatty alcohol is no emulsifier and fails the rules of the role; those of the claims hold for it, too.
    if (MayBreakAClaim(setting, *ix)) continue;
    if (Judge(setting, *ix).fit == Fit::kRuledOut && !IsLipid(catalogue, *ix)) continue;
    Partner partner{*ix, 0, fact.note.empty() ? "it is no complete emulsifier alone" : fact.note};
    std::string split;
    partner.level_pct = PartnerLevel(setting, stand_in, *ix, level_pct, split);
    if (!split.empty()) partner.because += "; " + split;
    return {partner};
  }
  return {};
}

std::vector<Partner> PreservativePartners(const RuleSetting& setting, IngredientIx stand_in) {
  const Catalogue& catalogue = setting.catalogue;
  const SwapQuestion& question = setting.question;
  const auto gaps = Uncovered(catalogue, question.formula, question.line, {stand_in}, setting.ph);
  // A gap that was there before is no fault of the swap, but where no preservative stood each is still to be closed.
  const auto old_gaps = setting.role.id == "preservative"
                            ? Uncovered(catalogue, question.formula, std::nullopt, {}, setting.ph)
                            : std::vector<std::string>();
  std::vector<std::string> fresh;
  for (const std::string& gap : gaps) {
    if (std::find(old_gaps.begin(), old_gaps.end(), gap) == old_gaps.end()) fresh.push_back(gap);
  }
  if (fresh.empty()) return {};
  // The pair that leaves the fewest gaps; among equals the commoner one.
  const auto role = catalogue.FindFunction("preservative");
  std::optional<IngredientIx> best;
  double best_score = 0;
  for (const IngredientIx ix : catalogue.Members(*role)) {
    if (ix == stand_in || ix == setting.missing || InFormula(question.formula, ix, question.line)) continue;
    if (Judge(setting, ix).fit != Fit::kFits) continue;
    const auto left = Uncovered(catalogue, question.formula, question.line, {stand_in, ix}, setting.ph);
    const double closed = static_cast<double>(gaps.size()) - static_cast<double>(left.size());
    const double score = closed + 0.15 * catalogue.Number(ix, "commonness").value_or(kb::Range{}).mid();
    if (closed > 0 && score > best_score) best = ix, best_score = score;
  }
  if (!best) return {};
  Partner partner{*best, UsualMiddle(catalogue, *best, "preservative", question.formula.kind), ""};
  const auto level =
      LevelFor(catalogue, catalogue.function(*role), setting.missing,
               question.formula.lines[question.line].pct, *best, question.formula.kind, setting.ph);
  partner.level_pct = level.pct;
  for (std::string& gap : fresh) std::replace(gap.begin(), gap.end(), '_', '-');
  partner.because = fmt::format("alone the stand-in would leave {} uncovered", fmt::join(fresh, " and "));
  return {partner};
}

}  // namespace

std::vector<std::string> Uncovered(const Catalogue& catalogue, const kb::Formula& formula,
                                   std::optional<std::size_t> without_line,
                                   const std::vector<IngredientIx>& with, std::optional<double> ph) {
  std::vector<std::string> gaps;
  for (const char* kingdom : kKingdoms) {
    bool covered = std::any_of(with.begin(), with.end(),
                               [&](IngredientIx ix) { return Covers(catalogue, ix, kingdom, ph); });
    for (std::size_t i = 0; i < formula.lines.size() && !covered; ++i) {
      if (without_line && *without_line == i) continue;
      const IngredientIx ix = formula.lines[i].ingredient;
      covered = catalogue.HasFunction(ix, "preservative") && Covers(catalogue, ix, kingdom, ph);
    }
    if (!covered) gaps.emplace_back(kingdom);
  }
  return gaps;
}

std::vector<Partner> PartnersFor(const RuleSetting& setting, IngredientIx stand_in, double& level_pct) {
  // Whatever took the part of a preservative: who takes it over has to cover what one alone does not.
  const auto& near = setting.role.near;
  const bool preserves = setting.role.id == "preservative" ||
                         (setting.role.group == "preservation" &&
                          std::find(near.begin(), near.end(), "preservative") != near.end());
  if (preserves) return PreservativePartners(setting, stand_in);
  if (setting.role.group == "emulsion" || setting.role.group == "hair")
    return EmulsifierPartners(setting, stand_in, level_pct);
  return {};
}

}  // namespace query
