// Views of the bench: mistakes in their lines, the assessment.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "kb/text.h"
#include "server/page_bench.h"
#include "server/shelf_json.h"

namespace server {
namespace {

std::vector<std::string> LinesOf(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n') {
      lines.emplace_back();
    } else if (c != '\r') {
      lines.back() += c;
    }
  }
  return lines;
}

// The text with the cell at line and column (both from 1) put right; "" where there is no such cell.
std::string PutRight(const std::string& text, std::size_t line, std::size_t column, const std::string& name) {
  std::vector<std::string> lines = LinesOf(text);
  if (line == 0 || line > lines.size() || column == 0 || column > lines[line - 1].size()) return "";
  std::string& row = lines[line - 1];
  const std::size_t end = std::min(row.find_first_of(",;\t", column - 1), row.size());
  row.replace(column - 1, end - (column - 1), name);
  std::string out;
  for (std::size_t i = 0; i < lines.size(); ++i) out += lines[i] + (i + 1 < lines.size() ? "\n" : "");
  return out;
}

Json FindingsView(const Json& findings) {
  std::vector<Json> rows(findings.begin(), findings.end());
  const auto rank = [](const Json& finding) {
    const std::string severity = finding.at("severity");
    return severity == "stop" ? 0 : severity == "warn" ? 1 : 2;
  };
  std::stable_sort(rows.begin(), rows.end(), [&](const Json& a, const Json& b) { return rank(a) < rank(b); });
  for (Json& row : rows) {
    row["stop"] = row.at("severity") == "stop";
    row["warn"] = row.at("severity") == "warn";
    row["topic"] = Words(row.at("topic").get<std::string>());
  }
  return rows;
}

std::string Figure(const Json& value, const char* shape = "{:.1f}") {
  return value.is_number() ? fmt::format(fmt::runtime(shape), value.get<double>()) : "";
}

Json CompositionView(const Json& composition) {
  const struct {
    const char *key, *name;
  } rows[] = {{"water_pct", "water"},
              {"oil_pct", "oils"},
              {"emulsifier_pct", "emulsifiers"},
              {"humectant_pct", "humectants"},
              {"surfactant_active_pct", "active surfactant"},
              {"electrolyte_pct", "salts"},
              {"alcohol_pct", "alcohol"},
              {"glycol_pct", "glycols"}};
  Json out = Json::array();
  for (const auto& row : rows) {
    if (composition.contains(row.key) && composition[row.key].is_number() && composition[row.key] > 0.004)
      out.push_back({{"name", row.name}, {"pct", fmt::format("{:.2f}", composition[row.key].get<double>())}});
  }
  return out;
}

std::string HlbWords(const Json& emulsion) {
  if (!emulsion.at("required_hlb").is_number()) return "";
  std::string out = fmt::format("The oil phase asks for HLB {} (known for {:.0f} % of it)",
                                Figure(emulsion["required_hlb"]), 100 * emulsion.value("covered_share", 0.0));
  const bool applies = emulsion.value("applies", true);
  if (applies && emulsion.at("provided_hlb").is_number())
    out += fmt::format("; the emulsifiers give {}", Figure(emulsion["provided_hlb"]));
  if (!applies) out += ". HLB says little here: " + emulsion.value("because", "");
  return out + ".";
}

std::string PreservationWords(const Json& preservation) {
  std::string out = preservation.value("because", "");
  if (preservation.value("needed", false) && preservation.value("covered", false))
    out += "; bacteria, yeast and mould are covered on paper, which a challenge test has to show";
  return out;
}

constexpr const char* kShare = "{:.3g}";  // beside a limit 0.25 is not 0.3

// One row a preservative: what it does against each kingdom at this level and pH.
Json PreservativesView(const Json& preservation) {
  Json out = Json::array();
  for (const Json& one : preservation.at("preservatives")) {
    const auto rating = [&](const char* key) {
      const std::string word = one.value(key, "");
      return word.empty() ? std::string("not known") : word;
    };
    out.push_back({{"inci", one.at("inci")},
                   {"pct", Figure(one.at("pct"), kShare)},
                   {"gram_positive", rating("gram_positive")},
                   {"gram_negative", rating("gram_negative")},
                   {"yeast", rating("yeast")},
                   {"mould", rating("mould")},
                   {"remark", one.value("remark", "")}});
  }
  return out;
}

Json HeatView(const Json& heat) {
  Json out = Json::array();
  for (const Json& note : heat) {
    if (note.value("heated", false) || note.value("cool_down", false))
      out.push_back({{"phase", note.at("phase")}, {"text", note.at("text")}});
  }
  return out;
}

// Those that bind this product: what is in it against what is allowed.
std::string LimitWords(const Json& limits) {
  std::string out;
  for (const Json& one : limits) {
    if (!one.value("binds", false) || !one.at("max_pct").is_number()) continue;
    const std::string as = one.value("expressed_as", "");
    out += fmt::format("{}{} {} of {} %{}{} ({} {})", out.empty() ? "" : "; ",
                       one.at("substance").get<std::string>(), Figure(one.at("pct"), kShare),
                       Figure(one.at("max_pct"), kShare), as.empty() ? "" : " ", as,
                       one.at("jurisdiction").get<std::string>(), one.at("at").get<std::string>());
  }
  return out;
}

Json PhView(const Json& ph) {
  if (!ph.at("estimate").is_number()) return nullptr;
  const double low = ph.at("low").is_number() ? ph["low"].get<double>() : ph["estimate"].get<double>();
  const double high = ph.at("high").is_number() ? ph["high"].get<double>() : ph["estimate"].get<double>();
  const std::string words =
      fmt::format("pH about {:.1f}, between {:.1f} and {:.1f}, before adjustment: an estimate, measure it",
                  ph["estimate"].get<double>(), low, high);
  return {
      {"words", words},
      {"svg",
       DrawAxis({{low, high, "stable"}, {ph["estimate"].get<double>(), ph["estimate"].get<double>(), "mark"}},
                0, 14, words)},
      {"adjust", ph.contains("adjust") && ph["adjust"].is_object() ? ph["adjust"].value("text", "") : ""}};
}

}  // namespace

Json ComplaintsView(const Json& error, const std::string& text, const Pairs& others) {
  const std::vector<std::string> lines = LinesOf(text);
  Json all = error.contains("complaints") ? error.at("complaints")
                                          : Json::array({{{"line", 0},
                                                          {"column", 0},
                                                          {"what", error.at("what")},
                                                          {"expected", error.at("expected")},
                                                          {"nearest", error.at("nearest")},
                                                          {"shown", ""}}});
  for (Json& one : all) {
    const auto line = one.at("line").get<std::size_t>();
    const auto column = one.at("column").get<std::size_t>();
    one["has_line"] = line > 0;
    if (one["shown"].get_ref<const std::string&>().empty() && line > 0 && line <= lines.size())
      one["shown"] = lines[line - 1];
    Json fixes = Json::array();
    for (const Json& name : one.at("nearest")) {
      const std::string right = PutRight(text, line, column, name.get<std::string>());
      Pairs pairs = {{"formula", right}};
      pairs.insert(pairs.end(), others.begin(), others.end());
      const std::string href = right.empty() ? "" : Href("/bench", pairs);
      fixes.push_back({{"name", name}, {"href", href.size() < kLongestAddress ? href : ""}});
    }
    one["nearest"] = std::move(fixes);
  }
  return all;
}

Json CheckView(const Context& context, const Json& check, const std::optional<kb::Formula>& formula) {
  Json view = check;
  std::vector<PhaseShare> shares;
  std::string words = "Phases:";
  for (Json& phase : view["phases"]) {
    const double pct = phase.at("total_pct");
    shares.push_back({phase.at("phase").get<std::string>(), pct});
    words += fmt::format(" {} {:.2f} %", phase.at("phase").get<std::string>(), pct);
    phase["pct"] = fmt::format("{:.2f}", pct);
    phase["colour"] = PhaseColour(shares.size() - 1);
  }
  view["bar"] = DrawPhases(shares, words);
  view["total"] = fmt::format("{:.2f}", check.at("total_pct").get<double>());
  view["kind_words"] = formula ? kb::KindWords(formula->kind) : check.at("kind").get<std::string>();
  view["findings"] = FindingsView(check.at("findings"));
  view["composition_rows"] = CompositionView(check.at("composition"));
  view["hlb_words"] = HlbWords(check.at("emulsion"));
  view["ph_view"] = PhView(check.at("ph"));
  view["preservation_words"] = PreservationWords(check.at("preservation"));
  view["preservatives"] = PreservativesView(check.at("preservation"));
  view["any_preservatives"] = !view["preservatives"].empty();
  view["heat_rows"] = HeatView(check.at("heat"));
  view["any_heat"] = !view["heat_rows"].empty();
  view["limit_words"] = LimitWords(check.at("limits"));
  std::string label;
  for (const Json& inci : check.at("label").at("inci"))
    label += (label.empty() ? "" : ", ") + inci.get<std::string>();
  view["label_words"] = label;
  if (formula) {
    if (const auto cost = CostOf(context, *formula)) {
      Json unknown = cost->unknown;
      view["cost"] = {{"per_kg", fmt::format("{:.2f}", cost->per_kg)},
                      {"per_100", fmt::format("{:.2f}", cost->per_kg / 10)},
                      {"covered", fmt::format("{:.0f}", cost->covered_pct)},
                      {"unknown", std::move(unknown)}};
    }
  }
  return view;
}

}  // namespace server
