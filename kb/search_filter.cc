#include "kb/search_filter.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "kb/derived.h"
#include "kb/text.h"

namespace kb {
namespace {

bool Any(const std::vector<std::string>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// What is known under a worked-out name; empty: nothing.
std::vector<std::string_view> Worked(const Catalogue& catalogue, IngredientIx ix, std::string_view name) {
  std::vector<std::string_view> out;
  if (name == "solubility") {
    const std::string_view soluble = SideName(SideOf(catalogue, ix));
    if (!soluble.empty()) out.push_back(soluble);
    if (soluble == "both") out.insert(out.end(), {"water", "oil"});
  } else if (name == "heat") {
    const std::string_view stands = HeatTolerance(catalogue, ix);
    if (!stands.empty()) out.push_back(stands);
    if (NeedsHeat(catalogue, ix).value_or(false)) out.emplace_back("needs-heat");
  } else if (name == "function") {
    for (const FunctionIx function : catalogue.at(ix).functions)
      out.emplace_back(catalogue.function(function).id);
  }
  return out;
}

bool IsWorked(std::string_view name) {
  return name == "solubility" || name == "heat" || name == "function";
}

bool WordsHold(const Catalogue& catalogue, IngredientIx ix, const SearchFilter& filter) {
  if (filter.name == "keep") {
    const bool kept =
        std::any_of(catalogue.claims().begin(), catalogue.claims().end(), [&](const ClaimRule& rule) {
          return Any(filter.words, rule.id) && KeepsClaim(catalogue, ix, rule).state == ClaimState::kKept;
        });
    return kept != filter.negative;
  }
  if (IsWorked(filter.name)) {
    const std::vector<std::string_view> known = Worked(catalogue, ix, filter.name);
    const bool one = std::any_of(known.begin(), known.end(),
                                 [&](std::string_view word) { return Any(filter.words, word); });
    return !known.empty() && one != filter.negative;
  }
  const std::span<const Fact> facts = catalogue.Facts(ix, filter.name);
  const bool one =
      std::any_of(facts.begin(), facts.end(), [&](const Fact& fact) { return Any(filter.words, fact.text); });
  return !facts.empty() && one != filter.negative;
}

bool NumberHolds(const Catalogue& catalogue, IngredientIx ix, const SearchFilter& filter) {
  std::optional<Range> known;
  if (filter.name == "ph") {
    known = ProductPh(catalogue, ix);
  } else if (filter.name == "level") {
    known = AllLevels(catalogue, ix);
  } else {
    known = catalogue.Number(ix, filter.name, filter.key);
  }
  if (!known || !filter.number) return false;
  bool holds = filter.comparator == '<' ? known->low < *filter.number : known->high > *filter.number;
  if (filter.name == "level" && filter.comparator == '<') holds = holds && known->high <= *filter.number;
  return holds != filter.negative;
}

}  // namespace

tl::expected<SearchFilter, std::string> ParseSearchFilter(std::string_view text) {
  SearchFilter filter;
  std::string_view rest = Trim(text);
  if (!rest.empty() && rest.front() == '-') {
    filter.negative = true;
    rest.remove_prefix(1);
  }
  const std::size_t end = rest.find_first_of(":<>(");
  if (end == std::string_view::npos || end == 0)
    return tl::unexpected(
        fmt::format("'{}' is no filter; expected NAME:WORD, NAME<NUMBER or NAME>NUMBER", text));
  filter.name = rest.substr(0, end);
  rest.remove_prefix(end);
  if (rest.front() == '(') {
    const std::size_t close = rest.find(')');
    if (close == std::string_view::npos || close + 1 >= rest.size())
      return tl::unexpected(fmt::format("'{}': '(' is not closed before a comparison", text));
    filter.key = rest.substr(1, close - 1);
    rest.remove_prefix(close + 1);
  }
  const char mark = rest.front();
  rest = Trim(rest.substr(1));
  if (mark == ':') {
    filter.words = SplitTrimmed(rest, '|');
    if (Any(filter.words, "")) return tl::unexpected(fmt::format("'{}': a word is missing after ':'", text));
    return filter;
  }
  if (mark != '<' && mark != '>')
    return tl::unexpected(fmt::format("'{}': expected ':', '<' or '>' after the name", text));
  filter.comparator = mark;
  if (rest == "#") return filter;
  double number = 0;
  const auto [stop, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error != std::errc() || stop != rest.data() + rest.size())
    return tl::unexpected(fmt::format("'{}': '{}' is no number", text, rest));
  filter.number = number;
  return filter;
}

std::string WriteSearchFilter(const SearchFilter& filter) {
  std::string out = filter.negative ? "-" : "";
  out += filter.name;
  if (!filter.key.empty()) out += "(" + filter.key + ")";
  if (filter.comparator == 0) return out + ":" + fmt::format("{}", fmt::join(filter.words, "|"));
  out += filter.comparator;
  return out + (filter.number ? fmt::format("{:g}", *filter.number) : "#");
}

std::optional<std::vector<std::string>> FilterWords(const Catalogue& catalogue, std::string_view name) {
  std::vector<std::string> words;
  if (name == "function") {
    for (const Function& function : catalogue.functions()) words.push_back(function.id);
    return words;
  }
  if (name == "keep") {
    for (const ClaimRule& rule : catalogue.claims()) words.push_back(rule.id);
    return words;
  }
  if (name == "solubility") return std::vector<std::string>{"water", "oil", "both", "neither"};
  if (name == "heat") return std::vector<std::string>{"stable", "moderate", "sensitive", "needs-heat"};
  if (name == "ph" || name == "level") return words;
  const auto property = catalogue.FindProperty(name);
  if (!property) return std::nullopt;
  return catalogue.properties()[*property].choices;
}

bool Holds(const Catalogue& catalogue, IngredientIx ix, const SearchFilter& filter) {
  return filter.comparator == 0 ? WordsHold(catalogue, ix, filter) : NumberHolds(catalogue, ix, filter);
}

}  // namespace kb
