#include "query/find.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <optional>
#include <utility>

#include "kb/text.h"
#include "query/find_facets.h"
#include "query/find_rank.h"
#include "query/find_reading.h"
#include "query/find_spelling.h"
#include "query/find_swap.h"
#include "query/find_why.h"

namespace query {
namespace {

using kb::index::Item;
using Type = Item::Type;

constexpr std::size_t kFunctionAfter = 3;  // members before the card of the function that they were sought by
constexpr std::size_t kReadings = 3;       // other readings of a misspelt name

bool IsFactQuestion(std::string_view ask) {
  return ask == "phase" || ask == "heat" || ask == "level" || ask == "ph" || ask == "hlb" || ask == "melts" ||
         ask == "dissolves" || ask == "claim";
}

std::string Joined(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

// Items that have come already: some hundreds, asked for at each hit. Slots by a hash, the next free one where it is taken.
class Seen {
 public:
  // false: it was there.
  bool Add(Item item) {
    if (2 * (count_ + 1) > slots_.size()) Grow();
    const std::uint64_t key = (std::uint64_t{item.ix} << 2U | static_cast<std::uint64_t>(item.type)) + 1;
    std::uint64_t& slot = Slot(key);
    if (slot == key) return false;
    slot = key;
    ++count_;
    return true;
  }

 private:
  std::uint64_t& Slot(std::uint64_t key) {
    // Multiplied by 2^64 over the golden ratio (Knuth, The Art of Computer Programming 3, 6.4), the upper bits are spread well.
    std::size_t at = (key * 0x9E3779B97F4A7C15U >> 32U) & (slots_.size() - 1);
    while (slots_[at] != 0 && slots_[at] != key) at = (at + 1) & (slots_.size() - 1);
    return slots_[at];
  }
  void Grow() {
    const std::vector<std::uint64_t> before =
        std::exchange(slots_, std::vector<std::uint64_t>(std::max<std::size_t>(64, 2 * slots_.size())));
    for (const std::uint64_t key : before) {
      if (key != 0) Slot(key) = key;
    }
  }

  std::vector<std::uint64_t> slots_;
  std::size_t count_ = 0;
};

// One search: collects results tier by tier, the first claim to a place wins.
class Search {
 public:
  Search(const kb::Catalogue& catalogue, const Vocabulary& vocabulary, const TextIndex& index,
         const FindQuestion& question, std::string query)
      : catalogue_(catalogue),
        vocabulary_(vocabulary),
        index_(index),
        question_(question),
        query_(std::move(query)) {}

  // Returns whether anything was found.
  bool Run() {
    TakeExact();
    reading_ = Read(catalogue_, vocabulary_, query_, whole_name_.has_value());
    for (const kb::SearchFilter& filter : question_.filters) reading_.filters.push_back({filter, 0, 0});
    if (whole_name_ && !question_.filters.empty() && !Passes(catalogue_, *whole_name_, reading_))
      whole_name_.reset();
    FillAnswer();
    AddExact();
    AddQuestion();
    if (answer_.ask == "swap" && swapped_never_) return Finish();
    if (whole_function_) AddMeaning();
    if (reading_.plain() || whole_name_) AddStarting();
    AddNamed();
    AddMeaning();
    if (answer_.ask != "swap") AddText();
    AddMissed();
    return Finish();
  }

  FindAnswer& answer() { return answer_; }
  const Reading& reading() const { return reading_; }
  const std::vector<std::pair<Item, std::uint32_t>>& all() const { return all_; }

 private:
  void TakeExact() {
    whole_function_ = catalogue_.FindFunction(query_);
    whole_name_ = catalogue_.FindExact(query_);
  }

  void FillAnswer() {
    answer_.ask = reading_.ask;
    answer_.text = Joined(reading_.text);
    for (const kb::IngredientIx name : reading_.names)
      answer_.text += (answer_.text.empty() ? "" : " ") + catalogue_.at(name).name;
    for (const Reading::Filter& item : reading_.filters) {
      FilterTaken taken{item.filter, FilterText(catalogue_, item.filter), "", query_};
      if (item.last > item.first) {
        taken.words = Slice(query_, reading_.words, item.first, item.last);
        taken.without = WithoutWords(item.first, item.last);
      }
      answer_.filters.push_back(std::move(taken));
    }
    for (const kb::IngredientIx ix : reading_.left_out) answer_.left_out.push_back(catalogue_.at(ix).name);
    for (const kb::FunctionIx ix : reading_.left_out_functions)
      answer_.left_out.push_back(catalogue_.function(ix).name);
    for (const std::string& word : reading_.left_out_words) {
      if (std::find(answer_.left_out.begin(), answer_.left_out.end(), word) == answer_.left_out.end())
        answer_.left_out.push_back(word);
    }
  }

  std::string WithoutWords(std::size_t first, std::size_t last) const {
    std::string out;
    for (std::size_t i = 0; i < reading_.words.size(); ++i) {
      if (i >= first && i < last) continue;
      out += (out.empty() ? "" : " ") + std::string(Slice(query_, reading_.words, i, i + 1));
    }
    return out;
  }

  void Add(Item item, std::uint32_t document, std::string why = {}) {
    if (!seen_.Add(item)) return;
    all_.emplace_back(item, document);
    if (answer_.results.size() >= std::min(question_.limit, kMostShown)) return;
    Found found{static_cast<FoundType>(item.type), item.ix, std::move(why), {}};
    if (item.type == Type::kInventoryItem) {
      found.entry = index_.Inventory(document);
      found.why = AboutEntry(catalogue_, found.entry);
    } else if (found.why.empty()) {
      found.why = item.type == Type::kFunctionItem
                      ? AboutFunction(catalogue_, static_cast<kb::FunctionIx>(item.ix))
                      : AboutIngredient(catalogue_, item.ix);
    }
    answer_.results.push_back(std::move(found));
  }
  void AddIngredient(kb::IngredientIx ix, std::string why = {}) {
    Add({Type::kIngredientItem, ix}, 0, std::move(why));
  }
  void AddFunction(kb::FunctionIx ix, std::string why = {}) {
    Add({Type::kFunctionItem, ix}, 0, std::move(why));
  }

  bool Fits(const Hit& hit) const {
    if (hit.item.type == Type::kIngredientItem) return Passes(catalogue_, hit.item.ix, reading_);
    return reading_.filters.empty();
  }

  void AddHits(const std::vector<Hit>& hits) {
    for (const Hit& hit : hits) {
      if (Fits(hit)) Add(hit.item, hit.document);
    }
  }

  void AddExact() {
    if (whole_name_) {
      AddIngredient(*whole_name_);
      if (whole_function_) AddFunction(*whole_function_);
      AddHits(index_.Named(query_, kMostShown));
    } else if (whole_function_) {
      if (reading_.filters.empty()) AddFunction(*whole_function_);
    } else if (reading_.ask.empty()) {
      AddHits(index_.Named(query_, kMostShown));  // of the inventory
    }
  }

  void AddQuestion() {
    if (reading_.ask == "swap") return AddSwap();
    if (reading_.ask == "what") {
      for (const kb::IngredientIx ix : reading_.names) AddIngredient(ix);
      if (!reading_.functions.empty() && reading_.filters.empty()) AddFunction(reading_.functions.front());
    } else if (IsFactQuestion(reading_.ask)) {
      std::vector<kb::SearchFilter> asked;
      if (reading_.ask == "claim") {
        for (const Reading::Filter& item : reading_.filters) asked.push_back(item.filter);
        // The filters were the question; nothing is left out by them.
        reading_.filters.clear();
        answer_.filters.clear();
      }
      for (const kb::IngredientIx ix : reading_.names)
        AddIngredient(ix, AnswerFact(catalogue_, ix, reading_.ask, asked));
      if (reading_.names.empty() && !reading_.functions.empty())
        AddFunction(reading_.functions.front(),
                    AnswerForMembers(catalogue_, reading_.functions.front(), reading_.ask));
    } else if (reading_.ask == "compare") {
      for (const kb::IngredientIx ix : reading_.names) AddIngredient(ix);
    }
    if (!answer_.results.empty() && reading_.ask != "compare" && !reading_.ask.empty())
      answer_.answer = answer_.results.front().why;
  }

  // "A substitute B": B is what was thought of, so it goes first; the stand-ins for A follow.
  void AddSwap() {
    if (reading_.names.empty()) return;
    const kb::IngredientIx missing = reading_.names.front();
    for (std::size_t i = 1; i < reading_.names.size(); ++i) AddIngredient(reading_.names[i]);
    const SwapLines lines = StandInsFor(catalogue_, missing, reading_);
    answer_.answer = lines.answer;
    swapped_never_ = lines.never;
    if (lines.never) return AddIngredient(missing, lines.answer);
    for (const SwapLine& line : lines.stand_ins) {
      if (line.ingredient != missing && Passes(catalogue_, line.ingredient, reading_))
        AddIngredient(line.ingredient, line.why);
    }
    // Beyond them whoever else plays the part, in the order of how common they are.
    seen_.Add({Type::kIngredientItem, missing});
    const std::vector<kb::FunctionIx>& functions = catalogue_.at(missing).functions;
    if (!functions.empty() && reading_.functions.empty()) reading_.functions.push_back(functions.front());
    reading_.names.clear();
  }

  void AddStarting() {
    AddHits(Ordered(catalogue_, index_.StartingAnyhow(query_, TermsOf(catalogue_, reading_), kMostShown),
                    query_));
  }

  // Names inside the query. One that breaks a claim which was asked for has stand-ins that keep it: "vegan beeswax".
  void AddNamed() {
    if (reading_.ask == "swap" || whole_name_) return;
    if (!reading_.names.empty() && !reading_.text.empty())
      AddHits(Ordered(catalogue_, index_.StartingAnyhow(query_, TermsOf(catalogue_, reading_), kMostShown),
                      query_));
    const std::vector<kb::IngredientIx> names = reading_.names;
    for (const kb::IngredientIx ix : names) {
      const std::vector<const kb::SearchFilter*> failed = Failed(ix);
      if (Passes(catalogue_, ix, reading_)) {
        AddIngredient(ix);
      } else if (reading_.functions.empty() &&
                 std::any_of(failed.begin(), failed.end(), [](const auto* f) { return f->name == "keep"; })) {
        AddSwap();
        return;
      } else {
        missed_.push_back(ix);
      }
    }
  }

  std::vector<const kb::SearchFilter*> Failed(kb::IngredientIx ix) const {
    std::vector<const kb::SearchFilter*> out;
    for (const Reading::Filter& item : reading_.filters) {
      if (!kb::Holds(catalogue_, ix, item.filter)) out.push_back(&item.filter);
    }
    return out;
  }

  // Where nothing passes, what was named is better than nothing, with what it fails.
  void AddMissed() {
    if (!all_.empty()) return;
    for (const kb::IngredientIx ix : missed_) {
      std::string why;
      for (const kb::SearchFilter* filter : Failed(ix))
        why += (why.empty() ? "" : ", ") + FilterText(catalogue_, *filter);
      if (!why.empty())
        AddIngredient(ix, "Not, or not known to be: " + why + ". " + AboutIngredient(catalogue_, ix));
    }
  }

  void AddMeaning() {
    if (std::exchange(meaning_added_, true)) return;
    // Beside a name, filters and wishes alone would bring everything that passes.
    if (reading_.functions.empty() && !reading_.names.empty()) return;
    std::size_t added = 0;
    for (const Ranked& ranked : RankByMeaning(catalogue_, index_, reading_)) {
      // The reason is made for what is shown alone.
      const bool shown = answer_.results.size() < std::min(question_.limit, kMostShown);
      Add(ranked.hit.item, ranked.hit.document,
          shown ? AboutIngredient(catalogue_, ranked.hit.item.ix, ranked.as) : "");
      if (++added == kFunctionAfter) AddFunctionCards();
    }
    if (added < kFunctionAfter) AddFunctionCards();
  }

  void AddFunctionCards() {
    for (const kb::FunctionIx function : reading_.functions) AddFunction(function);
  }

  void AddText() {
    std::vector<std::string> words = reading_.name_words;
    words.insert(words.end(), reading_.text.begin(), reading_.text.end());
    if (words.empty()) return;
    if (answer_.results.size() >= std::min(question_.limit, kMostShown)) {
      // The places are taken: what else holds the words is only counted.
      const auto found = index_.Holding(words, TermsOf(catalogue_, reading_), kMostShown);
      AddHits(found.hits);
      text_total_ = found.total;
      return;
    }
    const bool before = !all_.empty();
    TextRanking found = RankByText(catalogue_, index_, reading_, words, true, kMostShown);
    for (const Ranked& ranked : found.ranked) Add(ranked.hit.item, ranked.hit.document);
    text_total_ = found.total;
    if (before || !found.ranked.empty() || words.size() < 2) return;
    // "de", "s": what short words begin says nothing.
    std::erase_if(words, [](const std::string& word) { return word.size() < 3; });
    if (words.empty()) return;
    some_words_ = RankByText(catalogue_, index_, reading_, words, false, kMostShown).ranked;
  }

  bool Finish() {
    answer_.total = std::max(all_.size(), std::min(text_total_, kMostCounted));
    return !all_.empty();
  }

 public:
  // What holds at least some of the words, for when correcting them did not help.
  void AddSomeWords() {
    for (const Ranked& ranked : some_words_) Add(ranked.hit.item, ranked.hit.document);
    answer_.some_words = !all_.empty();
    Finish();
  }

 private:
  const kb::Catalogue& catalogue_;
  const Vocabulary& vocabulary_;
  const TextIndex& index_;
  const FindQuestion& question_;
  std::string query_;
  std::optional<kb::FunctionIx> whole_function_;
  std::optional<kb::IngredientIx> whole_name_;
  Reading reading_;
  FindAnswer answer_;
  Seen seen_;
  std::vector<std::pair<Item, std::uint32_t>> all_;
  std::vector<Ranked> some_words_;
  std::vector<kb::IngredientIx> missed_;  // named, and kept out by a filter
  std::size_t text_total_ = 0;
  bool meaning_added_ = false;
  bool swapped_never_ = false;
};

}  // namespace

struct Finder::Inside {
  explicit Inside(const kb::Catalogue& all) : catalogue(all), vocabulary(all) {}

  const NameSpeller& Speller() {
    std::call_once(speller_made, [&] { speller.emplace(catalogue); });
    return *speller;
  }

  // The query with the words that nobody knows put right; "" where nothing nearer is known.
  std::string CorrectWords(const TextIndex& index, std::string_view query) {
    std::string out;
    bool changed = false;
    for (const Word& word : SplitQuery(query)) {
      std::string right = word.text;
      constexpr std::size_t kShortest = 4;
      const bool letters =
          std::all_of(right.begin(), right.end(), [](char c) { return c >= 'a' && c <= 'z'; });
      if (letters && right.size() >= kShortest && right.size() <= kb::index::kLongestSpelling &&
          !index.Knows(right) && !IsWord(right)) {
        std::string near = NearestOf(vocabulary.spellings(), word.text);
        const auto distance = [&](const std::string& to) {
          return to.empty() ? word.text.size() : kb::EditDistance(word.text, to, word.text.size());
        };
        // Nothing is nearer than one slip: the index need not be asked.
        if (distance(near) > 1) {
          const std::string text = index.NearestWord(word.text);
          if (distance(text) < distance(near)) near = text;
        }
        if (!near.empty()) right = near, changed = true;
      }
      out += (out.empty() ? "" : " ") + right;
    }
    return changed ? out : "";
  }

  // What a misspelt query may stand for: names, and its words put right; the nearest first, each once.
  std::vector<std::string> Readings(const TextIndex& index, const std::string& query, bool may_be_name) {
    std::vector<NameSpeller::Near> near;
    if (may_be_name) near = Speller().Nearest(query, kReadings);
    // Beside a name that is one slip away the words alone say nothing nearer.
    const bool near_enough = !near.empty() && near.front().distance <= 1;
    std::string by_words = near_enough ? "" : CorrectWords(index, query);
    if (!by_words.empty()) {
      const std::string typed = kb::FoldTight(query);
      const auto distance =
          static_cast<double>(kb::EditDistance(typed, kb::FoldTight(by_words), typed.size()));
      const auto after =
          std::find_if(near.begin(), near.end(), [&](const auto& name) { return name.distance > distance; });
      near.insert(after, {std::move(by_words), distance});
    }
    std::vector<std::string> out;
    std::vector<std::string> folded;
    for (NameSpeller::Near& reading : near) {
      folded.push_back(kb::Fold(reading.name));
      if (std::find(folded.begin(), folded.end() - 1, folded.back()) == folded.end() - 1)
        out.push_back(std::move(reading.name));
    }
    return out;
  }

  std::vector<FacetCount> Count(const std::vector<std::pair<Item, std::uint32_t>>& items) {
    std::vector<kb::IngredientIx> ingredients;
    for (const auto& [item, document] : items) {
      if (item.type == Type::kIngredientItem) ingredients.push_back(item.ix);
    }
    // A program that asks once should not pay for the table of all.
    if (!counted_before.exchange(true)) return CountFacets(catalogue, ingredients);
    std::call_once(facets_made, [&] { facets.emplace(catalogue); });
    return facets->Count(ingredients);
  }

  bool IsWord(const std::string& word) {
    const std::vector<std::string>& known = vocabulary.spellings();
    return std::binary_search(known.begin(), known.end(), word);
  }

  const kb::Catalogue& catalogue;
  std::once_flag speller_made, facets_made;
  std::atomic<bool> counted_before = false;
  std::optional<FacetTable> facets;
  Vocabulary vocabulary;
  std::optional<NameSpeller> speller;
};

Finder::Finder(const kb::Catalogue& catalogue) : inside_(std::make_unique<Inside>(catalogue)) {}
Finder::~Finder() = default;

namespace {

// Names alone, without reasons: it is asked at every key.
FindAnswer FindTyping(const TextIndex& index, const FindQuestion& question) {
  FindAnswer answer;
  answer.text = question.words;
  const std::vector<Hit> hits = index.Starting(question.words, std::min(question.limit, kMostShown));
  answer.results.reserve(hits.size());
  for (const Hit& hit : hits) {
    Found found{static_cast<FoundType>(hit.item.type), hit.item.ix, "", {}};
    if (hit.item.type == Type::kInventoryItem) found.entry = index.Inventory(hit.document);
    answer.results.push_back(std::move(found));
  }
  answer.total = answer.results.size();
  return answer;
}

}  // namespace

FindAnswer Finder::Find(const TextIndex& index, const FindQuestion& question) const {
  const kb::Catalogue& catalogue = inside_->catalogue;
  if (question.typing) return FindTyping(index, question);
  const std::string words(question.words.substr(0, kb::kLongestQuery));
  Search search(catalogue, inside_->vocabulary, index, question, words);
  bool found = search.Run();
  // Words that nobody knows beside others that were understood would only be ignored: they are put right as well.
  const std::vector<std::string>& left = search.reading().text;
  const bool unknown =
      !search.reading().plain() && std::any_of(left.begin(), left.end(), [&](const std::string& word) {
        constexpr std::size_t kShortest = 4;
        return word.size() >= kShortest && !index.Knows(word);
      });
  FindAnswer answer = std::move(search.answer());
  const Search* counted = &search;
  std::optional<Search> again;
  if (!found || unknown) {
    // A question's name may be misspelt inside it; only a query that is no sentence may be one misspelt name.
    constexpr std::size_t kLongestName = 5;
    const bool may_be_name =
        search.reading().plain() || (!found && search.reading().words.size() <= kLongestName);
    const std::vector<std::string> readings = inside_->Readings(index, words, may_be_name);
    for (std::size_t i = 0; i < readings.size(); ++i) {
      again.emplace(catalogue, inside_->vocabulary, index, question, readings[i]);
      if (!again->Run()) continue;
      answer = std::move(again->answer());
      answer.corrected = readings[i];
      for (std::size_t other = 0; other < readings.size(); ++other) {
        if (other != i) answer.other_readings.push_back(readings[other]);
      }
      counted = &*again;
      found = true;
      break;
    }
    if (!found) {
      search.answer() = std::move(answer);
      search.AddSomeWords();
      answer = std::move(search.answer());
      counted = &search;
    }
  }
  if (question.facets) answer.facets = inside_->Count(counted->all());
  return answer;
}

}  // namespace query
