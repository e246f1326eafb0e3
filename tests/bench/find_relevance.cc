// How useful the answers of `find` are: success at 1 (the first result is graded 1 or 2) and nDCG at 10, on the queries of
// find_queries.tsv and, where they are at hand, on ../shared/examples/find_examples.jsonl. How it is reckoned: graded.h.
//
//   find_relevance [--base DIR] [-v]     -v: each query with what came first
#include <fmt/format.h>

#include <filesystem>
#include <string>
#include <vector>

#include "query/service.h"
#include "tests/bench/graded.h"

namespace {

std::string NameOf(const kb::Catalogue& catalogue, const query::Found& found) {
  if (found.type == query::FoundType::kFunction)
    return "[" + catalogue.function(static_cast<kb::FunctionIx>(found.ix)).id + "]";
  return found.type == query::FoundType::kIngredient ? catalogue.at(found.ix).id : found.entry.inci;
}

void Measure(const query::Base& base, const std::vector<graded::Graded>& set, bool verbose,
             graded::Score& score) {
  for (const graded::Graded& item : set) {
    const graded::Judged judged = graded::Judge(base, item);
    graded::Add(judged, score);
    if (!verbose) continue;
    std::string shown;
    for (std::size_t i = 0; i < judged.grades.size(); ++i) {
      shown += fmt::format(" {}:{}", NameOf(base.catalogue, judged.answer.results[i]),
                           judged.grades[i] < 0 ? "-" : std::to_string(judged.grades[i]));
    }
    fmt::print("{} {:.2f}  {}{}\n        {}\n", judged.useful() ? "ok  " : "MISS", judged.ndcg, item.query,
               judged.answer.corrected.empty() ? "" : " -> " + judged.answer.corrected, shown);
  }
}

void Report(std::string_view name, const graded::Score& score) {
  const auto n = static_cast<double>(score.queries);
  fmt::print("{}: {} queries, success@1 {:.1f} %, nDCG@10 {:.3f}, nothing found for {}\n", name,
             score.queries, 100 * score.success / n, score.ndcg / n, score.nothing);
}

}  // namespace

int main(int count, char** words) {
  std::filesystem::path root = kb::DefaultBaseRoot();
  bool verbose = false;
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    if (word == "-v") verbose = true;
    if (word == "--base" && i + 1 < count) root = words[++i];
  }
  const auto base = query::OpenBase(root);
  graded::Score own;
  Measure(*base, graded::ReadOwn(STILLROOM_SOURCE_DIR "/tests/bench/find_queries.tsv"), verbose, own);
  graded::Score examples;
  const std::string path = STILLROOM_SOURCE_DIR "/../shared/examples/find_examples.jsonl";
  if (std::filesystem::exists(path)) {
    Measure(*base, graded::ReadExamples(path), verbose, examples);
    Report("examples", examples);
  } else {
    fmt::print("examples: not at hand, skipped\n");
  }
  Report("own set", own);
  return 0;
}
