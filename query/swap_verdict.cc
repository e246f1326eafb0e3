#include "query/swap_verdict.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/swap_pass.h"

namespace query {
namespace {

constexpr std::size_t kFirst = 3;  // a maker looks at the first few: one of them has to be close
// How alike the closest has to be for a plain swap. A difference that nobody notices at 1 % is the product at 60 %.
constexpr double kAlikeAtLeast = 0.5;
constexpr double kAlikePerShare = 0.6;
constexpr double kAlikeAtMost = 0.8;
constexpr double kCarries = 30;     // %, from which on a solvent is what the rest is dissolved in
constexpr double kPhMoves = 0.75;   // pH units: more than a few drops of acid or lye
constexpr double kSeenRole = 0.05;  // a role that weighs less is none that a maker thinks of

double AlikeNeeded(double level_pct) {
  return std::min(kAlikeAtLeast + kAlikePerShare * level_pct / 100, kAlikeAtMost);
}

double TrustedOf(const StandIn& item) {
  return Trusted(item.likeness, item.confidence);
}

const StandIn& Closest(const SwapAnswer& answer) {
  const auto last =
      answer.stand_ins.begin() + static_cast<std::ptrdiff_t>(std::min(kFirst, answer.stand_ins.size()));
  return *std::max_element(answer.stand_ins.begin(), last,
                           [](const StandIn& a, const StandIn& b) { return TrustedOf(a) < TrustedOf(b); });
}

bool HoldsFilter(const Catalogue& catalogue, const SwapAnswer& answer) {
  const auto& lines = answer.stand_ins.front().after.lines;
  return std::any_of(lines.begin(), lines.end(), [&](const kb::FormulaLine& line) {
    return catalogue.HasFunction(line.ingredient, "uv-filter");
  });
}

// Why a stand-in that is close in itself still asks for more than an exchange; "" where nothing does.
std::string WorkBesides(const Catalogue& catalogue, const kb::Function& role, const SwapAnswer& answer) {
  for (const Role& other : answer.roles) {
    const kb::Function& function = catalogue.function(other.function);
    if (other.function == answer.role || function.swap != "never" || other.weight < kSeenRole) continue;
    return fmt::format("as {} it has the stand-ins below; as {} it has none. {}", role.name, function.name,
                       function.swap_note);
  }
  const StandIn& closest = Closest(answer);
  const std::optional<double> ph = answer.before.ph.used;
  if (ph && closest.after.target_ph && std::abs(*closest.after.target_ph - *ph) > kPhMoves) {
    return fmt::format(
        "the pH has to go from {:.1f} to {:.1f}: see what preserves, thickens and emulsifies there", *ph,
        *closest.after.target_ph);
  }
  if (role.group == "oil" && answer.stand_ins.front().after.kind.form == kb::Form::kSunscreen &&
      HoldsFilter(catalogue, answer)) {
    return "in a sunscreen the oils keep the filters dissolved and carry the film: with another one look for "
           "crystals after weeks in the cold, and have the protection tested anew";
  }
  if (role.id == "solvent" && answer.level_pct >= kCarries) {
    return fmt::format(
        "at {:g} % it is what the rest is dissolved in: with anything but the same substance see that all of "
        "it "
        "stays dissolved, and look again at drying, preservation and the pack",
        answer.level_pct);
  }
  return "";
}

// What is only taken for a preservative can be left out where others already do that work; "" where none does.
std::string LeftOut(const Catalogue& catalogue, const kb::Function& role, const SwapAnswer& answer) {
  const Preservation& kept = answer.before.preservation;
  if (role.group != "preservation" || !kept.covered) return "";
  const auto own = LabelNames(catalogue, answer.missing);
  std::vector<std::string> names;
  for (const PreservativeState& state : kept.preservatives) {
    const bool known = std::find(names.begin(), names.end(), state.inci) != names.end();
    if (state.in_window && !known && std::find(own.begin(), own.end(), state.inci) == own.end())
      names.push_back(state.inci);
  }
  if (names.empty()) return "";
  return fmt::format(
      " Bacteria, yeast and mould are covered here already, by {}: it can be left out, and the balance made "
      "up "
      "with water.",
      fmt::join(names, " and "));
}

}  // namespace

std::string OwnLimit(const Catalogue& catalogue, const SwapAnswer& answer) {
  const auto names = LabelNames(catalogue, answer.missing);
  for (const LimitUse& use : answer.before.limits) {
    const bool its_own = std::find(names.begin(), names.end(), use.substance) != names.end();
    // A limit that binds only in a narrower use than the product's kind tells is shown by the check, and decides nothing here.
    if (!its_own || !use.binds || (!use.prohibited && !use.over)) continue;
    const std::string where =
        fmt::format("{}{} {}{}", use.jurisdiction, use.jurisdiction == "EU" ? " Annex" : "", use.annex,
                    use.entry.empty() ? "" : ", entry " + use.entry);
    return use.prohibited ? fmt::format("{} is not allowed here itself ({})", use.substance, where)
                          : fmt::format("{} is above its own limit of {:g} % ({})", use.substance,
                                        use.max_pct.value_or(0), where);
  }
  return "";
}

void GiveVerdict(const Catalogue& catalogue, const kb::Function& role, SwapAnswer& answer) {
  const auto rework = [&](std::string because) {
    answer.verdict = "swap-with-rework";
    answer.because = std::move(because);
  };
  if (std::string own = OwnLimit(catalogue, answer); !own.empty())
    return rework(own + ": the formula has to change");
  if (role.swap == "rework") return rework(role.swap_note + LeftOut(catalogue, role, answer));
  if (answer.stand_ins.empty()) {
    answer.verdict = "do-not-swap";
    answer.because = "nothing that the base holds passes the rules: see what was ruled out, and why";
    return;
  }
  const StandIn& closest = Closest(answer);
  if (TrustedOf(closest) < AlikeNeeded(answer.level_pct)) {
    const std::string& name = catalogue.at(closest.blend.front().ingredient).name;
    return rework(
        closest.confidence < 0.6
            ? fmt::format("no stand-in is known to be close: of what counts here only {:.0f} % is known of "
                          "the closest of those first below, {}",
                          100 * closest.confidence, name)
        : answer.level_pct >= 20
            ? fmt::format(
                  "nothing is close enough for {:g} % of the product: the closest of those first below, "
                  "{}, is alike to {:.2f}, and at that level the difference is felt",
                  answer.level_pct, name, closest.likeness)
            : fmt::format("nothing is close: the closest of those first below, {}, is alike to {:.2f} only",
                          name, closest.likeness));
  }
  if (std::string besides = WorkBesides(catalogue, role, answer); !besides.empty())
    return rework(std::move(besides));
  answer.verdict = "swap";
  answer.because =
      fmt::format("{} plays the same part ({})",
                  catalogue.at(answer.stand_ins.front().blend.front().ingredient).name, role.name);
}

}  // namespace query
