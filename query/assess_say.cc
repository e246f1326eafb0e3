#include "query/assess_say.h"

#include <fmt/format.h>

#include <algorithm>

namespace query::parts {

Finding& Say(Assessment& out, Severity severity, std::string_view topic, std::string key, std::string text,
             std::string advice) {
  Finding& finding = out.findings.emplace_back();
  finding.severity = severity;
  finding.topic = topic;
  finding.key = std::move(key);
  finding.text = std::move(text);
  finding.advice = std::move(advice);
  return finding;
}

std::string Figure(double value) {
  return fmt::format("{:.3g}", value);
}

std::string Joined(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
    out += words[i];
  }
  return out;
}

std::string LineNames(const kb::Catalogue& catalogue, const kb::Formula& formula,
                      std::span<const std::size_t> lines) {
  std::vector<std::string> names;
  for (const std::size_t line : lines) {
    const std::string& name = catalogue.at(formula.lines[line].ingredient).name;
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  return Joined(names);
}

bool HasAny(const kb::Catalogue& catalogue, kb::IngredientIx ix,
            std::initializer_list<std::string_view> functions) {
  const auto& held = catalogue.at(ix).functions;
  return std::any_of(held.begin(), held.end(), [&](kb::FunctionIx function) {
    return std::find(functions.begin(), functions.end(), catalogue.function(function).id) != functions.end();
  });
}

bool IsMainly(const kb::Catalogue& catalogue, kb::IngredientIx ix,
              std::initializer_list<std::string_view> functions) {
  const auto& held = catalogue.at(ix).functions;
  return !held.empty() && std::find(functions.begin(), functions.end(),
                                    catalogue.function(held.front()).id) != functions.end();
}

std::string SourceOf(const kb::Catalogue& catalogue, const kb::Fact* fact) {
  return fact == nullptr ? std::string{} : catalogue.source(fact->source).key;
}

bool IsOilPhase(const PhaseTotal& phase) {
  return phase.name.find("oil") != std::string::npos;
}

}  // namespace query::parts
