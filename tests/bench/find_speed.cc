// How long `find` takes beside the bare library, in the same run: as-you-type and full queries against bare Xapian queries of the
// same words, on the base that is given. Ratios say something; times depend on the machine and the day.
//
//   find_speed [--base DIR] [--rounds N]
//   find_speed --base DIR --synthetic N      the same on a base of our data and N made-up names, built in DIR where it is not
//                                            there yet (a million names: some minutes and 1 GB)
//
// The queries are those of find_queries.tsv, and for as-you-type every beginning of their names.
#include <fmt/format.h>
#include <time.h>
#include <xapian.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <random>
#include <string>
#include <vector>

#include "indexer/run.h"
#include "kb/index_terms.h"
#include "kb/text.h"
#include "query/service.h"

namespace {

using Clock = std::chrono::steady_clock;

struct Times {
  std::vector<double> micros;
  double At(double share) {
    std::sort(micros.begin(), micros.end());
    return micros[static_cast<std::size_t>(share * static_cast<double>(micros.size() - 1))];
  }
};

struct Query {
  std::string words, kind;
};

std::vector<Query> ReadQueries() {
  std::vector<Query> out;
  std::ifstream file(STILLROOM_SOURCE_DIR "/tests/bench/find_queries.tsv");
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#' || line.rfind("query\t", 0) == 0) continue;
    const auto cells = kb::SplitTrimmed(line, '\t');
    out.push_back({cells[0], cells[1]});
  }
  return out;
}

bool Has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

// Processor time of this thread, microseconds: for what takes so long that others get their turn meanwhile.
double ThreadMicros() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e6 * static_cast<double>(now.tv_sec) + 1e-3 * static_cast<double>(now.tv_nsec);
}

Times MeasureThread(int rounds, const std::function<void()>& work) {
  double least = 1e12;
  for (int round = 0; round < rounds; ++round) {
    const double start = ThreadMicros();
    work();
    least = std::min(least, ThreadMicros() - start);
  }
  return {{least}};
}

// Each query `rounds` times; the least of them is its time: what else the machine did is not the question.
Times Measure(const std::vector<std::string>& queries, int rounds,
              const std::function<void(const std::string&)>& ask) {
  Times out;
  for (const std::string& query : queries) {
    double least = 1e12;
    for (int round = 0; round < rounds; ++round) {
      const auto start = Clock::now();
      ask(query);
      least = std::min(least, std::chrono::duration<double, std::micro>(Clock::now() - start).count());
    }
    out.micros.push_back(least);
  }
  return out;
}

// The library alone, with what any program needs to show ten names: parse, match, read the data of the ten best.
class Bare {
 public:
  explicit Bare(const std::string& path) : db_(path) {
    parser_.set_database(db_);
    parser_.set_stemmer(Xapian::Stem(kb::index::kStemmer));
    parser_.set_stemming_strategy(Xapian::QueryParser::STEM_SOME);
    parser_.set_default_op(Xapian::Query::OP_AND);
  }

  Xapian::doccount Words(const std::string& words, unsigned flags) {
    Xapian::Enquire enquire(db_);
    enquire.set_query(parser_.parse_query(kb::Fold(words), flags));
    return Read(enquire.get_mset(0, kTop));
  }

  Xapian::doccount Staged(const std::string& words) {
    if (const auto found = Words(words, Xapian::QueryParser::FLAG_PARTIAL)) return found;
    parser_.parse_query(kb::Fold(words), Xapian::QueryParser::FLAG_SPELLING_CORRECTION);
    return Words(parser_.get_corrected_query_string(), 0);
  }

  // One look-up of what is typed as the beginning of a name; with `names` also what any box has to show of the ten.
  std::size_t Start(const std::string& typed, bool names) {
    return Look(Xapian::Query(kb::index::NameStart(typed)), names);
  }

  // The look-up that finds what ours finds: names that begin so, and those that hold words which do.
  std::size_t StartOfWords(const std::string& typed) {
    std::vector<std::string> words = kb::SplitTrimmed(kb::Fold(typed), ' ');
    for (std::string& word : words) word = kb::index::WordStart(word);
    return Look(Xapian::Query(Xapian::Query::OP_OR, Xapian::Query(kb::index::NameStart(typed)),
                              Xapian::Query(Xapian::Query::OP_AND, words.begin(), words.end())),
                true);
  }

  std::size_t size() const { return db_.get_doccount(); }

 private:
  static constexpr Xapian::doccount kTop = 10;
  std::size_t Look(const Xapian::Query& query, bool names) {
    Xapian::Enquire enquire(db_);
    enquire.set_weighting_scheme(Xapian::BoolWeight());
    enquire.set_query(query);
    const Xapian::MSet found = enquire.get_mset(0, kTop);
    return names ? Read(found) : Count(found);
  }
  static Xapian::doccount Read(const Xapian::MSet& found) {
    std::size_t sum = 0;
    for (auto at = found.begin(); at != found.end(); ++at) sum += at.get_document().get_data().size();
    return static_cast<Xapian::doccount>(sum);
  }
  static Xapian::doccount Count(const Xapian::MSet& found) {
    Xapian::doccount sum = 0;
    for (auto at = found.begin(); at != found.end(); ++at) sum += *at > 0 ? 1U : 0U;
    return sum;
  }
  Xapian::Database db_;
  Xapian::QueryParser parser_;
};

void Line(std::string_view what, std::size_t queries, Times& ours, Times& bare) {
  fmt::print("{:<28} {:>4}   {:>8.0f} {:>8.0f}   {:>8.0f} {:>8.0f}   {:>5.2f} {:>5.2f}\n", what, queries,
             ours.At(0.5), ours.At(0.99), bare.At(0.5), bare.At(0.99), ours.At(0.5) / bare.At(0.5),
             ours.At(0.99) / bare.At(0.99));
}

// Names as the inventory has them, made up: plants with their parts, and esters with their numbers. The same every time.
void WriteNames(const std::filesystem::path& file, std::size_t names) {
  std::mt19937 random(20251125);  // NOLINT: the same names every time are wanted
  const auto any = [&](const auto& list) { return list[random() % std::size(list)]; };
  static constexpr const char* kSyllables[] = {"LA",  "VEN", "DU",  "RO",  "SA", "MEN", "THA", "QUER",
                                               "CI",  "BA",  "OLI", "PRU", "NA", "TRI", "FO",  "LIA",
                                               "GLY", "CE",  "RA",  "STE", "MY", "RIS"};
  static constexpr const char* kEndings[] = {"US", "A", "UM", "IS", "ENSIS", "ATA", "OSA", "IFOLIA"};
  static constexpr const char* kParts[] = {"SEED OIL",     "LEAF EXTRACT",          "ROOT POWDER",
                                           "FLOWER WATER", "FRUIT EXTRACT",         "BARK WAX",
                                           "SEED BUTTER",  "CALLUS CULTURE EXTRACT"};
  static constexpr const char* kChains[] = {"STEARATE",  "LAURATE", "OLEATE",
                                            "MYRISTATE", "COCOATE", "BEHENATE"};
  static constexpr const char* kFunctions[] = {"Humectant", "Emollient", "Skin Conditioning", "Fragrance",
                                               "Antioxidant"};
  const auto word = [&] {
    std::string out;
    for (std::size_t n = 2 + random() % 3; n > 0; --n) out += any(kSyllables);
    return out;
  };
  std::ofstream out(file);
  out << "inci_name,cas_number,einecs_number,function\n";
  for (std::size_t i = 0; i < names; ++i) {
    if (random() % 3 != 0) {
      out << word() << any(kEndings) << ' ' << word() << any(kEndings) << ' ' << any(kParts);
    } else {
      out << "PEG-" << 2 + random() % 200 << ' ' << word() << "YL " << any(kChains);
    }
    out << ",,,\"Skin Conditioning, " << any(kFunctions) << "\"\n";
  }
}

// Our data with so many made-up names beside it; false where it could not be built.
bool BuildSynthetic(const std::filesystem::path& root, std::size_t names) {
  std::filesystem::create_directories(root);
  indexer::Options options;
  options.data = STILLROOM_SOURCE_DIR "/data";
  options.base = root;
  options.inventory = root / fmt::format("made-up-{}.csv", names);
  if (!std::filesystem::exists(options.inventory)) WriteNames(options.inventory, names);
  return indexer::Run(options, std::cout, std::cerr, false) == 0;
}

}  // namespace

int main(int count, char** words) {
  std::filesystem::path root = kb::DefaultBaseRoot();
  int rounds = 5;
  std::size_t synthetic = 0;
  for (int i = 1; i + 1 < count; ++i) {
    const std::string word = words[i];
    if (word == "--base") root = words[++i];
    if (word == "--rounds") rounds = std::max(1, std::stoi(words[++i]));
    if (word == "--synthetic") synthetic = std::stoul(words[++i]);
  }
  if (synthetic > 0 && !BuildSynthetic(root, synthetic)) return 1;
  const auto answer = [](const query::Base& base, const std::string& text, bool typing, bool facets) {
    query::FindQuestion question;
    question.words = text;
    question.limit = 10;
    question.typing = typing;
    question.facets = facets;
    return base.finder->Find(base.Index(), question).results.size();
  };
  std::size_t sink = 0;
  // Opened anew each time: what the machine has read before is in its memory for both.
  Times opening = MeasureThread(std::max(rounds, 10), [&] {
    const auto fresh = query::OpenBase(root);
    sink += answer(*fresh, "glycerin", false, false);
  });
  const auto base = query::OpenBase(root);
  const std::string index = base->files.index().string();
  Times bare_opening = MeasureThread(std::max(rounds, 10), [&] {
    sink += Bare(index).Words("glycerin", Xapian::QueryParser::FLAG_PARTIAL);
  });
  Bare bare(index);
  const auto ask = [&](const std::string& text, bool typing, bool facets) {
    return answer(*base, text, typing, facets);
  };
  ask("glycerin", false, true);
  ask("glycerin", false, true);  // the second time the table of facets is made
  fmt::print("{} documents\n", bare.size());

  std::vector<std::string> names, meaning, swaps, misspelt, starts;
  for (const Query& query : ReadQueries()) {
    const bool name = Has(query.kind, "name") || Has(query.kind, "abbreviation") || Has(query.kind, "number");
    if (Has(query.kind, "misspelt") || Has(query.kind, "heard")) {
      misspelt.push_back(query.words);
    } else {
      (name ? names : Has(query.kind, "swap") ? swaps : meaning).push_back(query.words);
    }
    if (!name) continue;
    for (std::size_t n = 1; n <= query.words.size(); ++n) starts.push_back(query.words.substr(0, n));
  }
  fmt::print("microseconds, best of {}        ours p50      p99   bare p50      p99   ratio p50  p99\n",
             rounds);
  Line("open and answer first", 1, opening, bare_opening);
  Times a = Measure(starts, rounds, [&](const std::string& q) { sink += ask(q, true, false); });
  Times b = Measure(starts, rounds, [&](const std::string& q) { sink += bare.Start(q, false); });
  Line("as-you-type, one look-up", starts.size(), a, b);
  b = Measure(starts, rounds, [&](const std::string& q) { sink += bare.Start(q, true); });
  Line("    and its names read", starts.size(), a, b);
  b = Measure(starts, rounds, [&](const std::string& q) { sink += bare.StartOfWords(q); });
  Line("    the same names found", starts.size(), a, b);
  // Of words with a meaning (functions, filters, questions) the bare query finds the same words, not the same answer.
  for (const auto& [what, queries] :
       {std::pair("search, names", &names), std::pair("search, words with meaning", &meaning),
        std::pair("search, stand-ins asked", &swaps)}) {
    a = Measure(*queries, rounds, [&](const std::string& q) { sink += ask(q, false, false); });
    b = Measure(*queries, rounds,
                [&](const std::string& q) { sink += bare.Words(q, Xapian::QueryParser::FLAG_PARTIAL); });
    Line(what, queries->size(), a, b);
    a = Measure(*queries, rounds, [&](const std::string& q) { sink += ask(q, false, true); });
    Line("    with facets", queries->size(), a, b);
  }
  a = Measure(misspelt, rounds, [&](const std::string& q) { sink += ask(q, false, false); });
  b = Measure(misspelt, rounds, [&](const std::string& q) { sink += bare.Staged(q); });
  Line("misspelt, staged", misspelt.size(), a, b);
  return sink > 0 ? 0 : 1;
}
