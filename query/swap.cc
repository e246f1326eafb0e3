#include "query/swap.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "query/swap_blend.h"
#include "query/swap_company.h"
#include "query/swap_rebalance.h"
#include "query/swap_rules.h"
#include "query/swap_tips.h"
#include "query/swap_verdict.h"

namespace query {
namespace {

constexpr std::size_t kAssessed = 3;  // candidates assessed for each one wanted: some fall on their findings
constexpr double kNearFunction = 0.72;    // a function that can take over less well
constexpr double kRankFall = 0.12;        // a candidate for whom the role is no main function
constexpr double kRare = 0.72;            // of two that are as alike, the one that makers have on the shelf
constexpr double kClaimLost = 0.92;       // for each claim that the formula kept and would not keep
constexpr std::size_t kOilsBlended = 14;  // the likeliest oils that a blend is looked for among
constexpr double kBlendGain = 0.08;       // what a second bottle has to win on the fatty acids
constexpr double kBlendPrior = 0.93;      // of two answers that are as alike, the one with one bottle
// A solution or blend of the missing one itself: likely to be out of stock with it, unless it is seen on the shelf.
constexpr double kSameAgain = 0.55;
constexpr std::size_t kRuledOutShown = 12;

struct Candidate {
  IngredientIx ingredient = 0;
  double prior = 1;
  std::string because;
  Ruling ruling;
  Likeness likeness;
  double score = 0;
};

// Candidates by function: members of the role, and of the functions that can take it over.
std::vector<Candidate> Gather(const Catalogue& catalogue, kb::FunctionIx role, IngredientIx missing) {
  std::map<IngredientIx, Candidate> found;
  const auto add = [&](kb::FunctionIx function, double factor, const std::string& because) {
    for (const IngredientIx ix : catalogue.Members(function)) {
      if (ix == missing) continue;
      const double rank = static_cast<double>(catalogue.FunctionRank(ix, function).value_or(0));
      const double prior = factor * std::max(0.6, 1 - kRankFall * rank);
      const auto [place, fresh] = found.try_emplace(ix);
      if (!fresh && place->second.prior >= prior) continue;
      place->second = {ix, prior, because, {}, {}, 0};
    }
  };
  add(role, 1, "");
  for (const std::string& near : catalogue.function(role).near) {
    if (const auto function = catalogue.FindFunction(near)) {
      add(*function, kNearFunction,
          fmt::format("of another function: {}, which can take the part over",
                      catalogue.function(*function).name));
    }
  }
  std::vector<Candidate> out;
  out.reserve(found.size());
  for (auto& [ix, candidate] : found) out.push_back(std::move(candidate));
  return out;
}

// How the other roles that the missing one plays here are served, 0..1.
double OtherRoles(const Catalogue& catalogue, const std::vector<Role>& roles, kb::FunctionIx role,
                  IngredientIx candidate) {
  double served = 0;
  double all = 0;
  for (const Role& other : roles) {
    if (other.function == role || other.weight < 0.1) continue;
    all += other.weight;
    if (const auto rank = catalogue.FunctionRank(candidate, other.function)) {
      served += other.weight * std::max(0.5, 1 - 0.15 * static_cast<double>(*rank));
    }
  }
  return all > 0 ? served / all : 1;
}

double Score(const RuleSetting& setting, const std::vector<Role>& roles, kb::FunctionIx role,
             const Candidate& candidate) {
  const double common =
      setting.catalogue.Number(candidate.ingredient, "commonness").value_or(kb::Range{2, 2}).mid();
  const auto names = LabelNames(setting.catalogue, candidate.ingredient);
  const bool same =
      std::find(names.begin(), names.end(), setting.catalogue.at(setting.missing).inci) != names.end();
  const double others = OtherRoles(setting.catalogue, roles, role, candidate.ingredient);
  // Unknown never counts as alike: what is not known is taken as a poor match, not as none.
  const double trusted = candidate.likeness.value * (0.5 + 0.5 * candidate.likeness.confidence);
  return trusted * candidate.prior * candidate.ruling.factor * (0.8 + 0.2 * others) *
         (kRare + (1 - kRare) * (common - 1) / 4) * (same && !setting.question.only_shelf ? kSameAgain : 1);
}

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
void AddFeel(const Catalogue& catalogue, const Likeness& likeness, std::vector<Change>& changes) {
  for (const Compared& one : likeness.compared) {
    if (one.order == 0) continue;
    const auto ix = catalogue.FindProperty(one.property);
    if (!ix) continue;
    const kb::Property& property = catalogue.properties()[*ix];
    const std::string& words = one.order > 0 ? property.more : property.less;
    if (words.empty()) continue;
    changes.push_back({"feel", words, one.missing, one.stand_in, property.unit, Severity::kNote});
  }
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
    answer_.before = Assess(catalogue_, question_.formula);
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
    const std::optional<double> ph = answer_.before.ph.used;
    const RuleSetting setting{catalogue_, question_,
                              role,       answer_.missing,
                              ph,         PhaseHeat(catalogue_, question_.formula, question_.line)};
    std::vector<Candidate> candidates = Gather(catalogue_, answer_.role, answer_.missing);
    for (Candidate& candidate : candidates) {
      candidate.ruling = Judge(setting, candidate.ingredient);
      candidate.likeness = Compare(catalogue_, role, answer_.missing, candidate.ingredient, ph);
      candidate.score = Score(setting, answer_.roles, answer_.role, candidate);
    }
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
    ShowRuledOut(candidates);
    std::size_t assessed = 0;
    for (Candidate& candidate : candidates) {
      if (candidate.ruling.fit == Fit::kRuledOut) continue;
      if (assessed >= kAssessed * question_.limit) continue;
      ++assessed;
      Propose(setting, candidate);
    }
    ProposeBlend(setting, candidates);
    std::stable_sort(answer_.stand_ins.begin(), answer_.stand_ins.end(),
                     [](const StandIn& a, const StandIn& b) { return a.score > b.score; });
    WhyNot(setting, candidates);
    if (answer_.stand_ins.size() > question_.limit) answer_.stand_ins.resize(question_.limit);
    if (question_.rebalance) RebalanceAll(catalogue_, question_.formula, answer_);
  }

  // Those of the role itself first: that a solvent for oils is no humectant surprises nobody.
  void ShowRuledOut(const std::vector<Candidate>& candidates) {
    for (const bool of_the_role : {true, false}) {
      for (const Candidate& candidate : candidates) {
        if (candidate.ruling.fit != Fit::kRuledOut || candidate.because.empty() != of_the_role) continue;
        if (answer_.ruled_out.size() < kRuledOutShown || Asked(candidate.ingredient))
          answer_.ruled_out.push_back({candidate.ingredient, candidate.ruling.reasons.front()});
      }
    }
  }

  // A single stand-in: its level by the law of the role, with the partners that it needs.
  void Propose(const RuleSetting& setting, Candidate& candidate) {
    StandIn out;
    const Level level = LevelFor(catalogue_, setting.role, answer_.missing, answer_.level_pct,
                                 candidate.ingredient, question_.formula.kind, setting.ph);
    if (level.beyond) {
      candidate.ruling.RuleOut(
          fmt::format("would take {:g} %, far above what is usual: too weak here", level.pct));
      answer_.ruled_out.push_back({candidate.ingredient, candidate.ruling.reasons.front()});
      return;
    }
    out.level_pct = level.pct;
    out.level_because = level.because;
    out.partners = PartnersFor(setting, candidate.ingredient, out.level_pct);
    out.blend = {{candidate.ingredient, out.level_pct}};
    for (const Partner& partner : out.partners) {
      if (partner.level_pct > 0) out.blend.push_back({partner.ingredient, partner.level_pct});
    }
    Finish(setting, candidate, std::move(out));
  }

  // Oils that together come nearer to the missing one's fatty acids than the best of them alone.
  void ProposeBlend(const RuleSetting& setting, const std::vector<Candidate>& candidates) {
    std::vector<IngredientIx> oils;
    for (const Candidate& candidate : candidates) {
      if (candidate.ruling.fit == Fit::kFits && oils.size() < kOilsBlended)
        oils.push_back(candidate.ingredient);
    }
    const auto blend = BestOilBlend(catalogue_, answer_.missing, oils, kBlendGain);
    if (!blend) return;
    StandIn out;
    Candidate whole;
    whole.ingredient = blend->oils.front();
    whole.prior = kBlendPrior;
    for (const Candidate& candidate : candidates) {
      const auto at = std::find(blend->oils.begin(), blend->oils.end(), candidate.ingredient);
      if (at == blend->oils.end()) continue;
      const double share = blend->shares[static_cast<std::size_t>(at - blend->oils.begin())];
      whole.likeness.value += share * candidate.likeness.value;
      whole.likeness.confidence += share * candidate.likeness.confidence;
      if (candidate.ingredient == whole.ingredient) whole.likeness.compared = candidate.likeness.compared;
    }
    BlendFattyAcids(*blend, whole.likeness);
    for (std::size_t i = 0; i < blend->oils.size(); ++i) {
      out.blend.push_back({blend->oils[i], std::round(answer_.level_pct * blend->shares[i] * 100) / 100});
    }
    out.level_pct = out.blend.front().level_pct;
    out.level_because = fmt::format(
        "split so that the fatty acids come nearest: likeness {:.2f} against {:.2f} for the best one alone",
        blend->likeness, blend->best_single);
    Finish(setting, whole, std::move(out));
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

  // Makes the edit, assesses it, and lets the findings that are new decide.
  void Finish(const RuleSetting& setting, Candidate& candidate, StandIn out) {
    out.after = Replace(catalogue_, question_.formula, question_.line, out.blend);
    if (candidate.ruling.ph_to) out.after.target_ph = candidate.ruling.ph_to;
    double total = 0;
    for (const kb::FormulaLine& line : out.after.lines) total += line.pct;
    if (total > 100 + kb::kTotalTolerance) {
      answer_.ruled_out.push_back(
          {candidate.ingredient,
           fmt::format("would need {:g} %: more than the formula can make room for", out.level_pct)});
      return;
    }
    const Assessment after = Assess(catalogue_, out.after, Depth::kForDiff);
    for (const Finding& finding : NewFindings(answer_.before, after)) {
      if (finding.severity == Severity::kStop && finding.topic != "preservation") {
        candidate.ruling.RuleOut(finding.text);
      } else if (finding.severity != Severity::kNote) {
        candidate.ruling.Change(finding.text, 0.85);
      }
    }
    if (candidate.ruling.fit == Fit::kRuledOut) {
      if (out.blend.size() == 1 || !out.partners.empty()) {
        answer_.ruled_out.push_back({candidate.ingredient, candidate.ruling.reasons.front()});
      }
      return;
    }
    for (std::size_t i = 0; i < std::min(after.claims.size(), answer_.before.claims.size()); ++i) {
      if (answer_.before.claims[i].state == "kept" && after.claims[i].state == "broken") {
        candidate.ruling.Change(fmt::format("the formula stops being {}", after.claims[i].claim), kClaimLost);
      }
    }
    if (!candidate.because.empty()) candidate.ruling.Change(candidate.because, 1);
    out.fit = candidate.ruling.fit;
    out.reasons = candidate.ruling.reasons;
    for (const Partner& partner : out.partners) {
      if (partner.level_pct <= 0) continue;
      out.fit = Fit::kFitsWithAChange;
      out.reasons.push_back(
          fmt::format("needs {} beside it: {}", catalogue_.at(partner.ingredient).name, partner.because));
    }
    out.likeness = candidate.likeness.value;
    out.confidence = candidate.likeness.confidence;
    out.score = Score(setting, answer_.roles, answer_.role, candidate);
    out.compared = candidate.likeness.compared;
    out.changes = Diff(answer_.before, after);
    AddFeel(catalogue_, candidate.likeness, out.changes);
    AddHandling(setting, after, out);
    AddSources(catalogue_, out);
    answer_.stand_ins.push_back(std::move(out));
  }

  bool Asked(IngredientIx ix) const {
    return std::find(question_.why_not.begin(), question_.why_not.end(), ix) != question_.why_not.end();
  }

  void AnswerWhyNotWith(const std::string& because) {
    for (const IngredientIx ix : question_.why_not) answer_.ruled_out.push_back({ix, because});
  }

  void WhyNot(const RuleSetting& setting, const std::vector<Candidate>& candidates) {
    for (const IngredientIx ix : question_.why_not) {
      const bool answered = std::any_of(answer_.ruled_out.begin(), answer_.ruled_out.end(),
                                        [&](const RuledOut& item) { return item.ingredient == ix; });
      if (answered) continue;
      if (ix == answer_.missing) {
        answer_.ruled_out.push_back({ix, "it is the one that is missing"});
        continue;
      }
      for (std::size_t i = 0; i < answer_.stand_ins.size(); ++i) {
        if (answer_.stand_ins[i].blend.front().ingredient != ix) continue;
        answer_.ruled_out.push_back({ix, fmt::format("it is not ruled out: it ranks {} with likeness {:.2f}",
                                                     i + 1, answer_.stand_ins[i].likeness)});
      }
      if (answer_.ruled_out.size() > 0 && answer_.ruled_out.back().ingredient == ix) continue;
      const auto candidate = std::find_if(candidates.begin(), candidates.end(),
                                          [&](const Candidate& c) { return c.ingredient == ix; });
      if (candidate != candidates.end()) {
        answer_.ruled_out.push_back(
            {ix, fmt::format("it could play the part, but ranks far down: likeness {:.2f}, known {:.0f} %",
                             candidate->likeness.value, 100 * candidate->likeness.confidence)});
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
