#include "query/find_why.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "kb/derived.h"
#include "kb/text.h"
#include "query/card.h"
#include "query/facts.h"

namespace query {
namespace {

std::string Spaced(std::string_view word) {
  std::string out(word);
  std::replace(out.begin(), out.end(), '-', ' ');
  std::replace(out.begin(), out.end(), '_', ' ');
  return out;
}

std::string Numbers(const kb::Range& range) {
  return range.low == range.high ? fmt::format("{:g}", range.low)
                                 : fmt::format("{:g} to {:g}", range.low, range.high);
}

std::string Trust(const kb::Fact& fact) {
  return fmt::format(" ({})", kb::StandingName(fact.standing));
}

std::string Noted(const kb::Fact& fact) {
  return fact.note.empty() ? "" : "; " + fact.note;
}

// "heated-oil" as a maker says it.
std::string PhaseWords(std::string_view phase) {
  static const std::map<std::string_view, std::string_view> kWords = {
      {"heated-water", "the heated water phase"},
      {"heated-oil", "the heated oil phase"},
      {"cool-down", "the cool-down"},
      {"cool-down-water", "the cool-down, dissolved in a little water"},
      {"disperse-in-oil", "dispersed in the oil first"},
      {"disperse-in-glycol", "wetted with a glycol first"},
      {"slurry", "a slurry of its own"}};
  const auto found = kWords.find(phase);
  return std::string(found == kWords.end() ? phase : found->second);
}

std::string PhaseAnswer(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const auto facts = catalogue.Facts(ix, "phase");
  if (facts.empty()) return "Where it goes in is not known here.";
  std::string out = "Goes into " + PhaseWords(facts.front().text);
  for (std::size_t i = 1; i < facts.size(); ++i) out += (i == 1 ? "; or " : ", ") + PhaseWords(facts[i].text);
  out += Trust(facts.front()) + ".";
  std::vector<std::string> ways;
  for (const kb::Fact& fact : catalogue.Facts(ix, "how_in")) ways.push_back(Spaced(fact.text));
  if (!ways.empty()) out += fmt::format(" How: {}.", fmt::join(ways, ", "));
  return out;
}

std::string HeatAnswer(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  std::string out;
  const kb::Fact* most = catalogue.Best(ix, "max_c");
  if (most == nullptr || !most->number) {
    out = "What heat it stands is not known here.";
  } else {
    const std::string_view stands = kb::HeatTolerance(catalogue, ix);
    out = fmt::format("{} up to {:g} C{}{}.",
                      stands == "stable"      ? "Yes,"
                      : stands == "sensitive" ? "Not with the heated phases: only"
                                              : "With care,",
                      most->number->low, Noted(*most), Trust(*most));
  }
  const kb::Fact* least = catalogue.Best(ix, "needs_c");
  if (least != nullptr && least->number)
    out += fmt::format(" It needs {} C{}.", Numbers(*least->number), Noted(*least));
  return out;
}

std::string LevelAnswer(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  std::vector<std::string> parts;
  for (const kb::Fact& fact : catalogue.Facts(ix, "use_pct")) {
    if (!fact.number) continue;
    std::string part = Numbers(*fact.number) + " %";
    const auto function = catalogue.FindFunction(fact.function);
    if (function) part += " as " + catalogue.function(*function).name;
    if (!fact.context.empty()) part += " (" + fact.context + ")";
    parts.push_back(std::move(part));
  }
  return parts.empty() ? "Its usual level is not known here."
                       : fmt::format("Usually {}.", fmt::join(parts, "; "));
}

// "pH of the product it works in: 3 to 9 (memory)." for each property of which something is known.
std::string NumberAnswer(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                         const std::vector<std::pair<const char*, const char*>>& properties,
                         std::string_view unknown) {
  std::string out;
  for (const auto& [property, words] : properties) {
    for (const kb::Fact& fact : catalogue.Facts(ix, property)) {
      if (!fact.number) continue;
      const std::string& unit = catalogue.properties()[fact.property].unit;
      out += fmt::format("{}{} {}{}{}{}.", out.empty() ? "" : " ", words, Numbers(*fact.number),
                         unit == "1" || unit.empty() ? "" : " " + unit,
                         fact.context.empty() ? "" : " (" + fact.context + ")", Trust(fact));
    }
  }
  return out.empty() ? std::string(unknown) : out;
}

std::string DissolvesAnswer(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  std::vector<std::string> parts;
  for (const auto& [property, medium] :
       {std::pair("in_water", "water"), std::pair("in_oil", "oils"), std::pair("in_ethanol", "ethanol"),
        std::pair("in_glycol", "glycols")}) {
    const std::string_view word = catalogue.Choice(ix, property);
    if (!word.empty()) parts.push_back(fmt::format("{}: {}", medium, Spaced(word)));
  }
  std::string out = parts.empty() ? "What it dissolves in is not known here."
                                  : fmt::format("In {}.", fmt::join(parts, "; "));
  const kb::Fact* much = catalogue.Best(ix, "water_g_per_l");
  if (much != nullptr && much->number) {
    out += fmt::format(" {} g in a litre of water{}{}.", Numbers(*much->number),
                       much->at_c ? fmt::format(" at {:g} C", *much->at_c) : "", Trust(*much));
  }
  return out;
}

std::string ClaimAnswerText(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                            const std::vector<kb::SearchFilter>& filters) {
  std::vector<std::string> parts;
  for (const kb::SearchFilter& filter : filters) {
    const std::string what = FilterText(catalogue, filter);
    if (filter.name == "keep" && filter.words.size() == 1) {
      const ClaimAnswer answer = KeepsClaim(catalogue, ix, filter.words.front());
      const std::string_view said = answer.state == ClaimState::kKept      ? "yes"
                                    : answer.state == ClaimState::kBroken  ? "no"
                                    : answer.state == ClaimState::kDepends ? "depends on the source"
                                                                           : "not known to be";
      parts.push_back(
          fmt::format("{}: {}{}", what, said, answer.because.empty() ? "" : ", " + answer.because));
      continue;
    }
    kb::SearchFilter opposite = filter;
    opposite.negative = !opposite.negative;
    const bool yes = kb::Holds(catalogue, ix, filter);
    const bool no = !yes && kb::Holds(catalogue, ix, opposite);
    parts.push_back(fmt::format("{}: {}", what, yes ? "yes" : no ? "no" : "not known"));
  }
  std::string out = fmt::format("{}.", fmt::join(parts, "; "));
  const auto asks = [&](std::string_view name) {
    return std::any_of(filters.begin(), filters.end(),
                       [&](const kb::SearchFilter& f) { return f.name == name; });
  };
  if (asks("solubility")) out += " " + DissolvesAnswer(catalogue, ix);
  if (asks("heat")) out += " " + HeatAnswer(catalogue, ix);
  return out;
}

}  // namespace

std::string FirstSentence(std::string_view text) {
  std::size_t at = 0;
  while ((at = text.find(". ", at)) != std::string_view::npos) {
    // "e.g. ", "approx. 5": what goes on in lower case or with a figure is the same sentence.
    const char next = at + 2 < text.size() ? text[at + 2] : 'A';
    if (next >= 'A' && next <= 'Z') return std::string(text.substr(0, at + 1));
    at += 2;
  }
  return std::string(text);
}

std::string AboutIngredient(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                            std::optional<kb::FunctionIx> as) {
  const kb::Fact* about = catalogue.Best(ix, "about");
  std::string out = about == nullptr ? "" : FirstSentence(about->text);
  if (!as) {
    if (!out.empty()) return out;
    std::vector<std::string> names;
    for (const kb::FunctionIx function : catalogue.at(ix).functions)
      names.push_back(catalogue.function(function).name);
    return fmt::format("Used as {}.", fmt::join(names, ", "));
  }
  const kb::Function& function = catalogue.function(*as);
  std::optional<kb::Range> level;
  for (const kb::Fact& fact : catalogue.Facts(ix, "use_pct")) {
    if (fact.number && fact.function == function.id && !level) level = fact.number;
  }
  std::string head = "As " + function.name;
  if (level) head += fmt::format(", usually {} %", Numbers(*level));
  out = head + (out.empty() ? "." : ": " + out);
  // What must not be swapped at home must not look like a shelf to choose from either.
  if (function.swap == "never") out += " " + FirstSentence(function.swap_note);
  return out;
}

std::string AboutFunction(const kb::Catalogue& catalogue, kb::FunctionIx ix) {
  const kb::Function& function = catalogue.function(ix);
  std::string out = FirstSentence(function.card.what);
  if (out.empty()) out = fmt::format("What is used as {}.", function.name);
  out += fmt::format(" {} members.", catalogue.Members(ix).size());
  if (function.swap == "never") out += " " + FirstSentence(function.swap_note);
  return out;
}

namespace {

// What the law says of a label name, in a sentence; "" where it is silent.
std::string LawInShort(const kb::Catalogue& catalogue, const std::string& inci) {
  const auto limits = LimitsOnCard(catalogue, std::vector<std::string>{inci});
  if (limits.empty()) return "";
  const kb::Limit& first = *limits.front().limit;
  const std::string where = WhereInLaw(first);
  if (first.prohibited) return fmt::format(" Prohibited ({}).", where);
  if (!first.max_pct) return fmt::format(" {} sets conditions.", where);
  const std::string most =
      fmt::format("{:g} %{}{}", *first.max_pct, first.expressed_as.empty() ? "" : " ", first.expressed_as);
  if (limits.size() == 1) return fmt::format(" At most {} ({}; {}).", most, first.scope, where);
  return fmt::format(" At most {} ({}), otherwise in other products ({}).", most, first.scope, where);
}

}  // namespace

std::string AboutEntry(const kb::Catalogue& catalogue, const InventoryEntry& entry) {
  std::string out = "Named in the EU inventory";
  out += entry.functions.empty() ? ", without a function" : " as " + entry.functions;
  out += "; no working data here.";
  out += LawInShort(catalogue, entry.inci);
  if (const auto same = catalogue.FindId(entry.same_cas_as))
    out += fmt::format(" Its CAS number is also that of {}.", catalogue.at(*same).name);
  return out;
}

std::string AnswerFact(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::string_view ask,
                       const std::vector<kb::SearchFilter>& filters) {
  if (ask == "phase") return PhaseAnswer(catalogue, ix);
  if (ask == "heat") return HeatAnswer(catalogue, ix);
  if (ask == "level") return LevelAnswer(catalogue, ix);
  if (ask == "ph") {
    return NumberAnswer(catalogue, ix,
                        {{"ph_use", "Works in products of pH"},
                         {"ph_active", "Preserves at pH"},
                         {"ph_stable", "Keeps at pH"},
                         {"ph_solution", "Its solution has pH"}},
                        "Nothing about its pH is known here.");
  }
  if (ask == "hlb") {
    return NumberAnswer(catalogue, ix, {{"hlb", "HLB"}, {"hlb_required", "It asks for an HLB of"}},
                        "No HLB is known here.");
  }
  if (ask == "melts") {
    return NumberAnswer(catalogue, ix, {{"melting_c", "Melts at"}}, "Its melting point is not known here.");
  }
  if (ask == "dissolves") return DissolvesAnswer(catalogue, ix);
  if (ask == "claim") return ClaimAnswerText(catalogue, ix, filters);
  return AboutIngredient(catalogue, ix);
}

std::string AnswerForMembers(const kb::Catalogue& catalogue, kb::FunctionIx function, std::string_view ask) {
  const auto members = catalogue.Members(function);
  std::map<std::string, std::size_t> counts;
  std::size_t known = 0;
  for (const kb::IngredientIx ix : members) {
    std::string word;
    if (ask == "phase") word = PhaseWords(catalogue.Choice(ix, "phase"));
    if (ask == "heat") word = kb::HeatTolerance(catalogue, ix);
    if (word.empty()) continue;
    ++known;
    ++counts[word];
  }
  if (ask == "level" && !catalogue.function(function).card.levels.empty())
    return FirstSentence(catalogue.function(function).card.levels);
  if (known == 0) return AboutFunction(catalogue, function);
  const auto most = std::max_element(counts.begin(), counts.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  if (ask == "phase") {
    return fmt::format("Most go into {} ({} of {} whose phase is known).", most->first, most->second, known);
  }
  return fmt::format("{} stand the heat of both phases, {} stand some, {} go in when it has cooled.",
                     counts["stable"], counts["moderate"], counts["sensitive"]);
}

std::string FilterText(const kb::Catalogue& catalogue, const kb::SearchFilter& filter) {
  const std::string no = filter.negative ? "not " : "";
  if (filter.comparator != 0) {
    static const std::map<std::string_view, std::string_view> kNames = {
        {"ph", "pH"},        {"level", "usual level"},
        {"hlb", "HLB"},      {"melting_c", "melting point"},
        {"pka", "pKa"},      {"hlb_required", "required HLB"},
        {"max_c", "stands"}, {"fatty_acid_pct", "fatty acid"},
    };
    const auto known = kNames.find(filter.name);
    std::string name = known == kNames.end() ? Spaced(filter.name) : std::string(known->second);
    if (!filter.key.empty()) name += " " + filter.key;
    const auto property = catalogue.FindProperty(filter.name);
    std::string unit = filter.name == "level" ? " %" : "";
    if (property && catalogue.properties()[*property].unit != "1")
      unit = " " + catalogue.properties()[*property].unit;
    return fmt::format("{}{} {} {:g}{}", no, name, filter.comparator == '<' ? "below" : "above",
                       filter.number.value_or(0), unit);
  }
  std::vector<std::string> words;
  for (const std::string& word : filter.words) {
    const auto function = filter.name == "function" ? catalogue.FindFunction(word) : std::nullopt;
    words.push_back(function ? catalogue.function(*function).name : Spaced(word));
  }
  const std::string list = fmt::format("{}", fmt::join(words, " or "));
  if (filter.name == "heat" && words.size() == 1) return no + (list == "needs heat" ? list : "heat " + list);
  if (filter.name == "solubility" && words.size() == 1 && (list == "water" || list == "oil"))
    return no + list + " soluble";
  return filter.name == "keep" ? no + list : fmt::format("{}: {}{}", Spaced(filter.name), no, list);
}

}  // namespace query
