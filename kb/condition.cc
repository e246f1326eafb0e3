#include "kb/condition.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

template <class Value>
using Word = std::pair<std::string_view, Value>;

constexpr std::array<Word<Quantity>, 11> kQuantities = {{{"ph", Quantity::kPh},
                                                         {"water", Quantity::kWater},
                                                         {"oil", Quantity::kOil},
                                                         {"alcohol", Quantity::kAlcohol},
                                                         {"glycol", Quantity::kGlycol},
                                                         {"emulsifier", Quantity::kEmulsifier},
                                                         {"surfactant", Quantity::kSurfactant},
                                                         {"electrolyte", Quantity::kElectrolyte},
                                                         {"pct", Quantity::kPct},
                                                         {"total", Quantity::kTotal},
                                                         {"heat", Quantity::kHeat}}};

// Two-letter signs before the one-letter ones that they begin with.
constexpr std::array<Word<Comparator>, 5> kComparators = {{{"<=", Comparator::kAtMost},
                                                           {">=", Comparator::kAtLeast},
                                                           {"<", Comparator::kLess},
                                                           {">", Comparator::kGreater},
                                                           {"=", Comparator::kEqual}}};

constexpr std::array<Word<ConditionWord>, 7> kWords = {{{"phase", ConditionWord::kPhase},
                                                        {"form", ConditionWord::kForm},
                                                        {"use", ConditionWord::kUse},
                                                        {"with", ConditionWord::kWith},
                                                        {"without", ConditionWord::kWithout},
                                                        {"is", ConditionWord::kIs},
                                                        {"not", ConditionWord::kNot}}};

constexpr std::array<std::string_view, 4> kPhases = {"heated", "cool-down", "water", "oil"};

template <class Value, std::size_t kSize>
std::optional<Value> Find(const std::array<Word<Value>, kSize>& words, std::string_view text) {
  const auto found = std::find_if(words.begin(), words.end(), [&](const auto& w) { return w.first == text; });
  return found == words.end() ? std::nullopt : std::optional(found->second);
}

template <class Value, std::size_t kSize>
std::string Names(const std::array<Word<Value>, kSize>& words) {
  std::string out;
  for (const auto& [name, value] : words) out += (out.empty() ? "" : ", ") + std::string(name);
  return out;
}

using Term = tl::expected<ConditionTerm, std::string>;

Term Refuse(std::string what) {
  return tl::unexpected(std::move(what));
}

Term ReadComparison(std::string_view text, std::size_t sign) {
  ConditionTerm term;
  const std::string_view name = Trim(text.substr(0, sign));
  const auto quantity = Find(kQuantities, name);
  if (!quantity)
    return Refuse(fmt::format("'{}' is no quantity; expected one of {}", name, Names(kQuantities)));
  term.quantity = *quantity;
  for (const auto& [letters, comparator] : kComparators) {
    if (text.substr(sign, letters.size()) != letters) continue;
    term.comparator = comparator;
    const std::string_view number = Trim(text.substr(sign + letters.size()));
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), term.number);
    if (error != std::errc{} || end != number.data() + number.size() || !std::isfinite(term.number)) {
      return Refuse(fmt::format("'{}' is no number", number));
    }
    return term;
  }
  return Refuse(fmt::format("'{}' holds no comparison", text));
}

Term ReadValues(ConditionTerm term, std::string_view text) {
  if (text.empty()) return Refuse("a word without a value, such as 'phase heated' without 'heated'");
  term.values = SplitTrimmed(text, '|');
  for (const std::string& value : term.values) {
    if (value.empty() || value.find(' ') != std::string::npos) {
      return Refuse(fmt::format("'{}' is no value; expected words joined by '|'", text));
    }
    if (term.word == ConditionWord::kPhase &&
        std::find(kPhases.begin(), kPhases.end(), value) == kPhases.end()) {
      return Refuse(fmt::format("'{}' is no phase; expected {}", value, fmt::join(kPhases, ", ")));
    }
  }
  return term;
}

Term ReadTerm(std::string_view text) {
  ConditionTerm term;
  if (text == "same-phase") {
    term.word = ConditionWord::kSamePhase;
    return term;
  }
  const std::size_t sign = text.find_first_of("<>=");
  if (sign != std::string_view::npos) return ReadComparison(text, sign);
  const std::size_t blank = text.find(' ');
  const std::string_view name = text.substr(0, blank);
  const auto word = Find(kWords, name);
  if (!word) {
    return Refuse(fmt::format(
        "'{}' begins no condition; expected a comparison such as 'ph > 6.5', same-phase, or one of {}", name,
        Names(kWords)));
  }
  term.word = *word;
  std::string_view rest = blank == std::string_view::npos ? std::string_view{} : Trim(text.substr(blank));
  if (*word == ConditionWord::kIs || *word == ConditionWord::kNot) {
    const std::size_t second = rest.find(' ');
    if (second == std::string_view::npos) {
      return Refuse(fmt::format("'{}' needs a property and a value, as in 'is electrolyte low|none'", text));
    }
    term.property = rest.substr(0, second);
    rest = Trim(rest.substr(second));
  }
  return ReadValues(std::move(term), rest);
}

}  // namespace

tl::expected<std::vector<ConditionTerm>, std::string> ParseCondition(std::string_view text) {
  std::vector<ConditionTerm> terms;
  std::string lower(text);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  if (Trim(lower).empty()) return terms;
  for (const std::string& part : SplitTrimmed(lower, ',')) {
    if (part.empty()) return tl::unexpected(std::string("an empty term between commas"));
    Term term = ReadTerm(part);
    if (!term) return tl::unexpected(std::move(term.error()));
    terms.push_back(std::move(*term));
  }
  return terms;
}

bool Holds(Comparator comparator, double value, double number) {
  switch (comparator) {
    case Comparator::kLess:
      return value < number;
    case Comparator::kAtMost:
      return value <= number;
    case Comparator::kGreater:
      return value > number;
    case Comparator::kAtLeast:
      return value >= number;
    case Comparator::kEqual:
      return value == number;
  }
  return false;
}

}  // namespace kb
