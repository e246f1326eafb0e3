#include "query/text_index.h"

#include <xapian.h>

#include "kb/store.h"
#include "kb/text.h"

namespace query {
namespace {

using kb::index::Term;

// Counting every match costs more than finding the best: beyond this many nobody reads a count.
constexpr Xapian::doccount kCounted = 1000;

Xapian::Query Filtered(Xapian::Query query, const TextFilter& filter) {
  for (const std::string& term : filter.terms)
    query = Xapian::Query(Xapian::Query::OP_FILTER, query, Xapian::Query(term));
  return query;
}

}  // namespace

struct TextIndex::Inside {
  explicit Inside(const std::string& path) : database(path), stemmer(kb::index::kStemmer) {}

  std::vector<Hit> Run(const Xapian::Query& query, std::size_t most, bool ranked) const {
    Xapian::Enquire enquire(database);
    // Document ids are given out by commonness: without weights the first matches are the right ones.
    if (!ranked) enquire.set_weighting_scheme(Xapian::BoolWeight());
    enquire.set_query(query);
    const Xapian::MSet found =
        enquire.get_mset(0, static_cast<Xapian::doccount>(most), ranked ? kCounted : 0);
    std::vector<Hit> hits;
    for (auto at = found.begin(); at != found.end(); ++at) {
      const auto item = kb::index::ItemFromValue(at.get_document().get_value(kb::index::kSlotItem));
      if (item) hits.push_back({*item, ranked ? at.get_weight() : 0});
    }
    return hits;
  }

  Xapian::Database database;
  Xapian::Stem stemmer;
};

TextIndex::TextIndex(const std::filesystem::path& path) {
  try {
    inside_ = std::make_unique<Inside>(path.string());
    if (inside_->database.get_metadata(kb::index::kVersionKey) != std::to_string(kb::index::kIndexVersion)) {
      throw kb::StoreError("the text index is of another version: build the base again (./run)");
    }
  } catch (const Xapian::Error& error) {
    throw kb::StoreError("the text index cannot be opened: " + error.get_msg());
  }
}

TextIndex::~TextIndex() = default;
TextIndex::TextIndex(TextIndex&&) noexcept = default;
TextIndex& TextIndex::operator=(TextIndex&&) noexcept = default;

std::vector<Hit> TextIndex::Starting(std::string_view typed, const TextFilter& filter,
                                     std::size_t most) const {
  const std::string folded = kb::Fold(typed);
  if (folded.empty()) return {};
  std::vector<Xapian::Query> words;
  for (const std::string& word : kb::SplitTrimmed(folded, ' '))
    words.emplace_back(kb::index::WordStart(word));
  const Xapian::Query whole(kb::index::NameStart(typed));
  const Xapian::Query each(Xapian::Query::OP_AND, words.begin(), words.end());
  std::vector<Hit> hits = inside_->Run(Filtered(whole, filter), most, false);
  if (hits.size() < most) {
    const Xapian::Query rest(Xapian::Query::OP_AND_NOT, each, whole);
    for (const Hit& hit : inside_->Run(Filtered(rest, filter), most - hits.size(), false))
      hits.push_back(hit);
  }
  return hits;
}

std::vector<Hit> TextIndex::Passing(const TextFilter& filter, std::size_t most) const {
  if (filter.terms.empty()) return {};
  std::vector<Xapian::Query> terms;
  for (const std::string& term : filter.terms) terms.emplace_back(term);
  return inside_->Run(Xapian::Query(Xapian::Query::OP_AND, terms.begin(), terms.end()), most, false);
}

std::vector<Hit> TextIndex::Text(std::string_view words, Words which, const TextFilter& filter,
                                 std::size_t most) const {
  Xapian::QueryParser parser;
  parser.set_database(inside_->database);
  parser.set_stemmer(inside_->stemmer);
  parser.set_stemming_strategy(Xapian::QueryParser::STEM_SOME);
  parser.set_default_op(which == Words::kAll ? Xapian::Query::OP_AND : Xapian::Query::OP_OR);
  // A word in a name says more than one in a description.
  const std::string folded = kb::Fold(words);
  const Xapian::Query anywhere = parser.parse_query(folded, 0);
  const Xapian::Query in_names = parser.parse_query(folded, 0, std::string(kb::index::kNameText));
  if (anywhere.empty()) return {};
  const Xapian::Query query(Xapian::Query::OP_AND_MAYBE, anywhere, in_names);
  return inside_->Run(Filtered(query, filter), most, true);
}

std::string TextIndex::Corrected(std::string_view words) const {
  std::string out;
  bool changed = false;
  for (const std::string& word : kb::SplitTrimmed(kb::Fold(words), ' ')) {
    std::string right = word;
    if (word.size() <= kb::index::kLongestSpelling && !inside_->database.term_exists(word)) {
      const std::string suggestion = inside_->database.get_spelling_suggestion(
          word, static_cast<unsigned>(kb::SlipsAllowed(word.size())));
      if (!suggestion.empty()) right = suggestion, changed = true;
    }
    out += (out.empty() ? "" : " ") + right;
  }
  return changed ? out : "";
}

}  // namespace query
