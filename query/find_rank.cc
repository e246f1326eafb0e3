#include "query/find_rank.h"

#include <algorithm>
#include <array>
#include <unordered_map>
#include <utility>

#include "kb/derived.h"
#include "kb/text.h"

namespace query {
namespace {

namespace terms = kb::index;
using Type = terms::Item::Type;

// What counts how much when candidates are ranked. Our judgement, set on the graded queries of tests/bench: a function in the
// first place of a record counts as much as two wishes, a shelf staple as much as one.
constexpr std::array<double, 4> kByRank = {1.0, 0.65, 0.5,
                                           0.4};  // the function is the record's first, second ...
// Asked for an effect: what is known for it may be filed under another function first (salicylic acid against blemishes).
constexpr std::array<double, 4> kByRankOfEffect = {1.0, 0.9, 0.8, 0.7};
constexpr double kFirstMeant = 0.15;     // of several functions that a word may mean, the first
constexpr double kSecondFunction = 0.3;  // plays another of the functions asked for
constexpr double kContextFunction = 0.2;
constexpr double kWish = 0.5;
constexpr double kFirstWord = 0.15;  // of a wish with several words the first is the best
constexpr double kSuits = 0.25;
constexpr double kSuitsNot = 0.6;
constexpr double kCommon = 0.5;
constexpr double kWindow = 0.3;  // how much of its range lies on the side asked for
constexpr double kText = 1.0;    // words left over, by their weight
constexpr double kHint = 0.8;
constexpr double kInName = 1.0;   // all words left over are in one of its names
constexpr double kStrong = 0.15;  // does what is wanted strongly
constexpr double kProhibited = 3;
constexpr double kInventory = 0.5;
constexpr double kBlend = 0.05;  // of two alike the single substance is the plainer answer

constexpr std::size_t kMostCandidates = 1600;  // more than there are records

// Filters that the index holds as terms.
std::string_view PrefixOf(std::string_view name) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 15> kPrefixes = {{
      {"function", terms::kFunction},
      {"phase", terms::kPhase},
      {"solubility", terms::kSolubility},
      {"form", terms::kForm},
      {"charge", terms::kCharge},
      {"origin", terms::kOrigin},
      {"class", terms::kClass},
      {"keep", terms::kClaimKept},
      {"heat", terms::kHeat},
      {"suits", terms::kSuits},
      {"feel", terms::kFeel},
      {"purpose", terms::kPurpose},
      {"caution", terms::kCaution},
      {"thickens", terms::kThickens},
      {"emulsion_type", terms::kEmulsion},
  }};
  for (const auto& [known, prefix] : kPrefixes) {
    if (known == name) return prefix;
  }
  return {};
}

std::vector<std::string> Terms(const kb::SearchFilter& filter) {
  const std::string_view prefix = PrefixOf(filter.name);
  std::vector<std::string> out;
  if (prefix.empty() || filter.comparator != 0) return out;
  for (const std::string& word : filter.words) out.push_back(terms::Term(prefix, word));
  return out;
}

double Commonness(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const double common = catalogue.Commonness(ix);
  constexpr double kMost = 5;
  return common > 0 ? (common - 1) / (kMost - 1) : 0;
}

double WishScore(const kb::Catalogue& catalogue, kb::IngredientIx ix, const kb::SearchFilter& wish) {
  const bool kind = wish.name == "suits";
  if (!kb::Holds(catalogue, ix, wish)) {
    if (!kind) return 0;
    kb::SearchFilter not_suited = wish;
    not_suited.name = "suits_not";
    return kb::Holds(catalogue, ix, not_suited) ? -kSuitsNot : 0;
  }
  double score = kind ? kSuits : kWish;
  if (!kind && wish.words.size() > 1 && !wish.negative && catalogue.Says(ix, wish.name, wish.words.front()))
    score += kFirstWord;
  return score;
}

// Of a range and a bound the share that lies on the side asked for, 0..1.
double Share(const kb::Range& range, char comparator, double bound) {
  if (range.high <= range.low) return 1;
  const double below = std::clamp((bound - range.low) / (range.high - range.low), 0.0, 1.0);
  return comparator == '<' ? below : 1 - below;
}

double WindowScore(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading) {
  double score = 0;
  for (const Reading::Filter& item : reading.filters) {
    if (item.filter.comparator == 0 || item.filter.negative || !item.filter.number) continue;
    const auto range = item.filter.name == "ph"      ? kb::ProductPh(catalogue, ix)
                       : item.filter.name == "level" ? kb::AllLevels(catalogue, ix)
                                                     : std::nullopt;
    if (range) score += kWindow * Share(*range, item.filter.comparator, *item.filter.number);
  }
  return score;
}

// Does it have an effect that is asked for?
bool HasEffect(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading) {
  return std::any_of(reading.wants.begin(), reading.wants.end(), [&](const kb::SearchFilter& wish) {
    return wish.name == "purpose" && kb::Holds(catalogue, ix, wish);
  });
}

double FunctionScore(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading,
                     std::optional<kb::FunctionIx>& as) {
  const auto& by_rank = HasEffect(catalogue, ix, reading) ? kByRankOfEffect : kByRank;
  double best = 0;
  double score = 0;
  for (const kb::FunctionIx function : reading.functions) {
    const auto rank = catalogue.FunctionRank(ix, function);
    if (!rank) continue;
    double here = by_rank[std::min(*rank, by_rank.size() - 1)];
    if (reading.functions.size() > 1 && function == reading.functions.front()) here += kFirstMeant;
    if (best > 0) score += kSecondFunction;
    if (here > best) {
      best = here;
      as = function;
    }
  }
  for (const kb::FunctionIx function : reading.context_functions) {
    if (catalogue.FunctionRank(ix, function)) score += kContextFunction;
  }
  return score + best;
}

bool IsProhibited(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const std::vector<kb::FunctionIx>& functions = catalogue.at(ix).functions;
  return !functions.empty() && catalogue.function(functions.front()).id == "prohibited";
}

// What lifts an ingredient whatever the words: wishes and how common it is.
double GeneralScore(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading) {
  double score = kCommon * Commonness(catalogue, ix) + WindowScore(catalogue, ix, reading);
  for (const kb::SearchFilter& wish : reading.wants) score += WishScore(catalogue, ix, wish);
  const bool effect = std::any_of(reading.wants.begin(), reading.wants.end(),
                                  [](const kb::SearchFilter& wish) { return wish.name == "purpose"; });
  if (effect && catalogue.Says(ix, "strength", "strong")) score += kStrong;
  if (IsProhibited(catalogue, ix)) score -= kProhibited;
  if (!catalogue.at(ix).composition.empty()) score -= kBlend;
  return score;
}

void Sort(std::vector<Ranked>& ranked) {
  std::stable_sort(ranked.begin(), ranked.end(), [](const Ranked& a, const Ranked& b) {
    return a.score != b.score ? a.score > b.score : a.hit.document < b.hit.document;
  });
}

// Weights of the words in the documents that hold them, 0..1.
std::unordered_map<std::uint32_t, double> WordWeights(const TextIndex& index,
                                                      const std::vector<std::string>& words,
                                                      const TextFilter& filter) {
  std::unordered_map<std::uint32_t, double> out;
  if (words.empty()) return out;
  const auto found = index.Text(words, false, filter, kMostCandidates);
  for (const Hit& hit : found.hits) out.emplace(hit.document, hit.weight / found.hits.front().weight);
  return out;
}

// Are the letters of a folded word in the name, or may they be once it is folded? Most names hold neither.
bool MayHold(std::string_view name, std::string_view word) {
  const auto plain = [](char c) { return static_cast<unsigned char>(c) < 0x80 && c != '\''; };
  const auto same = [](char in_name, char in_word) {
    return (in_name >= 'A' && in_name <= 'Z' ? static_cast<char>(in_name - 'A' + 'a') : in_name) == in_word;
  };
  return std::search(name.begin(), name.end(), word.begin(), word.end(), same) != name.end() ||
         !std::all_of(name.begin(), name.end(), plain);
}

// Is the word in one of its names, and not there to say that it is not so ("non nano zinc oxide")?
bool NameHolds(const kb::Ingredient& item, const std::string& word) {
  const auto holds = [&](const std::string& name) {
    if (!MayHold(name, word)) return false;
    const std::vector<std::string> words = kb::SplitTrimmed(kb::Fold(name), ' ');
    const auto at = std::find(words.begin(), words.end(), word);
    return at != words.end() && (at == words.begin() || (at[-1] != "non" && at[-1] != "not"));
  };
  return holds(item.name) || holds(item.inci) || std::any_of(item.also.begin(), item.also.end(), holds);
}

// Does it bring the other along: a blend or a solution of it, an oil that holds it (menthol in peppermint oil, thymol in oregano oil)?
bool Brings(const kb::Catalogue& catalogue, kb::IngredientIx ix, kb::IngredientIx other) {
  const std::vector<kb::Component>& parts = catalogue.at(ix).composition;
  if (std::any_of(parts.begin(), parts.end(),
                  [&](const kb::Component& part) { return part.ingredient == other; }))
    return true;
  const auto holds = [&](std::string_view property) {
    const auto held = catalogue.Facts(ix, property);
    return std::any_of(held.begin(), held.end(),
                       [&](const kb::Fact& fact) { return fact.key == catalogue.at(other).inci; });
  };
  return holds("allergen_pct") || holds("component_pct");
}

}  // namespace

TextFilter TermsOf(const kb::Catalogue& catalogue, const Reading& reading) {
  TextFilter out;
  for (const Reading::Filter& item : reading.filters) {
    std::vector<std::string> words = Terms(item.filter);
    if (words.empty()) continue;
    if (item.filter.negative) {
      out.none.insert(out.none.end(), words.begin(), words.end());
    } else {
      out.groups.push_back(std::move(words));
    }
  }
  for (const kb::FunctionIx function : reading.left_out_functions)
    out.none.push_back(terms::Term(terms::kFunction, catalogue.function(function).id));
  // Filters ask what is known; of the inventory nothing is.
  if (!reading.filters.empty() && out.groups.empty())
    out.groups.push_back({terms::Term(terms::kType, "ingredient")});
  return out;
}

bool Passes(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Reading& reading) {
  if (std::any_of(reading.left_out.begin(), reading.left_out.end(),
                  [&](kb::IngredientIx out) { return out == ix || Brings(catalogue, ix, out); }))
    return false;
  for (const kb::FunctionIx function : reading.left_out_functions) {
    if (catalogue.FunctionRank(ix, function)) return false;
  }
  for (const std::string& word : reading.left_out_words) {
    if (NameHolds(catalogue.at(ix), word)) return false;
  }
  return std::all_of(reading.filters.begin(), reading.filters.end(),
                     [&](const Reading::Filter& filter) { return kb::Holds(catalogue, ix, filter.filter); });
}

std::vector<Ranked> RankByMeaning(const kb::Catalogue& catalogue, const TextIndex& index,
                                  const Reading& reading) {
  TextFilter filter = TermsOf(catalogue, reading);
  std::vector<std::string> group;
  for (const kb::FunctionIx function : reading.functions)
    group.push_back(terms::Term(terms::kFunction, catalogue.function(function).id));
  if (group.empty() && reading.text.empty()) {
    // Wishes alone: one of them must hold; the kind of product only where there is no other.
    for (const bool kind : {false, true}) {
      for (const kb::SearchFilter& wish : reading.wants) {
        if (!group.empty() && kind) break;
        if ((wish.name == "suits") != kind || wish.negative) continue;
        for (std::string& term : Terms(wish)) group.push_back(std::move(term));
      }
    }
  }
  if (!group.empty()) filter.groups.push_back(std::move(group));
  // What is left out alone ("fragrance free") leaves all the others.
  const bool only_without = !filter.none.empty() && reading.text.empty();
  if (filter.groups.empty() && !only_without) return {};
  filter.groups.push_back({terms::Term(terms::kType, "ingredient")});

  const auto words = WordWeights(index, reading.text, filter);
  const auto hints = WordWeights(index, reading.hints, filter);
  std::vector<Ranked> out;
  for (const Hit& hit : index.Passing(filter, kMostCandidates)) {
    if (hit.item.type != Type::kIngredientItem || !Passes(catalogue, hit.item.ix, reading)) continue;
    // Filters with words left over: the words must say something, else everything that passes would come.
    const auto word = words.find(hit.document);
    if (reading.functions.empty() && !reading.text.empty() && word == words.end()) continue;
    Ranked ranked;
    ranked.hit = hit;
    ranked.score = FunctionScore(catalogue, hit.item.ix, reading, ranked.as) +
                   GeneralScore(catalogue, hit.item.ix, reading);
    if (word != words.end()) {
      ranked.score += kText * word->second;
      const kb::Ingredient& item = catalogue.at(hit.item.ix);
      if (std::all_of(reading.text.begin(), reading.text.end(),
                      [&](const std::string& text) { return NameHolds(item, text); }))
        ranked.score += kInName;
    }
    if (const auto hint = hints.find(hit.document); hint != hints.end()) ranked.score += kHint * hint->second;
    out.push_back(ranked);
  }
  Sort(out);
  return out;
}

TextRanking RankByText(const kb::Catalogue& catalogue, const TextIndex& index, const Reading& reading,
                       const std::vector<std::string>& words, bool all, std::size_t most) {
  TextRanking out;
  const auto found = index.Text(words, all, TermsOf(catalogue, reading), most);
  out.total = found.total;
  for (const Hit& hit : found.hits) {
    Ranked ranked;
    ranked.hit = hit;
    const double best = found.hits.front().weight;
    ranked.score = best > 0 ? kText * hit.weight / best : 0;
    if (hit.item.type == Type::kIngredientItem) {
      if (!Passes(catalogue, hit.item.ix, reading)) continue;
      ranked.score += GeneralScore(catalogue, hit.item.ix, reading);
    } else if (hit.item.type == Type::kInventoryItem) {
      ranked.score -= kInventory;
    }
    out.ranked.push_back(ranked);
  }
  Sort(out.ranked);
  return out;
}

namespace {

// 0: its first words are just what was typed; 1: just begin so; 2: neither.
int Beginning(std::string_view name, const std::string& typed) {
  // Most names begin otherwise: seen without folding, by the letters before the first blank or mark.
  for (std::size_t i = 0; i < std::min(name.size(), typed.size()); ++i) {
    const char c = name[i] >= 'A' && name[i] <= 'Z' ? static_cast<char>(name[i] - 'A' + 'a') : name[i];
    if (!((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))) break;
    if (c != typed[i]) return 2;
  }
  const std::string folded = kb::Fold(name);
  if (folded.compare(0, typed.size(), typed) != 0) return 2;
  return folded.size() == typed.size() || folded[typed.size()] == ' ' ? 0 : 1;
}

}  // namespace

std::vector<Hit> Ordered(const kb::Catalogue& catalogue, std::vector<Hit> hits, std::string_view typed) {
  const std::string folded = kb::Fold(typed);
  const auto key = [&](const Hit& hit) {
    if (hit.item.type != Type::kIngredientItem) return 2;
    const kb::Ingredient& item = catalogue.at(hit.item.ix);
    const int own = std::min(Beginning(item.name, folded), Beginning(item.inci, folded));
    int other = 2;
    for (const std::string& name : item.also) other = std::min(other, Beginning(name, folded));
    // Whole words in the own name, in another, parts in the own name, in another.
    if (own == 0) return 0;
    if (other == 0) return 1;
    return own == 1 ? 2 : 3;
  };
  std::vector<std::pair<int, Hit>> keyed;
  keyed.reserve(hits.size());
  for (const Hit& hit : hits) keyed.emplace_back(key(hit), hit);
  std::stable_sort(keyed.begin(), keyed.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < hits.size(); ++i) hits[i] = keyed[i].second;
  return hits;
}

}  // namespace query
