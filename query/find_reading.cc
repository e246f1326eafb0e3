#include "query/find_reading.h"

#include <algorithm>
#include <utility>

#include "kb/text.h"

namespace query {
namespace {

constexpr std::size_t kLongestName = 7;      // words of a name inside a query
constexpr std::size_t kLongestFunction = 5;  // words

template <class T>
void AddOnce(std::vector<T>& list, const T& item) {
  if (std::find(list.begin(), list.end(), item) == list.end()) list.push_back(item);
}

class Reader {
 public:
  Reader(const kb::Catalogue& catalogue, const Vocabulary& vocabulary, std::string_view query,
         bool whole_is_name)
      : catalogue_(catalogue), vocabulary_(vocabulary), query_(query), whole_is_name_(whole_is_name) {
    out_.words = SplitQuery(query);
  }

  Reading Read() {
    for (std::size_t at = 0; at < out_.words.size();) at += Take(at);
    Settle();
    return std::move(out_);
  }

 private:
  // The thing that was read last, for "X free".
  enum class Last { kNothing, kName, kFunction, kText };

  std::size_t Take(std::size_t at) {
    const Vocabulary::Match phrase = vocabulary_.Longest(out_.words, at);
    const auto [function, function_length] = LongestFunction(at);
    const auto [name, name_length] = LongestName(at);
    const std::size_t longest = std::max({phrase.length, function_length, name_length});
    if (longest == 0) return TakeText(at);
    if (phrase.length == longest && !phrase.meaning->phrase.idle) {
      TakePhrase(phrase, at, longest);
    } else if (function_length == longest) {
      TakeFunction(function, name_length == longest ? std::optional(name) : std::nullopt);
    } else if (name_length == longest) {
      TakeName(name, at, longest);
    }
    return longest;
  }

  std::pair<kb::FunctionIx, std::size_t> LongestFunction(std::size_t at) const {
    for (std::size_t n = std::min(kLongestFunction, out_.words.size() - at); n > 0; --n) {
      if (const auto function = catalogue_.FindFunction(Slice(query_, out_.words, at, at + n)))
        return {*function, n};
    }
    return {0, 0};
  }

  std::pair<kb::IngredientIx, std::size_t> LongestName(std::size_t at) const {
    for (std::size_t n = std::min(kLongestName, out_.words.size() - at); n > 0; --n) {
      if (whole_is_name_ && n == out_.words.size()) continue;
      // A number alone is an amount, not the CAS number of something.
      if (n == 1 && out_.words[at].number) continue;
      if (const auto name = catalogue_.FindExact(Slice(query_, out_.words, at, at + n))) return {*name, n};
    }
    return {0, 0};
  }

  std::size_t TakeText(std::size_t at) {
    const std::string& word = out_.words[at].text;
    const bool bare = word == "%" || word == "<" || word == ">";
    if (bare) return 1;
    if (std::exchange(leave_out_, false)) {
      out_.left_out_words.push_back(word);
    } else {
      out_.text.push_back(word);
      last_ = Last::kText;
    }
    return 1;
  }

  void TakeFunction(kb::FunctionIx function, std::optional<kb::IngredientIx> name) {
    if (std::exchange(leave_out_, false)) {
      AddOnce(out_.left_out_functions, function);
      if (name) AddOnce(out_.left_out, *name);
      return;
    }
    const bool context = after_for_ && IsAimed();
    AddOnce(context ? out_.context_functions : out_.functions, function);
    // "vitamin C" is a function and a substance: a question is about the substance as well.
    if (name && !context && !out_.ask.empty()) AddOnce(out_.names, *name);
    last_ = Last::kFunction;
  }

  void TakeName(kb::IngredientIx name, std::size_t at, std::size_t length) {
    if (std::exchange(leave_out_, false)) {
      AddOnce(out_.left_out, name);
      return;
    }
    const bool context = after_for_ && IsAimed();
    AddOnce(context ? out_.context_names : out_.names, name);
    if (!context) {
      for (std::size_t i = at; i < at + length; ++i) out_.name_words.push_back(out_.words[i].text);
    }
    last_ = Last::kName;
    last_word_ = length == 1 ? out_.words[at].text : "";
  }

  // Is something wanted already, so that what follows "for" only says what for?
  bool IsAimed() const {
    return out_.ask != "swap" && (!out_.functions.empty() || !out_.names.empty() || !out_.text.empty());
  }

  void TakePhrase(const Vocabulary::Match& match, std::size_t at, std::size_t length) {
    const Vocabulary::Meaning& meaning = *match.meaning;
    const std::string& ask = meaning.phrase.ask;
    if (ask == "without") {
      leave_out_ = true;
      return;
    }
    if (ask == "free") return LeaveLastOut();
    if (ask == "for") {
      after_for_ = true;
      return;
    }
    if (!ask.empty() && (out_.ask.empty() || out_.ask == "what" || out_.ask == "claim")) out_.ask = ask;
    const bool out = std::exchange(leave_out_, false) && ask.empty();
    for (kb::SearchFilter filter : meaning.filters) {
      if (!filter.number && filter.comparator != 0) filter.number = match.number;
      if (out) filter.negative = !filter.negative;
      out_.filters.push_back({std::move(filter), at, at + length});
    }
    const bool context = after_for_ && IsAimed();
    for (const kb::FunctionIx function : meaning.functions) {
      AddOnce(out ? out_.left_out_functions : context ? out_.context_functions : out_.functions, function);
    }
    if (out) return;
    out_.wants.insert(out_.wants.end(), meaning.wants.begin(), meaning.wants.end());
    for (const std::string& word : kb::SplitTrimmed(kb::Fold(meaning.phrase.look_for), ' ')) {
      if (!word.empty()) out_.hints.push_back(word);
    }
    last_ = meaning.functions.empty() || context ? Last::kNothing : Last::kFunction;
  }

  void LeaveLastOut() {
    const Last last = std::exchange(last_, Last::kNothing);
    if (last == Last::kName && !out_.names.empty()) {
      AddOnce(out_.left_out, out_.names.back());
      // Of "lanolin free" lanolin oil is no answer either.
      if (!last_word_.empty()) out_.left_out_words.push_back(last_word_);
      out_.names.pop_back();
      out_.name_words.clear();
    } else if (last == Last::kFunction && !out_.functions.empty()) {
      AddOnce(out_.left_out_functions, out_.functions.back());
      out_.functions.pop_back();
    } else if (last == Last::kText && !out_.text.empty()) {
      out_.left_out_words.push_back(out_.text.back());
      out_.text.pop_back();
    }
  }

  // "Thickener for an oil gel": of the functions that the first word may mean, the one that the rest names.
  void Narrow() {
    std::vector<kb::FunctionIx> meant;
    for (const kb::FunctionIx function : out_.functions) {
      const std::vector<kb::FunctionIx>& context = out_.context_functions;
      if (std::find(context.begin(), context.end(), function) != context.end()) meant.push_back(function);
    }
    if (!meant.empty()) out_.functions = std::move(meant);
  }

  void Settle() {
    Narrow();
    // "is X vegan" asks; "what is vegan" and "X is" do not.
    if (out_.ask == "claim" && (out_.filters.empty() || out_.names.empty())) out_.ask.clear();
    if (out_.ask == "compare" && out_.names.size() + out_.functions.size() < 2) out_.ask.clear();
  }

  const kb::Catalogue& catalogue_;
  const Vocabulary& vocabulary_;
  std::string_view query_;
  bool whole_is_name_;
  Reading out_;
  bool leave_out_ = false;
  bool after_for_ = false;
  Last last_ = Last::kNothing;
  std::string last_word_;
};

}  // namespace

Reading Read(const kb::Catalogue& catalogue, const Vocabulary& vocabulary, std::string_view query,
             bool whole_is_name) {
  return Reader(catalogue, vocabulary, query, whole_is_name).Read();
}

}  // namespace query
