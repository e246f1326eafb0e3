#include "query/text_index.h"

#include <xapian.h>

#include <algorithm>
#include <functional>
#include <iterator>
#include <span>
#include <utility>

#include "kb/name_file.h"
#include "kb/store.h"
#include "kb/text.h"

namespace query {
namespace {

namespace terms = kb::index;
using Xapian::Query;

// Counting every match costs more than finding the best: beyond this many nobody reads a count.
constexpr Xapian::doccount kCounted = 1000;
constexpr std::size_t kMostTyped = 200;  // bytes of what is half-typed; no name is longer

Query AnyOf(const std::vector<std::string>& group) {
  return {Query::OP_OR, group.begin(), group.end()};
}

// The filter's groups alone; empty where there are none.
Query Groups(const TextFilter& filter) {
  std::vector<Query> all;
  for (const std::vector<std::string>& group : filter.groups) all.push_back(AnyOf(group));
  return {Query::OP_AND, all.begin(), all.end()};
}

Query Without(const Query& query, const TextFilter& filter) {
  return filter.none.empty() ? query : Query(Query::OP_AND_NOT, query, AnyOf(filter.none));
}

Query Filtered(Query query, const TextFilter& filter) {
  if (!filter.groups.empty()) query = Query(Query::OP_FILTER, query, Groups(filter));
  return Without(query, filter);
}

using Terms = std::vector<std::string>;

// Names that hold words which begin with each of these.
Terms EachWord(const std::string& folded) {
  Terms words;
  for (const std::string& word : kb::SplitTrimmed(folded, ' ')) words.push_back(terms::WordStart(word));
  // What begins with "coco" begins with "co" as well.
  std::sort(words.begin(), words.end(), std::greater<>());
  const auto begins = [](const std::string& longer, const std::string& shorter) {
    return longer.compare(0, shorter.size(), shorter) == 0;
  };
  words.erase(std::unique(words.begin(), words.end(), begins), words.end());
  // The longest is the rarest as a rule.
  std::iter_swap(words.begin(),
                 std::max_element(words.begin(), words.end(),
                                  [](const auto& a, const auto& b) { return a.size() < b.size(); }));
  return words;
}

// Where the index does not hold a beginning in its full length more names would match: there the words must begin so as well,
// where there are several.
Terms WholeName(const std::string& folded) {
  Terms whole = {terms::NameStart(folded)};
  const auto spaces = static_cast<std::size_t>(std::count(folded.begin(), folded.end(), ' '));
  const std::size_t tight = folded.size() - spaces;
  if (spaces > 0 && tight != terms::HeldStart(tight)) {
    for (std::string& word : EachWord(folded)) whole.push_back(std::move(word));
  }
  return whole;
}

Query AllOf(const Terms& all) {
  return {Query::OP_AND, all.begin(), all.end()};
}

}  // namespace

struct TextIndex::Inside {
  explicit Inside(const std::filesystem::path& path)
      : database(path.string()), names(terms::NamesBeside(path)), stemmer(terms::kStemmer) {}

  // Documents of ours come first, those of the inventory after them: once the table of ours is read, no document
  // has to be opened to know what it is.
  terms::Item ItemOf(Xapian::docid document) {
    if (ours.empty()) ReadOurs();
    if (document < ours.size()) return ours[document];
    return {terms::Item::Type::kInventoryItem, document - static_cast<Xapian::docid>(ours.size())};
  }

  void ReadOurs() {
    ours = terms::ItemsFromMetadata(database.get_metadata(terms::kItemsKey));
    ours.insert(ours.begin(), terms::Item{});  // document numbers begin with 1
  }

  // The documents that hold all of the terms, in order, until `take` has enough (returns false). Without weights the order of the
  // documents is the order of the answer: walking over the lists is all that is left of a search. All terms but the first begin words.
  // Lists are read from their beginnings, and most are long; of the documents of a short one the names are sooner looked at.
  template <class Take>
  void Walk(const Terms& all, const Take& take) {
    if (all.size() < 2) {
      WalkLists(all, 1, take);
      return;
    }
    // What does not begin a word cannot be looked for in the names.
    const std::size_t first_word = all.front().starts_with(terms::kWordStart) ? 0 : 1;
    std::vector<kb::NameWordStart> starts;
    starts.reserve(all.size());
    std::uint64_t signature = 0;
    for (std::size_t i = first_word; i < all.size(); ++i) {
      starts.emplace_back(std::string_view(all[i]).substr(terms::kWordStart.size()));
      signature |= starts.back().signature;
    }
    // Those of the list that is walked over hold its word.
    const auto others = std::span<const kb::NameWordStart>(starts).subspan(first_word == 0 ? 1 : 0);
    const Xapian::PostingIterator end;
    Xapian::PostingIterator list = database.postlist_begin(all.front());
    // Over the next documents of the list; false where there are more.
    const auto look_on = [&](std::size_t documents) {
      for (; list != end; ++list, --documents) {
        if (documents == 0) return false;
        const Xapian::docid document = *list;
        if (names.MayHold(document, signature) && names.Holds(document, others) && !take(document))
          return true;
      }
      return true;
    };
    constexpr std::size_t kSoon = 32;
    constexpr std::size_t kShort = 2000;
    if (look_on(kSoon)) return;
    std::size_t rarest = 0;
    Xapian::doccount least = database.get_termfreq(all.front());
    for (std::size_t i = 1; i < all.size() && first_word == 0; ++i) {
      const Xapian::doccount count = database.get_termfreq(all[i]);
      if (count < least) rarest = i, least = count;
    }
    const Xapian::docid next = *list;
    if (least > kShort) {
      WalkLists(all, next, take);
      return;
    }
    if (rarest > 0) {
      std::swap(starts.front(), starts[rarest]);
      list = database.postlist_begin(all[rarest]);
      if (list != end) list.skip_to(next);
    }
    look_on(kShort);
  }

  // The same from a document on; true: to the end of the lists.
  template <class Take>
  bool WalkLists(const Terms& all, Xapian::docid document, const Take& take) {
    if (all.size() == 1) return WalkList(all.front(), document, take);
    std::vector<Xapian::PostingIterator> lists;
    lists.reserve(all.size());
    for (const std::string& term : all) {
      lists.push_back(database.postlist_begin(term));
      if (lists.back() == Xapian::PostingIterator()) return true;
    }
    if (lists.empty()) return true;
    for (std::size_t agreed = 0, i = 0;; i = (i + 1) % lists.size()) {
      Xapian::PostingIterator& list = lists[i];
      list.skip_to(document);
      if (list == Xapian::PostingIterator()) return true;
      agreed = *list == document ? agreed + 1 : 1;
      document = *list;
      if (agreed < lists.size()) continue;
      if (!take(document)) return false;
      ++document;
      agreed = 0;
    }
  }

  template <class Take>
  bool WalkList(const std::string& term, Xapian::docid document, const Take& take) {
    Xapian::PostingIterator list = database.postlist_begin(term);
    if (document > 1 && list != Xapian::PostingIterator()) list.skip_to(document);
    for (; list != Xapian::PostingIterator(); ++list) {
      if (!take(*list)) return false;
    }
    return true;
  }

  std::vector<Hit> First(const Terms& all, std::size_t most) {
    std::vector<Hit> out;
    if (most == 0) return out;
    out.reserve(std::min<std::size_t>(most, 16));
    Walk(all, [&](Xapian::docid document) {
      out.push_back({ItemOf(document), 0, document});
      return out.size() < most;
    });
    return out;
  }

  TextHits Run(const Query& query, std::size_t most, bool ranked, Xapian::doccount counted) {
    Xapian::Enquire enquire(database);
    // Document ids are given out by commonness: without weights the first matches are the right ones.
    if (!ranked) enquire.set_weighting_scheme(Xapian::BoolWeight());
    enquire.set_query(query);
    const Xapian::MSet found = enquire.get_mset(0, static_cast<Xapian::doccount>(most), counted);
    TextHits out;
    out.hits.reserve(found.size());
    for (auto at = found.begin(); at != found.end(); ++at)
      out.hits.push_back({ItemOf(*at), ranked ? at.get_weight() : 0, *at});
    out.total = found.get_matches_estimated();
    return out;
  }

  // Names that begin with what is typed.
  std::vector<Hit> Beginning(const std::string& folded, std::size_t most) {
    const Terms whole = WholeName(folded);
    std::vector<Hit> hits = First(whole, most);
    // "poly sorbate 80": the words are none of the name's.
    const std::size_t spaces = whole.size() > 1 ? whole.size() - 2 : 0;
    if (hits.empty() && whole.size() > 1 && folded.size() - spaces <= terms::kLongestStart)
      hits = First({whole.front()}, most);
    return hits;
  }

  // The term of a word as Xapian::TermGenerator writes it: what begins with a digit is not stemmed.
  std::string Stemmed(const std::string& word, std::string_view prefix = {}) {
    const bool letter = !word.empty() && word.front() >= 'a' && word.front() <= 'z';
    return letter ? "Z" + std::string(prefix) + stemmer(word) : std::string(prefix) + word;
  }

  // Its stem; of the last word, where it is none that is known, every name that holds a word which begins so.
  Query Word(const std::string& word, bool last) {
    const std::string whole = Stemmed(word);
    return Query(last && !database.term_exists(whole) ? terms::WordStart(word) : whole);
  }

  Xapian::Database database;
  kb::NameFile names;
  Xapian::Stem stemmer;
  std::vector<terms::Item> ours;
};

TextIndex::TextIndex(const std::filesystem::path& path) {
  try {
    inside_ = std::make_unique<Inside>(path);
    if (inside_->database.get_metadata(terms::kVersionKey) != std::to_string(terms::kIndexVersion)) {
      throw kb::StoreError("the text index is of another version: build the base again (./run)");
    }
  } catch (const Xapian::Error& error) {
    throw kb::StoreError("the text index cannot be opened: " + error.get_msg());
  }
}

TextIndex::~TextIndex() = default;
TextIndex::TextIndex(TextIndex&&) noexcept = default;
TextIndex& TextIndex::operator=(TextIndex&&) noexcept = default;

std::vector<Hit> TextIndex::Named(std::string_view name, std::size_t most) const {
  if (kb::FoldTight(name).empty()) return {};
  return inside_->First({terms::WholeName(name)}, most);
}

std::vector<Hit> TextIndex::Starting(std::string_view typed, std::size_t most) const {
  const std::string folded = kb::Fold(typed.substr(0, kMostTyped));
  if (folded.empty()) return {};
  std::vector<Hit> hits = inside_->Beginning(folded, most);
  const std::size_t whole = hits.size();
  if (whole == most) return hits;
  // All that begin so have been found: the others are to be passed over as they come.
  std::size_t passed = 0;
  inside_->Walk(EachWord(folded), [&](Xapian::docid document) {
    while (passed < whole && hits[passed].document < document) ++passed;
    if (passed == whole || hits[passed].document != document)
      hits.push_back({inside_->ItemOf(document), 0, document});
    return hits.size() < most;
  });
  return hits;
}

std::vector<Hit> TextIndex::StartingAnyhow(std::string_view typed, const TextFilter& filter,
                                           std::size_t most) const {
  const std::string folded = kb::Fold(typed.substr(0, kMostTyped));
  if (folded.empty()) return {};
  if (!filter.empty()) {
    const Query query(Query::OP_OR, AllOf(WholeName(folded)), AllOf(EachWord(folded)));
    return inside_->Run(Filtered(query, filter), most, false, 0).hits;
  }
  const std::vector<Hit> whole = inside_->Beginning(folded, most);
  const std::vector<Hit> words = inside_->First(EachWord(folded), most);
  const auto before = [](const Hit& a, const Hit& b) { return a.document < b.document; };
  std::vector<Hit> hits;
  hits.reserve(whole.size() + words.size());
  std::set_union(whole.begin(), whole.end(), words.begin(), words.end(), std::back_inserter(hits), before);
  if (hits.size() > most) hits.resize(most);
  return hits;
}

std::vector<Hit> TextIndex::Passing(const TextFilter& filter, std::size_t most) const {
  if (filter.groups.empty()) return {};
  return inside_->Run(Without(Groups(filter), filter), most, false, 0).hits;
}

TextIndex::TextHits TextIndex::Text(const std::vector<std::string>& words, bool all, const TextFilter& filter,
                                    std::size_t most) const {
  if (words.empty()) return {};
  std::vector<Query> anywhere;
  std::vector<Query> names;
  for (std::size_t i = 0; i < words.size(); ++i) {
    anywhere.push_back(inside_->Word(words[i], i + 1 == words.size()));
    // A word in a name says more than one in a description.
    names.emplace_back(inside_->Stemmed(words[i], terms::kNameText));
  }
  const Query must(all ? Query::OP_AND : Query::OP_OR, anywhere.begin(), anywhere.end());
  const Query query(Query::OP_AND_MAYBE, must, Query(Query::OP_OR, names.begin(), names.end()));
  return inside_->Run(Filtered(query, filter), most, true, kCounted);
}

TextIndex::TextHits TextIndex::Holding(const std::vector<std::string>& words, const TextFilter& filter,
                                       std::size_t most) const {
  if (words.empty()) return {};
  std::vector<Query> all;
  for (std::size_t i = 0; i < words.size(); ++i)
    all.push_back(inside_->Word(words[i], i + 1 == words.size()));
  return inside_->Run(Filtered(Query(Query::OP_AND, all.begin(), all.end()), filter), most, false, kCounted);
}

bool TextIndex::Knows(const std::string& word) const {
  return inside_->database.term_exists(inside_->Stemmed(word)) ||
         inside_->database.term_exists(terms::WordStart(word));
}

std::string TextIndex::NearestWord(const std::string& word) const {
  if (word.size() > terms::kLongestSpelling) return "";
  const auto slips = static_cast<unsigned>(std::min<std::size_t>(kb::SlipsAllowed(word.size()), 2));
  return slips == 0 ? "" : inside_->database.get_spelling_suggestion(word, slips);
}

InventoryEntry TextIndex::Inventory(std::uint32_t document) const {
  return terms::InventoryFromData(inside_->names.Data(document));
}

}  // namespace query
