#include "query/swap_company.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

#include "kb/chemistry/hlb.h"

namespace query {
namespace {

constexpr std::string_view kPreservative = "preservative";
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
    if (setting.required_hlb) {
      const auto split =
          kb::chemistry::SplitForHlb(*setting.required_hlb, lead_hlb->mid(), partner_hlb->mid());
      if (split && split->first > 0.05 && split->second > 0.05) {
        const double total = std::max(lead_level, 2.0);
        because = fmt::format("the pair is split for the required HLB of {:.1f}", *setting.required_hlb);
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
  return std::any_of(setting.keep.begin(), setting.keep.end(), [&](const std::optional<std::size_t>& claim) {
    const ClaimState state = claim ? setting.claims.Of(setting.catalogue, ix, *claim) : ClaimState::kUnknown;
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

// A bit a kingdom that one of them covers.
std::uint32_t CoverOf(const Catalogue& catalogue, IngredientIx ix, std::optional<double> ph) {
  std::uint32_t covers = 0;
  for (std::size_t i = 0; i < kKingdoms.size(); ++i) {
    if (Covers(catalogue, ix, kKingdoms[i], ph)) covers |= std::uint32_t{1} << i;
  }
  return covers;
}

// What the formula's preservatives cover, with and without a line.
std::uint32_t CoverOf(const Catalogue& catalogue, const kb::Formula& formula,
                      std::optional<std::size_t> without_line, std::optional<double> ph) {
  std::uint32_t covers = 0;
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    const IngredientIx ix = formula.lines[i].ingredient;
    if (without_line != i && catalogue.HasFunction(ix, "preservative")) covers |= CoverOf(catalogue, ix, ph);
  }
  return covers;
}

constexpr std::uint32_t kAllKingdoms = (std::uint32_t{1} << kKingdoms.size()) - 1;

int GapsOf(std::uint32_t covers) {
  return std::popcount(kAllKingdoms & ~covers);
}

}  // namespace

void Company::FillPreservatives() {
  if (preservatives_) return;
  preservatives_.emplace();
  const Catalogue& catalogue = setting_.catalogue;
  const SwapQuestion& question = setting_.question;
  const std::vector<RoleRow>& rows = pass_.table().rows;
  for (std::uint32_t row = 0; row < rows.size(); ++row) {
    const IngredientIx ix = rows[row].ingredient;
    if (pass_.fits()[row] != Fit::kFits || !catalogue.HasFunction(ix, kPreservative) ||
        InFormula(question.formula, ix, question.line))
      continue;
    preservatives_->push_back({ix, CoverOf(catalogue, ix, setting_.ph), catalogue.Commonness(ix)});
  }
}

std::vector<Partner> Company::PreservativePartners(IngredientIx stand_in) {
  const Catalogue& catalogue = setting_.catalogue;
  const SwapQuestion& question = setting_.question;
  const std::uint32_t others = CoverOf(catalogue, question.formula, question.line, setting_.ph);
  // A gap that was there before is no fault of the swap, but where no preservative stood each is still to be closed.
  const std::uint32_t before = setting_.role.id == kPreservative
                                   ? CoverOf(catalogue, question.formula, std::nullopt, setting_.ph)
                                   : kAllKingdoms;
  const std::uint32_t after = others | CoverOf(catalogue, stand_in, setting_.ph);
  std::vector<std::string> fresh;
  for (std::size_t i = 0; i < kKingdoms.size(); ++i) {
    if ((before >> i & 1U) != 0 && (after >> i & 1U) == 0) fresh.emplace_back(kKingdoms[i]);
  }
  if (fresh.empty()) return {};
  // The pair that leaves the fewest gaps; among equals the commoner one.
  FillPreservatives();
  const kb::Function& role = catalogue.function(*catalogue.FindFunction(kPreservative));
  std::optional<IngredientIx> best;
  double best_score = 0;
  for (const Preservative& item : *preservatives_) {
    if (item.ingredient == stand_in) continue;
    const double closed = GapsOf(after) - GapsOf(after | item.covers);
    const double score = closed + 0.15 * item.common;
    if (closed > 0 && score > best_score) best = item.ingredient, best_score = score;
  }
  if (!best) return {};
  Partner partner{*best, 0, ""};
  partner.level_pct = LevelFor(catalogue, role, setting_.missing, question.formula.lines[question.line].pct,
                               *best, question.formula.kind, setting_.ph)
                          .pct;
  for (std::string& gap : fresh) std::replace(gap.begin(), gap.end(), '_', '-');
  partner.because = fmt::format("alone the stand-in would leave {} uncovered", fmt::join(fresh, " and "));
  return {partner};
}

std::vector<Partner> Company::For(IngredientIx stand_in, double& level_pct) {
  // Whatever took the part of a preservative: who takes it over has to cover what one alone does not.
  const auto& near = setting_.role.near;
  const bool preserves =
      setting_.role.id == kPreservative || (setting_.role.group == "preservation" &&
                                            std::find(near.begin(), near.end(), kPreservative) != near.end());
  if (preserves) return PreservativePartners(stand_in);
  if (setting_.role.group == "emulsion" || setting_.role.group == "hair")
    return EmulsifierPartners(setting_, stand_in, level_pct);
  return {};
}

}  // namespace query
