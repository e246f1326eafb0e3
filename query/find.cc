#include "query/find.h"

#include <algorithm>
#include <set>

#include "kb/derived.h"
#include "kb/text.h"

namespace query {
namespace {

using kb::index::Item;

// Words that only carry a question.
bool IsFiller(std::string_view word) {
  static const std::set<std::string_view> kFillers = {
      "a",           "an",           "the",         "for",     "of",         "in",
      "to",          "and",          "or",          "with",    "what",       "does",
      "do",          "is",           "can",         "i",       "which",      "how",
      "much",        "my",           "use",         "used",    "good",       "best",
      "vs",          "not",          "like",        "some",    "substitute", "substitutes",
      "alternative", "alternatives", "replacement", "instead", "ingredient", "ingredients"};
  return kFillers.contains(word);
}

std::string WithoutFillers(std::string_view words) {
  std::string out;
  for (const std::string& word : kb::SplitTrimmed(kb::Fold(words), ' ')) {
    if (!IsFiller(word)) out += (out.empty() ? "" : " ") + word;
  }
  return out;
}

std::string FirstSentence(std::string_view text) {
  const std::size_t end = text.find(". ");
  return std::string(end == std::string_view::npos ? text : text.substr(0, end + 1));
}

class Collector {
 public:
  Collector(const Catalogue& catalogue, FindAnswer& answer) : catalogue_(catalogue), answer_(answer) {}

  void Add(Item item, std::string why) {
    if (answer_.results.size() >= kMostCounted || !seen_.insert({item.is_function, item.ix}).second) return;
    if (why.empty()) why = About(item);
    answer_.results.push_back({item, std::move(why)});
  }

  void AddMembers(kb::FunctionIx function, const std::set<std::uint32_t>& allowed, bool all) {
    std::vector<kb::IngredientIx> members(catalogue_.Members(function).begin(),
                                          catalogue_.Members(function).end());
    const auto key = [&](kb::IngredientIx ix) {
      return std::pair(catalogue_.FunctionRank(ix, function).value_or(9),
                       -catalogue_.Number(ix, "commonness").value_or(kb::Range{}).mid());
    };
    std::stable_sort(members.begin(), members.end(), [&](auto a, auto b) { return key(a) < key(b); });
    for (const kb::IngredientIx ix : members) {
      if (all || allowed.contains(ix)) Add({false, ix}, "a member of " + catalogue_.function(function).name);
    }
  }

 private:
  std::string About(Item item) const {
    if (item.is_function)
      return FirstSentence(catalogue_.function(static_cast<kb::FunctionIx>(item.ix)).card.what);
    const kb::Fact* about = catalogue_.Best(item.ix, "about");
    return about == nullptr ? "" : FirstSentence(about->text);
  }

  const Catalogue& catalogue_;
  FindAnswer& answer_;
  std::set<std::pair<bool, std::uint32_t>> seen_;
};

void AddNames(const Catalogue& catalogue, const TextIndex& index, const FindQuestion& question,
              const std::string& words, Collector& out) {
  if (question.filter.terms.empty()) {
    if (const auto function = catalogue.FindFunction(words)) {
      out.Add({true, *function}, "");
      out.AddMembers(*function, {}, true);
    }
    if (const auto exact = catalogue.FindExact(words)) out.Add({false, *exact}, "");
  }
  for (const Hit& hit : index.Starting(words, question.filter, kMostCounted)) out.Add(hit.item, "");
}

// Ranked text; where a function stands among the first, its members follow it.
void AddText(const TextIndex& index, const FindQuestion& question, const std::string& words, Collector& out) {
  const auto all = index.Text(words, TextIndex::Words::kAll, question.filter, kMostCounted);
  const auto any = index.Text(words, TextIndex::Words::kAny, question.filter, kMostCounted);
  std::set<std::uint32_t> matching;
  for (const auto& hits : {all, any}) {
    for (const Hit& hit : hits) {
      if (!hit.item.is_function) matching.insert(hit.item.ix);
    }
  }
  constexpr std::size_t kTop = 3;
  for (const auto& hits : {all, any}) {
    for (std::size_t i = 0; i < hits.size(); ++i) {
      out.Add(hits[i].item, "");
      if (hits[i].item.is_function && i < kTop)
        out.AddMembers(static_cast<kb::FunctionIx>(hits[i].item.ix), matching, false);
    }
  }
}

void CountFacets(const Catalogue& catalogue, FindAnswer& answer) {
  for (const Found& found : answer.results) {
    if (found.item.is_function) continue;
    const kb::IngredientIx ix = found.item.ix;
    for (const kb::FunctionIx function : catalogue.at(ix).functions)
      ++answer.facets["function"][catalogue.function(function).id];
    for (const char* property : {"phase", "form", "charge", "origin"}) {
      const std::string_view value = catalogue.Choice(ix, property);
      if (!value.empty()) ++answer.facets[property][std::string(value)];
    }
    const std::string_view side = kb::SolubleIn(catalogue, ix);
    if (!side.empty()) ++answer.facets["solubility"][std::string(side)];
  }
}

}  // namespace

FindAnswer Find(const Catalogue& catalogue, const TextIndex& index, const FindQuestion& question) {
  FindAnswer answer;
  answer.text = question.words;
  Collector out(catalogue, answer);
  const std::string bare = WithoutFillers(question.words);
  if (bare.empty()) {
    for (const Hit& hit : index.Passing(question.filter, kMostCounted)) out.Add(hit.item, "");
  } else {
    AddNames(catalogue, index, question, question.words, out);
    if (answer.results.empty()) AddNames(catalogue, index, question, bare, out);
    AddText(index, question, bare, out);
    if (answer.results.empty()) {
      // Spelling comes last, when nothing was found: it is what costs, and a rare right word is no slip.
      std::string right = index.Corrected(bare);
      if (const auto near = catalogue.FindName(question.words); near && near->corrected) right = near->name;
      if (!right.empty()) {
        answer.corrected = right;
        AddNames(catalogue, index, question, right, out);
        AddText(index, question, right, out);
      }
    }
  }
  answer.total = answer.results.size();
  CountFacets(catalogue, answer);
  if (answer.results.size() > question.limit) answer.results.resize(question.limit);
  return answer;
}

}  // namespace query
