#include "query/text_index.h"

#include <xapian.h>

#include <algorithm>

#include "kb/store.h"
#include "kb/text.h"

namespace query {
namespace {

namespace terms = kb::index;
using kb::index::Term;
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

Query Without(Query query, const TextFilter& filter) {
  return filter.none.empty() ? query : Query(Query::OP_AND_NOT, query, AnyOf(filter.none));
}

Query Filtered(Query query, const TextFilter& filter) {
  if (!filter.groups.empty()) query = Query(Query::OP_FILTER, query, Groups(filter));
  return Without(query, filter);
}

}  // namespace

struct TextIndex::Inside {
  explicit Inside(const std::string& path) : database(path), stemmer(terms::kStemmer) {}

  // Documents of ours come first, those of the inventory after them: once the table of ours is read, no document
  // has to be opened to know what it is.
  terms::Item ItemOf(Xapian::docid document) {
    if (ours.empty()) ReadOurs();
    if (document < ours.size()) return ours[document];
    return {terms::Item::Type::kInventoryItem, document - static_cast<Xapian::docid>(ours.size())};
  }

  void ReadOurs() {
    ours.emplace_back();  // document numbers begin with 1
    for (auto at = database.valuestream_begin(terms::kSlotItem);
         at != database.valuestream_end(terms::kSlotItem); ++at) {
      const auto item = terms::ItemFromValue(*at);
      if (!item || item->type == terms::Item::Type::kInventoryItem || at.get_docid() != ours.size()) break;
      ours.push_back(*item);
    }
  }

  TextHits Run(const Query& query, std::size_t most, bool ranked) {
    Xapian::Enquire enquire(database);
    // Document ids are given out by commonness: without weights the first matches are the right ones.
    if (!ranked) enquire.set_weighting_scheme(Xapian::BoolWeight());
    enquire.set_query(query);
    const Xapian::MSet found =
        enquire.get_mset(0, static_cast<Xapian::doccount>(most), ranked ? kCounted : 0);
    TextHits out;
    out.hits.reserve(found.size());
    for (auto at = found.begin(); at != found.end(); ++at)
      out.hits.push_back({ItemOf(*at), ranked ? at.get_weight() : 0, *at});
    out.total = found.get_matches_estimated();
    return out;
  }

  // The term of a word as Xapian::TermGenerator writes it: what begins with a digit is not stemmed.
  std::string Stemmed(const std::string& word, std::string_view prefix = {}) {
    const bool letter = !word.empty() && word.front() >= 'a' && word.front() <= 'z';
    return letter ? "Z" + std::string(prefix) + stemmer(word) : std::string(prefix) + word;
  }

  // Its stem; of the last word also every name that holds a word which begins so.
  Query Word(const std::string& word, bool last) {
    const Query whole(Stemmed(word));
    if (!last) return whole;
    return {Query::OP_OR, whole, Query(terms::WordStart(word))};
  }

  Xapian::Database database;
  Xapian::Stem stemmer;
  std::vector<terms::Item> ours;
};

TextIndex::TextIndex(const std::filesystem::path& path) {
  try {
    inside_ = std::make_unique<Inside>(path.string());
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
  return inside_->Run(Query(terms::WholeName(name)), most, false).hits;
}

namespace {

Query EachWord(const std::string& folded) {
  std::vector<Query> words;
  for (const std::string& word : kb::SplitTrimmed(folded, ' ')) words.emplace_back(terms::WordStart(word));
  return {Query::OP_AND, words.begin(), words.end()};
}

// Beyond what the index holds of a beginning every name would match: there the words must begin so as well.
Query WholeName(const std::string& folded) {
  const Query whole(terms::NameStart(folded));
  return folded.size() <= terms::kLongestStart ? whole : Query(Query::OP_AND, whole, EachWord(folded));
}

}  // namespace

std::vector<Hit> TextIndex::Starting(std::string_view typed, const TextFilter& filter,
                                     std::size_t most) const {
  const std::string folded = kb::Fold(typed.substr(0, kMostTyped));
  if (folded.empty()) return {};
  const Query whole = WholeName(folded);
  std::vector<Hit> hits = inside_->Run(Filtered(whole, filter), most, false).hits;
  if (hits.size() < most) {
    const Query rest(Query::OP_AND_NOT, EachWord(folded), whole);
    for (const Hit& hit : inside_->Run(Filtered(rest, filter), most - hits.size(), false).hits)
      hits.push_back(hit);
  }
  return hits;
}

std::vector<Hit> TextIndex::StartingAnyhow(std::string_view typed, const TextFilter& filter,
                                           std::size_t most) const {
  const std::string folded = kb::Fold(typed.substr(0, kMostTyped));
  if (folded.empty()) return {};
  return inside_->Run(Filtered(Query(Query::OP_OR, WholeName(folded), EachWord(folded)), filter), most, false)
      .hits;
}

std::vector<Hit> TextIndex::Passing(const TextFilter& filter, std::size_t most) const {
  if (filter.groups.empty()) return {};
  return inside_->Run(Without(Groups(filter), filter), most, false).hits;
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
  return inside_->Run(Filtered(query, filter), most, true);
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
  return terms::InventoryFromData(inside_->database.get_document(document).get_data());
}

}  // namespace query
