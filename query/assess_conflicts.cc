// Who must not meet whom: data/conflicts.toml held against the formula.
#include <fmt/format.h>

#include <algorithm>

#include "query/assess_parts.h"
#include "query/assess_say.h"
#include "query/conflict_condition.h"

namespace query::parts {
namespace {

Severity SeverityOf(std::string_view word) {
  return word == "stop" ? Severity::kStop : word == "warn" ? Severity::kWarn : Severity::kNote;
}

std::vector<std::size_t> LinesOf(const std::vector<Member>& members) {
  std::vector<std::size_t> lines;
  for (const Member& member : members) {
    if (lines.empty() || lines.back() != member.line) lines.push_back(member.line);
  }
  return lines;
}

bool NamesNobody(const kb::ConflictSide& side) {
  return side.ingredients.empty() && side.functions.empty() && side.classes.empty() && side.charges.empty();
}

// Side a without who is alone in its line with b, and the other way round: a thing does not conflict with itself.
bool MeetOthers(SideState& a, SideState& b) {
  if (a.members.empty() || b.members.empty()) return true;
  const auto meets = [](const Member& one, const std::vector<Member>& others) {
    return std::any_of(others.begin(), others.end(),
                       [&](const Member& other) { return other.line != one.line; });
  };
  std::vector<Member> left;
  std::copy_if(a.members.begin(), a.members.end(), std::back_inserter(left),
               [&](const Member& member) { return meets(member, b.members); });
  std::vector<Member> right;
  std::copy_if(b.members.begin(), b.members.end(), std::back_inserter(right),
               [&](const Member& member) { return meets(member, a.members); });
  a.members = std::move(left);
  b.members = std::move(right);
  return !a.members.empty() && !b.members.empty();
}

// A rule about one ingredient beyond a pH says again what its window has said.
bool IsSaid(const Setting& setting, const kb::Conflict& rule, const SideState& a, const Assessment& out) {
  const bool by_ph = rule.a.condition.rfind("ph ", 0) == 0 || rule.b.condition.rfind("ph ", 0) == 0;
  if (!NamesNobody(rule.b) || a.members.empty() || !by_ph) return false;
  return std::all_of(a.members.begin(), a.members.end(), [&](const Member& member) {
    const kb::IngredientIx ix = setting.formula.lines[member.line].ingredient;
    const std::string window = "window:" + setting.catalogue.at(ix).id;
    return std::any_of(out.findings.begin(), out.findings.end(), [&](const Finding& finding) {
      // That nothing preserves at this pH says why for each.
      if (finding.key == "preservation:none" &&
          std::find(finding.ingredients.begin(), finding.ingredients.end(), ix) != finding.ingredients.end())
        return true;
      return finding.severity <= SeverityOf(rule.severity) && finding.key.size() > window.size() &&
             finding.key.compare(finding.key.size() - window.size(), window.size(), window) == 0;
    });
  });
}

// A rule that two meet at this pH says more than the window of each: those findings give way to it.
void GiveWay(const Setting& setting, const kb::Conflict& rule, const SideState& a, const SideState& b,
             Assessment& out) {
  const auto by_ph = [](const std::string& condition) { return condition.find("ph ") != std::string::npos; };
  if (!by_ph(rule.a.condition) && !by_ph(rule.b.condition)) return;
  for (const SideState* side : {&a, &b}) {
    for (const Member& member : side->members) {
      const std::string key =
          "ph:window:" + setting.catalogue.at(setting.formula.lines[member.line].ingredient).id;
      std::erase_if(out.findings, [&](const Finding& finding) {
        return finding.key == key && finding.severity >= SeverityOf(rule.severity);
      });
    }
  }
}

void SayConflict(const Setting& setting, const kb::Conflict& rule, const SideState& a, const SideState& b,
                 Assessment& out) {
  std::string who = LineNames(setting.catalogue, setting.formula, LinesOf(a.members));
  const std::string with = LineNames(setting.catalogue, setting.formula, LinesOf(b.members));
  if (!who.empty() && !with.empty()) who += " with ";
  who += with;
  Finding& finding = Say(out, SeverityOf(rule.severity), "conflict", "conflict:" + rule.id,
                         who.empty() ? rule.text : fmt::format("{}: {}", who, rule.text), rule.advice);
  for (const SideState* side : {&a, &b}) {
    for (const std::size_t line : LinesOf(side->members))
      finding.ingredients.push_back(setting.formula.lines[line].ingredient);
  }
  finding.sources = {rule.source};
}

}  // namespace

void AddConflicts(const Setting& setting, Assessment& out) {
  if (setting.catalogue.conflicts().empty()) return;
  const std::vector<Member> members = MembersOf(setting);
  const auto& sides = setting.catalogue.Once<ConflictSides>();
  const auto named = sides.Named(setting.catalogue, members);
  for (std::size_t i = 0; i < setting.catalogue.conflicts().size(); ++i) {
    const kb::Conflict& rule = setting.catalogue.conflicts()[i];
    SideState a = LookAt(setting, out, members, sides.at(2 * i), named[2 * i], nullptr);
    const bool a_open = !a.holds && !a.not_known.empty();
    if (!a.holds && !a_open) continue;
    SideState b;
    b.holds = true;
    const std::size_t other = 2 * i + 1;
    if (!sides.at(other).empty) b = LookAt(setting, out, members, sides.at(other), named[other], &a);
    const bool b_open = !b.holds && !b.not_known.empty();
    if (a.holds && b.holds) {
      if (MeetOthers(a, b) && !IsSaid(setting, rule, a, out)) {
        if (!NamesNobody(rule.b)) GiveWay(setting, rule, a, b, out);
        SayConflict(setting, rule, a, b, out);
      }
    } else if ((a_open && b.holds) || (a.holds && b_open)) {
      out.unknown.push_back(fmt::format("the pH is not known, so this is open: {}", rule.text));
    }
  }
}

}  // namespace query::parts
