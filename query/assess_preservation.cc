// What keeps the product from going off: what could grow in it, what works against that at this pH, and what is left open.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "kb/chemistry/acid_base.h"
#include "kb/chemistry/preservation.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/facts.h"
#include "query/water_activity.h"

namespace query::parts {
namespace {

using kb::chemistry::Kingdom;
using kb::chemistry::Rating;

constexpr std::string_view kTopic = "preservation";

// Products in which germs hardly grow, after ISO 29621:2017 (memory): water activity up to 0.75, ethanol and other volatile
// alcohols from 20 %, pH up to 3 or from 10.
constexpr double kDryActivity = 0.75;
constexpr double kEnoughAlcohol = 20;
constexpr double kAcidPh = 3;
constexpr double kAlkalinePh = 10;
constexpr double kNoWater = 0.5;  // %: what butters and powders carry along
constexpr double kInactive =
    0.05;  // share of the acid that is active below which nobody counts on it; common practice
constexpr double kFarBelow = 0.5;     // of the least usual level: works one step less
constexpr double kHardlyThere = 0.1;  // of the least usual level: counts for nothing

struct KingdomWords {
  Kingdom kingdom;
  const char* key;
  const char* name;
  std::string PreservativeState::*field;
};
constexpr std::array<KingdomWords, 4> kKingdoms = {{
    {Kingdom::kGramPositive, "gram_positive", "Gram-positive bacteria", &PreservativeState::gram_positive},
    {Kingdom::kGramNegative, "gram_negative", "Gram-negative bacteria", &PreservativeState::gram_negative},
    {Kingdom::kYeast, "yeast", "yeast", &PreservativeState::yeast},
    {Kingdom::kMould, "mould", "mould", &PreservativeState::mould},
}};

constexpr std::array<std::string_view, 5> kRatings = {"", "none", "weak", "moderate", "good"};

Rating RatingOf(std::string_view word) {
  const auto found = std::find(kRatings.begin(), kRatings.end(), word);
  return found == kRatings.end() ? Rating::kUnknown : static_cast<Rating>(found - kRatings.begin());
}

std::string_view Word(Rating rating) {
  return kRatings[static_cast<std::size_t>(rating)];
}

Rating Lowered(Rating rating, int steps) {
  if (rating == Rating::kUnknown) return rating;
  const int lowest = static_cast<int>(Rating::kNone);
  return static_cast<Rating>(std::max(lowest, static_cast<int>(rating) - steps));
}

void Remark(PreservativeState& state, const std::string& text) {
  if (!state.remark.empty()) state.remark += "; ";
  state.remark += text;
}

// Share of one substance that is the acid which works; nullopt where that is no question.
std::optional<double> ActiveAcid(const kb::Catalogue& catalogue, kb::IngredientIx ix, double ph) {
  if (catalogue.Choice(ix, "active_form") != "undissociated-acid") return std::nullopt;
  const auto pka = catalogue.Number(ix, "pka", "1");
  if (!pka) return std::nullopt;
  const auto share = kb::chemistry::UndissociatedShare(pka->mid(), ph);
  return share ? std::optional(*share) : std::nullopt;
}

std::string Percent(double share) {
  return fmt::format("{:.{}f} %", 100 * share, share < 0.0995 ? 1 : 0);
}

// How many steps the pH takes from its ratings; 3 leaves nothing.
int StepsForPh(const Setting& setting, const PhEstimate& ph, kb::IngredientIx ix, PreservativeState& state) {
  const kb::Catalogue& catalogue = setting.catalogue;
  state.window = catalogue.Number(ix, "ph_active");
  if (!ph.used) {
    if (state.window)
      Remark(state, fmt::format("works from pH {:g} to {:g}; the pH is not known", state.window->low,
                                state.window->high));
    return 0;
  }
  state.active_share = ActiveAcid(catalogue, ix, *ph.used);
  state.in_window = !state.window || state.window->contains(*ph.used);
  std::string active;
  if (state.active_share) {
    active = fmt::format("at pH {:.3g} {} of its acid is active", *ph.used, Percent(*state.active_share));
  }
  for (const kb::Component& part : catalogue.at(ix).composition) {
    if (!part.ingredient) continue;
    const auto share = ActiveAcid(catalogue, *part.ingredient, *ph.used);
    if (!share) continue;
    active += fmt::format("{}at pH {:.3g} {} of the {} is active", active.empty() ? "" : ", ", *ph.used,
                          Percent(*share), catalogue.at(*part.ingredient).name);
  }
  if (!active.empty()) Remark(state, active);
  if (state.in_window) return 0;
  Remark(state, fmt::format("works from pH {:g} to {:g}", state.window->low, state.window->high));
  return state.active_share && *state.active_share < kInactive ? 3 : 1;
}

int StepsForLevel(const Setting& setting, kb::IngredientIx ix, PreservativeState& state) {
  const auto usual = UsualLevel(setting.catalogue, ix, "preservative", setting.formula.kind);
  if (!usual) return 0;
  if (state.pct >= usual->low * 0.999) return 0;
  const double share = state.pct / usual->low;
  Remark(state, fmt::format("{} %, usual from {:g} %", Figure(state.pct), usual->low));
  return share < kHardlyThere ? 3 : share < kFarBelow ? 1 : 0;
}

PreservativeState StateOf(const Setting& setting, const PhEstimate& ph, kb::IngredientIx ix, double pct,
                          std::size_t line) {
  PreservativeState state;
  state.line = line;
  state.inci = setting.catalogue.at(ix).inci;
  state.pct = pct;
  const int steps = StepsForPh(setting, ph, ix, state) + StepsForLevel(setting, ix, state);
  for (const KingdomWords& words : kKingdoms) {
    const Rating rating = RatingOf(setting.catalogue.Choice(ix, "spectrum", words.key));
    state.*words.field = Word(Lowered(rating, steps));
  }
  return state;
}

void FindPreservatives(const Setting& setting, Assessment& out) {
  const kb::Formula& formula = setting.formula;
  std::vector<bool> counted(formula.lines.size(), false);
  for (std::size_t i = 0; i < formula.lines.size(); ++i) {
    const kb::FormulaLine& line = formula.lines[i];
    if (line.pct <= 0 || !HasAny(setting.catalogue, line.ingredient, {"preservative"})) continue;
    counted[i] = true;
    out.preservation.preservatives.push_back(StateOf(setting, out.ph, line.ingredient, line.pct, i));
  }
  // What came along in an extract or a juice.
  for (const Substance& item : out.substances) {
    if (!item.record || item.pct <= 0 || !HasAny(setting.catalogue, *item.record, {"preservative"})) continue;
    if (std::any_of(item.lines.begin(), item.lines.end(), [&](std::size_t line) { return counted[line]; }))
      continue;
    PreservativeState state = StateOf(setting, out.ph, *item.record, item.pct, item.lines.front());
    state.carried = true;
    Remark(state, "comes along in " + LineNames(setting.catalogue, formula, item.lines));
    out.preservation.preservatives.push_back(std::move(state));
  }
}

// Why it may do without, or nullopt. A finding goes with each.
std::optional<std::string> WhyNotNeeded(const Setting& setting, Assessment& out) {
  const Composition& sums = out.composition;
  if (sums.water < kNoWater) {
    return fmt::format(
        "there is no water in it to grow anything; wet fingers, steam and bath water bring some: "
        "keep it dry{}",
        setting.formula.kind.use == kb::Use::kRinseOff ? ", and preserve it if it is used wet" : "");
  }
  out.preservation.water_activity = WaterActivityAtMost(setting.catalogue, out.substances, sums.water);
  if (const auto& activity = out.preservation.water_activity; activity && *activity <= kDryActivity) {
    return fmt::format(
        "the polyols hold the water: its activity is about {:.2f} at most, where few germs grow; condensed "
        "water on top is not held",
        *activity);
  }
  if (sums.alcohol >= kEnoughAlcohol) {
    return fmt::format("{:.0f} % alcohol keeps itself; what evaporates or is diluted no longer does",
                       sums.alcohol);
  }
  if (!out.ph.used) return std::nullopt;
  if (*out.ph.used <= kAcidPh || *out.ph.used >= kAlkalinePh) {
    return fmt::format(
        "at pH {:.1f} few germs grow; that holds only while the pH does, so measure it again later",
        *out.ph.used);
  }
  return std::nullopt;
}

Rating Best(const Preservation& state, const KingdomWords& words) {
  std::vector<kb::chemistry::Spectrum> spectra;
  Rating best = Rating::kUnknown;
  for (const PreservativeState& item : state.preservatives) {
    best = std::max(best, RatingOf(item.*words.field));
  }
  return best;
}

std::vector<kb::IngredientIx> Lines(const Setting& setting, const Preservation& state) {
  std::vector<kb::IngredientIx> out;
  for (const PreservativeState& item : state.preservatives) {
    out.push_back(setting.formula.lines[item.line].ingredient);
  }
  return out;
}

void SayNone(const Setting& setting, Assessment& out) {
  std::vector<std::size_t> boosters;
  for (std::size_t i = 0; i < setting.formula.lines.size(); ++i) {
    if (HasAny(setting.catalogue, setting.formula.lines[i].ingredient, {"preservative-booster"}))
      boosters.push_back(i);
  }
  std::string text = fmt::format(
      "{:.0f} % water and no preservative: bacteria, yeast and mould grow in it within days, long "
      "before anything shows",
      out.composition.water);
  if (!boosters.empty()) {
    text += fmt::format("; {} only helps a preservative and is none",
                        LineNames(setting.catalogue, setting.formula, boosters));
  }
  Finding& finding =
      Say(out, Severity::kStop, kTopic, "preservation:none", std::move(text),
          "add a broad preservative that works at its pH; keep nothing unpreserved longer than a few days in "
          "the refrigerator; test before sale (ISO 11930)");
  for (const std::size_t line : boosters)
    finding.ingredients.push_back(setting.formula.lines[line].ingredient);
  finding.sources = {"common-practice"};
}

// There are preservatives, and each is out of its window or far below its level: one finding, with the reasons.
void SayAsGoodAsNone(const Setting& setting, const std::string& at, Assessment& out) {
  std::string text = fmt::format(
      "nothing in it works as a preservative{} and at this level: it is as good as unpreserved", at);
  std::vector<std::string> sources;
  const auto add_source = [&](kb::IngredientIx ix, std::string_view property, std::string_view key) {
    const std::string source = SourceOf(setting.catalogue, setting.catalogue.Best(ix, property, key));
    if (!source.empty() && std::find(sources.begin(), sources.end(), source) == sources.end())
      sources.push_back(source);
  };
  for (const PreservativeState& item : out.preservation.preservatives) {
    if (item.remark.empty() || item.carried) continue;
    const kb::IngredientIx ix = setting.formula.lines[item.line].ingredient;
    text += fmt::format("; {}: {}", setting.catalogue.at(ix).name, item.remark);
    if (item.window) add_source(ix, "ph_active", "");
    if (item.active_share) add_source(ix, "pka", "1");
  }
  Finding& finding = Say(out, Severity::kStop, kTopic, "preservation:none", std::move(text),
                         "change the pH or the preservative; test before sale (ISO 11930)");
  finding.ingredients = Lines(setting, out.preservation);
  finding.sources = sources.empty() ? std::vector<std::string>{"common-practice"} : std::move(sources);
}

void SaySpectrum(const Setting& setting, Assessment& out) {
  Preservation& state = out.preservation;
  std::vector<std::string> missing;
  std::vector<std::string> weak;
  std::vector<std::string> unknown;
  for (const KingdomWords& words : kKingdoms) {
    const Rating best = Best(state, words);
    if (best >= Rating::kModerate) continue;
    state.gaps.emplace_back(words.key);
    (best == Rating::kUnknown ? unknown : best == Rating::kNone ? missing : weak).emplace_back(words.name);
  }
  state.covered = state.gaps.empty();
  if (state.covered) return;
  const std::string at = out.ph.used ? fmt::format(" at pH {:.3g}", *out.ph.used) : "";
  if (missing.size() == kKingdoms.size()) {
    SayAsGoodAsNone(setting, at, out);
    return;
  }
  std::vector<std::string> parts;
  if (!missing.empty()) parts.push_back(fmt::format("nothing holds {}", Joined(missing)));
  if (!weak.empty())
    parts.push_back(fmt::format(
        "{} {} held only weakly", Joined(weak),
        weak.size() == 1 && weak[0] != kKingdoms[0].name && weak[0] != kKingdoms[1].name ? "is" : "are"));
  if (!unknown.empty()) parts.push_back(fmt::format("not known for {}", Joined(unknown)));
  const bool only_unknown = missing.empty() && weak.empty();
  Finding& finding = Say(out, only_unknown ? Severity::kNote : Severity::kWarn, kTopic, "preservation:gaps",
                         fmt::format("{}{}", fmt::join(parts, "; "), at),
                         "add a partner that covers it; only a challenge test (ISO 11930) shows what holds");
  finding.ingredients = Lines(setting, state);
  for (const PreservativeState& item : state.preservatives) {
    const std::string source = SourceOf(
        setting.catalogue, setting.catalogue.Best(setting.formula.lines[item.line].ingredient, "spectrum"));
    if (!source.empty() &&
        std::find(finding.sources.begin(), finding.sources.end(), source) == finding.sources.end())
      finding.sources.push_back(source);
  }
}

void SayWindows(const Setting& setting, Assessment& out) {
  for (const PreservativeState& item : out.preservation.preservatives) {
    if (item.carried || item.in_window || !item.window || !out.ph.used) continue;
    const kb::IngredientIx ix = setting.formula.lines[item.line].ingredient;
    if (!IsMainly(setting.catalogue, ix, {"preservative"})) continue;
    const std::string& name = setting.catalogue.at(ix).name;
    std::string text = fmt::format("{} preserves from pH {:g} to {:g}, the pH here is {:.3g}", name,
                                   item.window->low, item.window->high, *out.ph.used);
    if (item.active_share) {
      text += fmt::format(": at pH {:.3g} only {} of the acid is active", *out.ph.used,
                          Percent(*item.active_share));
    }
    const bool high = *out.ph.used > item.window->high;
    Finding& finding = Say(
        out, Severity::kWarn, kTopic, "preservation:window:" + setting.catalogue.at(ix).id, std::move(text),
        high ? fmt::format("bring the pH to {:g} or below, or take a preservative that works at this pH",
                           item.window->high)
             : fmt::format("bring the pH to {:g} or above, or take a preservative that works at this pH",
                           item.window->low));
    finding.ingredients = {ix};
    finding.sources = {SourceOf(setting.catalogue, setting.catalogue.Best(ix, "ph_active"))};
    if (item.active_share) {
      finding.sources.push_back(SourceOf(setting.catalogue, setting.catalogue.Best(ix, "pka", "1")));
    }
  }
}

void SayRemarks(const Setting& setting, Assessment& out) {
  const Preservation& state = out.preservation;
  for (const PreservativeState& item : state.preservatives) {
    const kb::IngredientIx ix = setting.formula.lines[item.line].ingredient;
    const auto usual = UsualLevel(setting.catalogue, ix, "preservative", setting.formula.kind);
    if (item.carried || !usual || item.pct >= usual->low * kFarBelow ||
        !IsMainly(setting.catalogue, ix, {"preservative"}))
      continue;
    Finding& finding =
        Say(out, Severity::kWarn, kTopic, "preservation:level:" + setting.catalogue.at(ix).id,
            fmt::format("{} % {} is far below its usual {:g} to {:g} %, so it counts for less",
                        Figure(item.pct), setting.catalogue.at(ix).name, usual->low, usual->high),
            "raise it to its usual level within the limit");
    finding.ingredients = {ix};
    finding.sources = {SourceOf(setting.catalogue, setting.catalogue.Best(ix, "use_pct"))};
  }
  if (!state.chelator) {
    Say(out, Severity::kNote, kTopic, "preservation:chelator",
        "no chelating agent: metals in the water feed and shield germs, "
        "and Gram-negative bacteria stand more",
        "0.1 to 0.2 % of a chelating agent helps most preservatives")
        .sources = {"common-practice"};
  }
  if (!out.ph.used) {
    out.unknown.emplace_back(
        "the pH is not known, so the preservatives are taken as if it lay within their windows: set a target "
        "pH and measure");
  }
}

}  // namespace

void AddPreservation(const Setting& setting, Assessment& out) {
  Preservation& state = out.preservation;
  for (const Substance& item : out.substances) {
    if (item.record && item.pct > 0.02 && HasAny(setting.catalogue, *item.record, {"chelating-agent"}))
      state.chelator = true;
  }
  FindPreservatives(setting, out);
  if (const auto why = WhyNotNeeded(setting, out)) {
    state.because = *why;
    if (state.preservatives.empty()) {
      Say(out, Severity::kNote, kTopic, "preservation:self", "no preservative: " + *why,
          out.composition.water < kNoWater ? "" : "test before sale (ISO 11930)")
          .sources = {"common-practice"};
    }
    return;
  }
  state.needed = true;
  state.because = fmt::format("{:.0f} % water that can grow something", out.composition.water);
  if (state.water_activity && *state.water_activity < 0.95) {
    state.because += fmt::format(", activity about {:.2f}", *state.water_activity);
  }
  if (state.preservatives.empty()) {
    for (const KingdomWords& words : kKingdoms) state.gaps.emplace_back(words.key);
    SayNone(setting, out);
    return;
  }
  SaySpectrum(setting, out);
  const bool as_good_as_none = !out.findings.empty() && out.findings.back().severity == Severity::kStop &&
                               out.findings.back().key == "preservation:none";
  if (!as_good_as_none) SayWindows(setting, out);  // else it has said why
  SayRemarks(setting, out);
}

}  // namespace query::parts
