#include "kb/placing.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

using Term = tl::expected<PlacingTerm, std::string>;

constexpr std::string_view kSigns = "<>=";

Term ReadComparison(std::string_view text, std::size_t at) {
  PlacingTerm term;
  term.name = Trim(text.substr(0, at));
  const bool or_equal = at + 1 < text.size() && text[at + 1] == '=';
  term.sign = std::string(text.substr(at, or_equal ? 2 : 1));
  const std::string_view number = Trim(text.substr(at + term.sign.size()));
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), term.number);
  if (error != std::errc{} || end != number.data() + number.size() || !std::isfinite(term.number)) {
    return tl::unexpected(fmt::format("'{}' is no number", number));
  }
  if (term.sign == "==" || term.name.empty()) {
    return tl::unexpected(fmt::format("'{}' is no comparison; expected one such as 'max_c < 60'", text));
  }
  return term;
}

Term ReadTerm(std::string_view text) {
  if (const std::size_t at = text.find_first_of(kSigns); at != std::string_view::npos)
    return ReadComparison(text, at);
  PlacingTerm term;
  if (text.starts_with("known ")) {
    term.name = Trim(text.substr(6));
    term.sign = "known";
    return term;
  }
  if (text.starts_with("not ")) {
    term.sign = "not";
    text = Trim(text.substr(4));
  }
  const std::size_t blank = text.find(' ');
  if (blank == std::string_view::npos) {
    return tl::unexpected(fmt::format("'{}' needs a value, as in 'form powder|crystals'", text));
  }
  term.name = text.substr(0, blank);
  term.values = SplitTrimmed(text.substr(blank + 1), '|');
  for (const std::string& value : term.values) {
    if (value.empty() || value.find(' ') != std::string::npos) {
      return tl::unexpected(
          fmt::format("'{}' is no value; expected words joined by '|'", text.substr(blank + 1)));
    }
  }
  return term;
}

}  // namespace

tl::expected<std::vector<PlacingTerm>, std::string> ParsePlacing(std::string_view text) {
  std::vector<PlacingTerm> terms;
  if (Trim(text).empty()) return terms;
  for (const std::string& part : SplitTrimmed(text, ',')) {
    Term term =
        part.empty() ? Term(tl::unexpected(std::string("an empty term between commas"))) : ReadTerm(part);
    if (!term) return tl::unexpected(std::move(term.error()));
    terms.push_back(std::move(*term));
  }
  return terms;
}

const std::vector<PlacingSignal>& PlacingSignals() {
  static const std::vector<PlacingSignal> kSignals = {
      {"dissolving", {"cold", "borderline", "crystals", "no"}, false},
      {"melts", {"liquid", "yes", "no"}, false},
      {"stands", {"heat", "warm", "cool"}, false},
      {"needs", {"heat", "none"}, false},
      {"solution", {"yes"}, false},
      {"polymer", {"yes"}, false},
      {"family", {}, false},
      {"kind",
       {"emulsion-ow", "emulsion-wo", "anhydrous", "gel", "water", "surfactant", "conditioner", "powder",
        "sunscreen"},
       false},
      {"heated", {"yes", "no"}, false},
      {"level", {}, true},
      {"water", {}, true},
      {"oil", {}, true},
      {"glycol", {}, true},
      {"surfactant", {}, true},
      {"salt", {}, true},
      {"process", {}, true},
  };
  return kSignals;
}

}  // namespace kb
