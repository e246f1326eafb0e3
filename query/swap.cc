#include "query/swap.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "query/swap_blend.h"
#include "query/swap_company.h"
#include "query/swap_pass.h"
#include "query/swap_rebalance.h"
#include "query/swap_rules.h"
#include "query/swap_tips.h"
#include "query/swap_verdict.h"

namespace query {
namespace {

constexpr std::size_t kAssessed =
    3;  // candidates assessed at most for each one wanted: some fall on their findings
constexpr double kClaimLost = 0.92;       // for each claim that the formula kept and would not keep
constexpr std::size_t kOilsBlended = 14;  // the likeliest oils that a blend is looked for among
constexpr double kBlendGain = 0.08;       // what a second bottle has to win on the fatty acids
constexpr double kBlendPrior = 0.93;      // of two answers that are as alike, the one with one bottle
constexpr std::size_t kRuledOutShown = 12;
constexpr std::size_t kByNatureShown = 3;

// A stand-in on its way: the words that nobody may come to read are made at the end.
struct Draft {
  StandIn out;
  IngredientIx lead = 0;
  std::string because;  // where its function is one that can only take over
  Ruling ruling;
  Merit merit;
  Assessment after;
};

std::optional<double> PhaseHeat(const Catalogue& catalogue, const kb::Formula& formula, std::size_t line) {
  std::optional<double> heat;
  for (const kb::FormulaLine& item : formula.lines) {
    if (item.phase != formula.lines[line].phase) continue;
    const auto needs = catalogue.Number(item.ingredient, "needs_c");
    const std::string_view phase = catalogue.Choice(item.ingredient, "phase");
    if (phase == "cool-down" || phase == "cool-down-water") continue;
    if (needs) heat = std::max(heat.value_or(0), needs->low);
  }
  return heat;
}

void AddUnique(std::vector<std::string>& list, std::string text) {
  if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(std::move(text));
}

// What a maker notices, from the compared properties: the words are in data/properties.toml.
void AddFeel(const Catalogue& catalogue, const std::vector<Compared>& compared,
             std::vector<Change>& changes) {
  for (const Compared& one : compared) {
    if (one.order == 0) continue;
    const auto ix = catalogue.FindProperty(one.property);
    if (!ix) continue;
    const kb::Property& property = catalogue.properties()[*ix];
    const std::string& words = one.order > 0 ? property.more : property.less;
    if (words.empty()) continue;
    changes.push_back({"feel", words, one.missing, one.stand_in, property.unit, Severity::kNote});
  }
}

// A caution of one use holds from the level of that use on: what peels at 5 % only sets the pH at 0.3 %.
bool HoldsAt(const Catalogue& catalogue, IngredientIx ix, const kb::Fact& caution, double pct,
             kb::Kind kind) {
  if (caution.function.empty()) return true;
  const auto usual = UsualLevel(catalogue, ix, caution.function, kind);
  return !usual || pct >= usual->low;
}

void AddHandling(const RuleSetting& setting, const Assessment& after, StandIn& out) {
  const Catalogue& catalogue = setting.catalogue;
  for (const BlendPart& part : out.blend) {
    const std::string& name = catalogue.at(part.ingredient).name;
    if (const auto needs = catalogue.Number(part.ingredient, "needs_c"); needs && needs->low > 30) {
      AddUnique(out.handling, fmt::format("heat {} to {:.0f} C", name, needs->low));
    }
    if (const kb::Fact* most = catalogue.Best(part.ingredient, "max_c"); most != nullptr && most->number) {
      if (setting.heat_c && most->number->high < *setting.heat_c + 1) {
        AddUnique(out.handling, fmt::format("add {} below {:.0f} C{}{}", name, most->number->high,
                                            most->note.empty() ? "" : ": ", most->note));
      }
    }
    if (catalogue.Says(part.ingredient, "lumps", "yes")) {
      AddUnique(
          out.handling,
          fmt::format("{} lumps: wet it in glycerin or another glycol, or sprinkle it on slowly", name));
    }
    if (catalogue.Says(part.ingredient, "neutralise", "yes")) {
      AddUnique(out.handling, fmt::format("{} has to be neutralised before it thickens", name));
    }
    if (catalogue.Says(part.ingredient, "shear", "needs-high"))
      AddUnique(out.handling, fmt::format("{} needs high shear", name));
    if (const double water = WaterShare(catalogue, part.ingredient); water > 0.05 && water < 0.97) {
      AddUnique(out.handling, fmt::format("{} brings {:.0f} % water, which comes off the formula's water",
                                          name, 100 * water));
    }
    for (std::string& tip : TipsFor(catalogue, out.after, setting.missing, part.ingredient))
      AddUnique(out.handling, std::move(tip));
    for (const kb::Fact& fact : catalogue.Facts(part.ingredient, "caution")) {
      if (!HoldsAt(catalogue, part.ingredient, fact, part.level_pct, out.after.kind)) continue;
      AddUnique(out.cautions,
                fmt::format("{}: {}{}{}", name, fact.text, fact.note.empty() ? "" : " - ", fact.note));
    }
  }
  if (after.preservation.needed || kb::HoldsWater(setting.question.formula.kind.form)) {
    AddUnique(
        out.cautions,
        "measure the pH of the new batch; have the changed formula challenge-tested before sale (ISO 11930)");
  }
}

void AddSources(const Catalogue& catalogue, StandIn& out) {
  std::set<std::string> keys;
  for (const Compared& one : out.compared) {
    if (!one.likeness) continue;
    if (const kb::Fact* fact = catalogue.Best(out.blend.front().ingredient, one.property)) {
      keys.insert(catalogue.source(fact->source).key);
    }
  }
  for (const Change& change : out.changes) {
    if (change.topic == "limit") keys.insert("eu-1223-2009");
  }
  out.sources.assign(keys.begin(), keys.end());
}

class Engine {
 public:
  Engine(const Catalogue& catalogue, const SwapQuestion& question)
      : catalogue_(catalogue), question_(question) {}

  SwapAnswer Run() {
    const kb::FormulaLine& line = question_.formula.lines[question_.line];
    answer_.missing = line.ingredient;
    answer_.level_pct = line.pct;
    answer_.setting = question_.setting;
    answer_.typical = question_.typical;
    answer_.before = Assess(catalogue_, question_.formula, Depth::kForDiff);
    answer_.roles = RolesOf(catalogue_, question_.formula, question_.line);
    answer_.role = answer_.roles.front().function;
    if (const auto told = catalogue_.FindFunction(question_.role)) answer_.role = *told;
    const kb::Function& role = catalogue_.function(answer_.role);
    if (role.swap == "never") {
      answer_.verdict = "do-not-swap";
      const std::string own = OwnLimit(catalogue_, answer_);
      answer_.because = own.empty() ? role.swap_note : own + "; " + role.swap_note;
      AnswerWhyNotWith(role.swap_note);
      return std::move(answer_);
    }
    Rank(role);
    GiveVerdict(catalogue_, role, answer_);
    return std::move(answer_);
  }

 private:
  void Rank(const kb::Function& role) {
    const RuleSetting setting(catalogue_, question_, answer_.role, answer_.missing, answer_.before,
                              PhaseHeat(catalogue_, question_.formula, question_.line));
    const CandidatePass pass(setting, catalogue_.Once<RoleTables>().Of(catalogue_, answer_.role),
                             answer_.roles);
    ShowRuledOut(setting, pass);
    const std::vector<IngredientIx> oils = ProposeSingles(setting, pass);
    ProposeBlend(setting, pass, oils);
    std::stable_sort(drafts_.begin(), drafts_.end(),
                     [](const Draft& a, const Draft& b) { return a.out.score > b.out.score; });
    DropRepeats();
    WhyNot(setting, pass);
    if (drafts_.size() > question_.limit) drafts_.resize(question_.limit);
    for (Draft& draft : drafts_) {
      PutInWords(setting, role, draft);
      answer_.stand_ins.push_back(std::move(draft.out));
    }
    if (question_.rebalance) RebalanceAll(catalogue_, question_.formula, answer_);
  }

  // A with B beside it and B with A beside it are one proposal, the better of which stays.
  void DropRepeats() {
    std::set<std::set<IngredientIx>> seen;
    const auto repeats = [&](const Draft& draft) {
      std::set<IngredientIx> parts;
      for (const BlendPart& part : draft.out.blend) parts.insert(part.ingredient);
      return !seen.insert(std::move(parts)).second && !Asked(draft.lead);
    };
    std::vector<Draft> kept;
    for (Draft& draft : drafts_) {
      if (!repeats(draft)) kept.push_back(std::move(draft));
    }
    drafts_ = std::move(kept);
  }

  // Those that a maker would have tried first: of the role itself before its near kin, and of those that are on the wrong side or
  // for other products only the few likeliest.
  void ShowRuledOut(const RuleSetting& setting, const CandidatePass& pass) {
    const std::vector<RoleRow>& rows = pass.table().rows;
    std::array<std::vector<std::uint32_t>, 4> lists;  // of the role, its near kin; then those by their nature
    for (std::uint32_t row = 0; row < rows.size(); ++row) {
      if (pass.fits()[row] != Fit::kRuledOut || pass.IsMissing(row)) continue;
      lists[(pass.ByNature(row) ? 2U : 0U) + (rows[row].near == 0 ? 0U : 1U)].push_back(row);
    }
    const auto before = [&](std::uint32_t a, std::uint32_t b) {
      return pass.scores()[a] != pass.scores()[b] ? pass.scores()[a] > pass.scores()[b] : a < b;
    };
    for (std::size_t i = 0; i < lists.size(); ++i) {
      std::vector<std::uint32_t>& list = lists[i];
      const std::size_t room = kRuledOutShown - std::min(answer_.ruled_out.size(), kRuledOutShown);
      const std::size_t most = std::min(list.size(), i < 2    ? room
                                                     : i == 2 ? std::min(room, kByNatureShown)
                                                              : 0);
      const auto shown = list.begin() + static_cast<std::ptrdiff_t>(most);
      std::partial_sort(list.begin(), shown, list.end(), before);
      // Every one asked for, however far down.
      const auto end =
          std::partition(shown, list.end(), [&](std::uint32_t row) { return Asked(rows[row].ingredient); });
      std::sort(shown, end, before);
      for (auto row = list.begin(); row != end; ++row) {
        const Ruling ruling = Judge(setting, rows[*row].ingredient, pass.table().facts[*row], true);
        answer_.ruled_out.push_back({rows[*row].ingredient, ruling.reasons.front()});
      }
    }
  }

  // Assesses the best ones, until nobody behind them can rank among those wanted: findings only ever lower a score. Returns those
  // that a blend may be made of, the likeliest first; empty where a blend is out of the question.
  std::vector<IngredientIx> ProposeSingles(const RuleSetting& setting, const CandidatePass& pass) {
    const auto fits = [&](std::uint32_t row) { return pass.fits()[row] != Fit::kRuledOut; };
    const std::vector<std::uint32_t> rows = pass.Best(kAssessed * question_.limit, fits);
    const bool asked = std::any_of(rows.begin(), rows.end(), [&](std::uint32_t row) {
      return Asked(pass.table().rows[row].ingredient);
    });
    const bool blendable = FattyAcidsOf(catalogue_, answer_.missing).has_value();
    std::vector<IngredientIx> oils;
    Company company(setting, pass);
    for (const std::uint32_t row : rows) {
      const bool settled = !blendable || oils.size() >= kOilsBlended;
      if (!asked && settled && NobodyBehind(pass.scores()[row])) break;
      if (Propose(setting, pass, company, row) == Fit::kFits)
        oils.push_back(pass.table().rows[row].ingredient);
    }
    if (!blendable) return {};
    // Behind them those that were not assessed.
    const std::vector<std::uint32_t> more = pass.Best(
        kOilsBlended + rows.size(), [&](std::uint32_t row) { return pass.fits()[row] == Fit::kFits; });
    for (const std::uint32_t row : more) {
      if (std::find(rows.begin(), rows.end(), row) == rows.end())
        oils.push_back(pass.table().rows[row].ingredient);
    }
    if (oils.size() > kOilsBlended) oils.resize(kOilsBlended);
    return oils;
  }

  // Are as many as are wanted at least as good as this score?
  bool NobodyBehind(double score) const {
    const auto good = std::count_if(drafts_.begin(), drafts_.end(),
                                    [&](const Draft& draft) { return draft.out.score >= score; });
    return static_cast<std::size_t>(good) >= question_.limit;
  }

  // A single stand-in: its level by the law of the role, with the partners that it needs. Returns how it fits in the end.
  Fit Propose(const RuleSetting& setting, const CandidatePass& pass, Company& company, std::uint32_t row) {
    const RoleRow& item = pass.table().rows[row];
    Draft draft;
    StandIn& out = draft.out;
    draft.lead = item.ingredient;
    draft.ruling = Judge(setting, item.ingredient, pass.table().facts[row], true);
    draft.merit = pass.MeritOf(row);
    const Tally likeness = pass.LikenessOf(row);
    out.likeness = likeness.value();
    out.confidence = likeness.confidence();
    if (item.near > 0) {
      const auto function = catalogue_.FindFunction(setting.role.near[item.near - 1U]);
      draft.because = fmt::format("of another function: {}, which can take the part over",
                                  catalogue_.function(*function).name);
    }
    const Level level = LevelFor(catalogue_, setting.role, answer_.missing, answer_.level_pct,
                                 item.ingredient, question_.formula.kind, setting.ph);
    if (level.beyond) {
      draft.ruling.RuleOut([&] {
        return fmt::format("would take {:g} %, far above what is usual: too weak here", level.pct);
      });
      answer_.ruled_out.push_back({draft.lead, draft.ruling.reasons.front()});
      return draft.ruling.fit;
    }
    out.level_pct = level.pct;
    out.level_because = level.because;
    out.partners = company.For(item.ingredient, out.level_pct);
    out.blend = {{item.ingredient, out.level_pct}};
    for (const Partner& partner : out.partners) {
      if (partner.level_pct > 0) out.blend.push_back({partner.ingredient, partner.level_pct});
    }
    return Finish(std::move(draft));
  }

  // Oils that together come nearer to the missing one's fatty acids than the best of them alone.
  void ProposeBlend(const RuleSetting& setting, const CandidatePass& pass,
                    const std::vector<IngredientIx>& oils) {
    const auto blend = BlendOf(pass, oils);
    if (!blend) return;
    Draft draft;
    StandIn& out = draft.out;
    draft.lead = blend->oils.front();
    Likeness whole;
    for (const IngredientIx oil : oils) {
      const auto at = std::find(blend->oils.begin(), blend->oils.end(), oil);
      if (at == blend->oils.end()) continue;
      const double share = blend->shares[static_cast<std::size_t>(at - blend->oils.begin())];
      const Tally likeness = pass.LikenessOf(*pass.table().RowOf(oil));
      whole.value += share * likeness.value();
      whole.confidence += share * likeness.confidence();
    }
    whole.compared = Compare(catalogue_, setting.role, answer_.missing, draft.lead, setting.ph).compared;
    BlendFattyAcids(*blend, whole);
    draft.merit = pass.MeritOf(*pass.table().RowOf(draft.lead));
    draft.merit.trusted = Trusted(whole.value, whole.confidence);
    draft.merit.prior = kBlendPrior;
    out.likeness = whole.value;
    out.confidence = whole.confidence;
    out.compared = std::move(whole.compared);
    for (std::size_t i = 0; i < blend->oils.size(); ++i) {
      out.blend.push_back({blend->oils[i], std::round(answer_.level_pct * blend->shares[i] * 100) / 100});
    }
    out.level_pct = out.blend.front().level_pct;
    out.level_because = fmt::format(
        "split so that the fatty acids come nearest: likeness {:.2f} against {:.2f} for the best one alone",
        blend->likeness, blend->best_single);
    Finish(std::move(draft));
  }

  std::optional<OilBlend> BlendOf(const CandidatePass& pass, const std::vector<IngredientIx>& oils) const {
    if (oils.size() < 2) return std::nullopt;
    const auto& columns = pass.table().columns;
    const auto column = std::find_if(columns.begin(), columns.end(), [](const RoleColumn& one) {
      return one.ruler.measure == Measure::kFattyAcids;
    });
    if (column == columns.end()) return BestOilBlend(catalogue_, answer_.missing, oils, kBlendGain);
    std::vector<Oil> known;
    for (const IngredientIx ix : oils) {
      const Showing& showing = column->showings[column->place[*pass.table().RowOf(ix)]];
      if (showing.acids) known.push_back({ix, &*showing.acids});
    }
    const auto wanted = FattyAcidsOf(catalogue_, answer_.missing);
    return wanted ? BestOilBlend(*wanted, known, kBlendGain) : std::nullopt;
  }

  // The blend's own fatty acids take the place of its lead's.
  static void BlendFattyAcids(const OilBlend& blend, Likeness& likeness) {
    double all = 0;
    for (const Compared& one : likeness.compared) all += one.likeness ? one.weight : 0;
    for (Compared& one : likeness.compared) {
      if (one.property != "fatty_acids" || !one.likeness) continue;
      const double weight = one.weight / std::max(all, one.weight);
      likeness.value += weight * (blend.likeness - *one.likeness);
      one.likeness = blend.likeness;
      one.stand_in = "of the blend";
    }
    likeness.value = std::clamp(likeness.value, 0.0, 1.0);
  }

  // Makes the edit, assesses it, and lets the findings that are new decide. Returns how it fits.
  Fit Finish(Draft draft) {
    StandIn& out = draft.out;
    Ruling& ruling = draft.ruling;
    out.after = Replace(catalogue_, question_.formula, question_.line, out.blend);
    if (ruling.ph_to) out.after.target_ph = ruling.ph_to;
    double total = 0;
    for (const kb::FormulaLine& line : out.after.lines) total += line.pct;
    if (total > 100 + kb::kTotalTolerance) {
      answer_.ruled_out.push_back(
          {draft.lead,
           fmt::format("would need {:g} %: more than the formula can make room for", out.level_pct)});
      return ruling.fit;
    }
    draft.after = Assess(catalogue_, out.after, Depth::kForDiff);
    for (const Finding& finding : NewFindings(answer_.before, draft.after)) {
      if (finding.severity == Severity::kStop && finding.topic != "preservation") {
        ruling.RuleOut([&] { return finding.text; });
      } else if (finding.severity != Severity::kNote) {
        ruling.Change(0.85, [&] { return finding.text; });
      }
    }
    if (ruling.fit == Fit::kRuledOut) {
      if (out.blend.size() == 1 || !out.partners.empty())
        answer_.ruled_out.push_back({draft.lead, ruling.reasons.front()});
      return ruling.fit;
    }
    const auto& claims = draft.after.claims;
    for (std::size_t i = 0; i < std::min(claims.size(), answer_.before.claims.size()); ++i) {
      if (answer_.before.claims[i].state != "kept" || claims[i].state != "broken") continue;
      ruling.Change(kClaimLost, [&] { return fmt::format("the formula stops being {}", claims[i].claim); });
    }
    if (!draft.because.empty()) ruling.Change(1, [&] { return draft.because; });
    out.score = ScoreOf(draft.merit, ruling.factor);
    drafts_.push_back(std::move(draft));
    return drafts_.back().ruling.fit;
  }

  // Reasons, comparison, changes, handling: what a reader sees of a stand-in.
  void PutInWords(const RuleSetting& setting, const kb::Function& role, Draft& draft) {
    StandIn& out = draft.out;
    out.fit = draft.ruling.fit;
    out.reasons = draft.ruling.reasons;
    for (const Partner& partner : out.partners) {
      if (partner.level_pct <= 0) continue;
      out.fit = Fit::kFitsWithAChange;
      out.reasons.push_back(
          fmt::format("needs {} beside it: {}", catalogue_.at(partner.ingredient).name, partner.because));
    }
    if (out.compared.empty())
      out.compared = Compare(catalogue_, role, answer_.missing, draft.lead, setting.ph).compared;
    out.changes = Diff(answer_.before, draft.after);
    AddFeel(catalogue_, out.compared, out.changes);
    AddHandling(setting, draft.after, out);
    AddSources(catalogue_, out);
  }

  bool Asked(IngredientIx ix) const {
    return std::find(question_.why_not.begin(), question_.why_not.end(), ix) != question_.why_not.end();
  }

  void AnswerWhyNotWith(const std::string& because) {
    for (const IngredientIx ix : question_.why_not) answer_.ruled_out.push_back({ix, because});
  }

  void WhyNot(const RuleSetting& setting, const CandidatePass& pass) {
    for (const IngredientIx ix : question_.why_not) {
      const bool answered = std::any_of(answer_.ruled_out.begin(), answer_.ruled_out.end(),
                                        [&](const RuledOut& item) { return item.ingredient == ix; });
      if (answered) continue;
      if (ix == answer_.missing) {
        answer_.ruled_out.push_back({ix, "it is the one that is missing"});
        continue;
      }
      for (std::size_t i = 0; i < drafts_.size(); ++i) {
        if (drafts_[i].lead != ix) continue;
        answer_.ruled_out.push_back({ix, fmt::format("it is not ruled out: it ranks {} with likeness {:.2f}",
                                                     i + 1, drafts_[i].out.likeness)});
      }
      if (!answer_.ruled_out.empty() && answer_.ruled_out.back().ingredient == ix) continue;
      if (const auto row = pass.table().RowOf(ix)) {
        const Tally likeness = pass.LikenessOf(*row);
        answer_.ruled_out.push_back(
            {ix, fmt::format("it could play the part, but ranks far down: likeness {:.2f}, known {:.0f} %",
                             likeness.value(), 100 * likeness.confidence())});
        continue;
      }
      const Ruling ruling = Judge(setting, ix);
      std::string because = fmt::format("it is no {}", setting.role.name);
      if (!catalogue_.at(ix).functions.empty()) {
        because += fmt::format(": its functions are {}", FunctionNames(ix));
      }
      if (ruling.fit == Fit::kRuledOut) because += "; and " + ruling.reasons.front();
      answer_.ruled_out.push_back({ix, std::move(because)});
    }
  }

  std::string FunctionNames(IngredientIx ix) const {
    std::string out;
    for (const kb::FunctionIx function : catalogue_.at(ix).functions) {
      out += (out.empty() ? "" : ", ") + catalogue_.function(function).name;
    }
    return out;
  }

  const Catalogue& catalogue_;
  const SwapQuestion& question_;
  SwapAnswer answer_;
  std::vector<Draft> drafts_;
};

}  // namespace

std::string_view FitName(Fit fit) {
  switch (fit) {
    case Fit::kFits:
      return "fits";
    case Fit::kFitsWithAChange:
      return "fits-with-a-change";
    case Fit::kRuledOut:
      return "ruled-out";
  }
  return "ruled-out";
}

SwapAnswer Swap(const Catalogue& catalogue, const SwapQuestion& question) {
  return Engine(catalogue, question).Run();
}

}  // namespace query
