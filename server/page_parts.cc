#include "server/page_parts.h"

#include <fmt/format.h>

#include <algorithm>

#include "kb/derived.h"
#include "kb/text.h"
#include "query/facts.h"
#include "query/place.h"
#include "server/service_params.h"

namespace server {
namespace {

bool Starts(const std::string& text, std::string_view head) {
  return text.compare(0, head.size(), head) == 0;
}

}  // namespace

Told Tell(const Context& context, std::string_view command, const query::Params& params) {
  const query::Command* found = query::FindCommand(command);
  if (found == nullptr) {
    query::Trouble trouble;
    trouble.what = fmt::format("this build does not answer '{}'", command);
    return {Json::parse(query::TroubleJson(trouble)), 404};
  }
  const auto reply = found->answer(context.base, params, query::Want::kJson, query::Look{});
  if (!reply) {
    return {Json::parse(query::TroubleJson(reply.error())),
            reply.error().kind == query::Trouble::Kind::kNothingFound ? 404 : 400};
  }
  return {Json::parse(reply->body), 200};
}

void AddPage(App& app, const std::string& path, PageHandler page) {
  if (path == "/") {
    app.On("GET", "/", page);
    return;
  }
  app.On("GET", path + ".json",
         page);  // first: "/ingredient/{id}" would take the ending for a part of the id
  app.On("GET", path, page);
}

Answer Failed(const Told& told) {
  Answer answer = JsonAnswer(told.document, told.status);
  answer.headers.emplace_back("Cache-Control", "no-store");
  return answer;
}

std::string Words(std::string text) {
  std::replace(text.begin(), text.end(), '-', ' ');
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string ClaimWords(std::string id) {
  if (Starts(id, "peg-")) id.replace(0, 3, "PEG");
  return id;
}

std::string FormulaName(const kb::SavedFormula& formula) {
  constexpr std::string_view kMark = "# name:";
  const std::size_t begin = formula.text.find(kMark);
  if (begin == std::string::npos) return Words(formula.id);
  const std::size_t end = formula.text.find_first_of("\r\n", begin);
  return std::string(
      kb::Trim(std::string_view(formula.text).substr(begin, end - begin).substr(kMark.size())));
}

std::string VerdictWords(std::string_view verdict) {
  if (verdict == "swap") return "Can be swapped";
  if (verdict == "swap-with-rework") return "Swap with rework";
  return "Do not swap";
}

std::string PositionWords(std::string_view position) {
  for (const query::Position one : query::kPositions) {
    if (query::PositionId(one) == position) return std::string(query::PositionWords(one));
  }
  return Words(std::string(position));
}

std::string UnitWords(std::string unit) {
  if (unit == "1") return "";
  if (unit == "C") return "\u00b0C";
  if (unit == "MPa^0.5") return "MPa\u00bd";
  if (unit == "cm3/mol") return "cm\u00b3/mol";
  if (unit == "ug/mL") return "\u00b5g/mL";
  return unit;
}

std::string FactValue(const Json& fact) {
  const auto number = [](const Json& value) { return fmt::format("{:.6g}", value.get<double>()); };
  std::string out;
  if (fact.contains("low")) {
    out = fmt::format("{}\u2013{}", number(fact.at("low")), number(fact.at("high")));
  } else {
    const Json& value = fact.at("value");
    const auto property = fact.at("property").get<std::string>();
    const bool prose =
        property == "about" || property == "tip" || property == "look" || property == "formula";
    out = value.is_number() ? number(value)
          : prose           ? value.get<std::string>()
                            : Words(value.get<std::string>());
  }
  const std::string unit = UnitWords(fact.value("unit", ""));
  if (!unit.empty()) out += " " + unit;
  if (fact.contains("at_c")) out += fmt::format(" at {:g} \u00b0C", fact.at("at_c").get<double>());
  return out;
}

Json ShortFacts(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::string_view function) {
  Json out = Json::array();
  const auto add = [&](std::string label, std::string value) {
    if (!value.empty()) out.push_back({{"label", std::move(label)}, {"value", std::move(value)}});
  };
  const auto range = [](const std::optional<kb::Range>& r, std::string_view unit) {
    if (!r) return std::string();
    return r->low == r->high ? fmt::format("{:g}{}", r->low, unit)
                             : fmt::format("{:g}\u2013{:g}{}", r->low, r->high, unit);
  };
  const auto usual = query::UsualLevel(catalogue, ix, function, kb::Kind{});
  add("level", range(usual ? usual : kb::AllLevels(catalogue, ix), " %"));
  add("phase", Words(std::string(catalogue.Choice(ix, "phase"))));
  const auto role = catalogue.FindFunction(function);
  std::size_t added = 0;
  if (role) {
    std::vector<kb::Comparison> compare = catalogue.function(*role).compare;
    std::stable_sort(compare.begin(), compare.end(),
                     [](const auto& a, const auto& b) { return a.weight > b.weight; });
    for (const kb::Comparison& one : compare) {
      if (one.property == "phase" || one.property == "use_pct") continue;
      const auto property = catalogue.FindProperty(one.property);
      if (!property || !catalogue.properties()[*property].keys.empty()) continue;
      const kb::Fact* fact = catalogue.Best(ix, one.property);
      if (fact == nullptr) continue;
      const std::string unit = UnitWords(catalogue.properties()[*property].unit);
      add(PropertyLabel(one.property),
          fact->number ? range(fact->number, unit.empty() ? "" : " " + unit) : Words(fact->text));
      if (++added == 3) break;
    }
  }
  if (added == 0) {
    add("dissolves in", std::string(kb::SideName(kb::SideOf(catalogue, ix))));
    add("pH", range(kb::ProductPh(catalogue, ix), ""));
    add("heat", std::string(kb::HeatTolerance(catalogue, ix)));
  }
  return out;
}

Json KindChoices(std::string_view chosen) {
  Json out = Json::array();
  for (const kb::Use use : {kb::Use::kLeaveOn, kb::Use::kRinseOff}) {
    for (const kb::Form form : kb::kForms) {
      if (form == kb::Form::kSunscreen && use == kb::Use::kRinseOff) continue;
      const std::string id = kb::KindName({use, form});
      out.push_back({{"id", id}, {"name", kb::KindWords({use, form})}, {"chosen", id == chosen}});
    }
  }
  return out;
}

Json ClaimChoices(const kb::Catalogue& catalogue, const std::vector<std::string>& chosen) {
  Json out = Json::array();
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    out.push_back({{"id", rule.id},
                   {"name", ClaimWords(rule.id)},
                   {"chosen", std::find(chosen.begin(), chosen.end(), rule.id) != chosen.end()}});
  }
  return out;
}

Json FunctionChoices(const kb::Catalogue& catalogue, std::string_view chosen) {
  std::vector<std::pair<std::string, std::string>> names;
  for (const kb::Function& function : catalogue.functions()) names.emplace_back(function.name, function.id);
  std::sort(names.begin(), names.end());
  Json out = Json::array();
  for (const auto& [name, id] : names) out.push_back({{"id", id}, {"name", name}, {"chosen", id == chosen}});
  return out;
}

Json ChoicesOf(const kb::Catalogue& catalogue, std::string_view property, std::string_view chosen) {
  Json out = Json::array();
  const auto found = catalogue.FindProperty(property);
  if (!found) return out;
  for (const std::string& choice : catalogue.properties()[*found].choices)
    out.push_back({{"id", choice}, {"name", Words(choice)}, {"chosen", choice == chosen}});
  return out;
}

Json ChangesView(const Json& changes) {
  const auto rank = [](const Json& change) {
    const std::string severity = change.value("severity", "note");
    return severity == "stop" ? 0 : severity == "warn" ? 1 : 2;
  };
  std::vector<Json> worst_first(changes.begin(), changes.end());
  std::stable_sort(worst_first.begin(), worst_first.end(),
                   [&](const Json& a, const Json& b) { return rank(a) < rank(b); });
  Json out = Json::array();
  for (const Json& change : worst_first) {
    if (change.at("topic") == "phase-total") continue;  // these are drawn
    const std::string severity = change.value("severity", "note");
    out.push_back({{"text", change.at("text")},
                   {"topic", Words(change.at("topic").get<std::string>())},
                   {"severity", severity},
                   {"stop", severity == "stop"},
                   {"warn", severity == "warn"}});
  }
  return out;
}

Json PhaseBars(const Json& changes) {
  std::vector<PhaseShare> before;
  std::vector<PhaseShare> after;
  Json rows = Json::array();
  for (const Json& change : changes) {
    if (change.at("topic") != "phase-total") continue;
    // "phase A (heated water) stays at ..."
    std::string text = change.at("text");
    if (Starts(text, "phase ")) text.erase(0, 6);
    const std::size_t open = text.find(" (");
    const std::size_t end = std::min(open, text.find(' '));
    const std::string letter = text.substr(0, open == std::string::npos ? end : open);
    const std::string name =
        open == std::string::npos ? "" : text.substr(open + 2, text.find(')') - open - 2);
    const auto number = [](const Json& value) {
      return value.is_number() ? value.get<double>() : std::strtod(value.get<std::string>().c_str(), nullptr);
    };
    before.push_back({letter, number(change.at("before"))});
    after.push_back({letter, number(change.at("after"))});
    rows.push_back({{"phase", letter},
                    {"name", name},
                    {"colour", PhaseColour(rows.size())},
                    {"before", fmt::format("{:.2f}", before.back().pct)},
                    {"after", fmt::format("{:.2f}", after.back().pct)},
                    {"changed", std::abs(before.back().pct - after.back().pct) >= 0.005}});
  }
  const auto words = [](const char* when, const std::vector<PhaseShare>& shares) {
    std::string out = when;
    for (const PhaseShare& share : shares) out += fmt::format(" {} {:.2f} %", share.phase, share.pct);
    return out;
  };
  return {{"rows", rows},
          {"before", DrawPhases(before, words("Phases before:", before))},
          {"after", DrawPhases(after, words("Phases after:", after))}};
}

Json RebalancedView(const Json& rebalanced) {
  Json lines = Json::array();
  for (const Json& one : rebalanced.at("words")) {
    std::string text = one;
    const bool fails = text.rfind("! ", 0) == 0;
    if (fails) text.erase(0, 2);
    lines.push_back(
        {{"text", text}, {"severity", fails ? "warn" : "note"}, {"tag", fails ? "mind" : "note"}});
  }
  return {{"lines", std::move(lines)}};
}

Json StandInView(const Json& stand_in) {
  Json view = stand_in;
  std::string title;
  for (Json& part : view["blend"]) {
    title += fmt::format("{}{} {:g} %", title.empty() ? "" : " + ",
                         part.value("name", part.value("inci", "")), part.at("level_pct").get<double>());
  }
  view["title"] = title;
  const double likeness = stand_in.at("likeness");
  const double known = stand_in.at("confidence");
  view["likeness_words"] = fmt::format("{:.0f} % alike", 100 * likeness);
  view["known_words"] = fmt::format("{:.0f} % of what counts is known", 100 * known);
  view["likeness_bar"] = DrawShare(likeness, view["likeness_words"].get<std::string>());
  view["fits"] = stand_in.at("fit") == "fits";
  view["bars"] = PhaseBars(stand_in.at("changes"));
  view["changes"] = ChangesView(stand_in.at("changes"));
  // Said where it is not, too: the answer that holds several stand-ins may have one of its own.
  view["rebalanced"] = stand_in.contains("rebalanced") ? RebalancedView(stand_in["rebalanced"]) : Json(false);
  for (Json& one : view["compared"]) {
    one["property"] = PropertyLabel(one.at("property").get<std::string>());
    one["words"] = one.at("likeness").is_null()
                       ? std::string("not known")
                       : fmt::format("{:.0f} %", 100 * one.at("likeness").get<double>());
    for (const char* side : {"missing", "stand_in"}) {
      if (one.at(side) == "") one[side] = "not known";
    }
  }
  for (Json& partner : view["partners"]) {
    partner["words"] = partner.value("in_formula", false)
                           ? std::string("already in the formula")
                           : fmt::format("{:g} %", partner.at("level_pct").get<double>());
  }
  return view;
}

}  // namespace server
