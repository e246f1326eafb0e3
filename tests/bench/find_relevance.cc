// How useful the answers of `find` are: success at 1 (the first result is graded 1 or 2) and nDCG at 10, on the queries of
// find_queries.tsv and, where they are at hand, on ../shared/examples/find_examples.jsonl.
//
//   find_relevance [--base DIR] [-v]     -v: each query with what came first
//
// Gain of a grade g is 2^g - 1, discount 1 / log2(rank + 1); the ideal order is that of the grades given. What is not graded
// counts as nothing. Method: Jarvelin and Kekalainen, ACM Trans. Inf. Syst. 20 (2002) 422, with the exponential gain of
// Burges et al., ICML 2005.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "kb/text.h"
#include "query/service.h"

namespace {

struct Graded {
  std::string query;
  std::map<std::string, int> grades;  // "inci:..." or "id:..." or "function:...", all folded
  std::size_t wanted = 0;
};

std::string Key(std::string_view kind, std::string_view name) {
  return fmt::format("{}:{}", kind, kb::Fold(name));
}

// The tables of ours: ids, functions as function:ID.
std::vector<Graded> ReadOwn(const std::string& path) {
  std::vector<Graded> out;
  std::ifstream file(path);
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#' || line.rfind("query\t", 0) == 0) continue;
    const std::vector<std::string> cells = kb::SplitTrimmed(line, '\t');
    Graded item;
    item.query = cells[0];
    for (std::size_t column = 2; column < cells.size() && column < 5; ++column) {
      for (const std::string& id : kb::SplitTrimmed(cells[column], '|')) {
        if (id.empty()) continue;
        const bool function = id.rfind("function:", 0) == 0;
        item.grades[function ? Key("function", id.substr(9)) : Key("id", id)] = static_cast<int>(4 - column);
      }
    }
    out.push_back(std::move(item));
  }
  return out;
}

std::vector<Graded> ReadExamples(const std::string& path) {
  std::vector<Graded> out;
  std::ifstream file(path);
  for (std::string line; std::getline(file, line);) {
    if (line.empty()) continue;
    const auto json = nlohmann::json::parse(line);
    Graded item;
    item.query = json.at("query").get<std::string>();
    for (const auto& answer : json.at("relevant")) {
      const bool function = answer.at("type") == "function";
      item.grades[Key(function ? "eu" : "inci", answer.at("name").get<std::string>())] =
          answer.at("grade").get<int>();
    }
    out.push_back(std::move(item));
  }
  return out;
}

// The grade of a result; -1: not graded. Each grade is given once: a second record of the same label name is the same answer.
int Grade(const kb::Catalogue& catalogue, const query::Found& found, std::map<std::string, int>& grades) {
  std::vector<std::string> keys;
  if (found.type == query::FoundType::kFunction) {
    const kb::Function& function = catalogue.function(static_cast<kb::FunctionIx>(found.ix));
    keys = {Key("function", function.id), Key("eu", function.name)};
    for (const std::string& name : function.inventory) keys.push_back(Key("eu", name));
  } else if (found.type == query::FoundType::kIngredient) {
    keys = {Key("id", catalogue.at(found.ix).id), Key("inci", catalogue.at(found.ix).inci)};
  } else {
    keys = {Key("inci", found.entry.inci)};
  }
  for (const std::string& key : keys) {
    const auto at = grades.find(key);
    if (at == grades.end()) continue;
    const int grade = at->second;
    grades.erase(at);
    return grade;
  }
  return -1;
}

double Gain(int grade, std::size_t rank) {
  return grade <= 0 ? 0 : (std::pow(2, grade) - 1) / std::log2(static_cast<double>(rank) + 1);
}

struct Score {
  double success = 0, ndcg = 0;
  std::size_t queries = 0, nothing = 0;
};

std::string NameOf(const kb::Catalogue& catalogue, const query::Found& found) {
  if (found.type == query::FoundType::kFunction)
    return "[" + catalogue.function(static_cast<kb::FunctionIx>(found.ix)).id + "]";
  return found.type == query::FoundType::kIngredient ? catalogue.at(found.ix).id : found.entry.inci;
}

void Measure(const query::Base& base, const std::vector<Graded>& set, bool verbose, Score& score) {
  constexpr std::size_t kTop = 10;
  for (const Graded& item : set) {
    query::FindQuestion question;
    question.words = item.query;
    question.limit = kTop;
    const query::FindAnswer answer = base.finder->Find(base.Index(), question);
    std::map<std::string, int> left = item.grades;
    double gained = 0;
    int first = -1;
    std::string shown;
    for (std::size_t i = 0; i < answer.results.size(); ++i) {
      const int grade = Grade(base.catalogue, answer.results[i], left);
      if (i == 0) first = grade;
      gained += Gain(grade, i + 1);
      shown += fmt::format(" {}:{}", NameOf(base.catalogue, answer.results[i]),
                           grade < 0 ? "-" : std::to_string(grade));
    }
    std::vector<int> ideal;
    for (const auto& [key, grade] : item.grades) ideal.push_back(grade);
    std::sort(ideal.rbegin(), ideal.rend());
    double best = 0;
    for (std::size_t i = 0; i < std::min(kTop, ideal.size()); ++i) best += Gain(ideal[i], i + 1);
    const double ndcg = best > 0 ? gained / best : 0;
    ++score.queries;
    score.success += first > 0 ? 1 : 0;
    score.ndcg += ndcg;
    score.nothing += answer.results.empty() ? 1U : 0U;
    if (verbose) {
      fmt::print("{} {:.2f}  {}{}\n        {}\n", first > 0 ? "ok  " : "MISS", ndcg, item.query,
                 answer.corrected.empty() ? "" : " -> " + answer.corrected, shown);
    }
  }
}

void Report(std::string_view name, const Score& score) {
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
  Score own;
  Measure(*base, ReadOwn(STILLROOM_SOURCE_DIR "/tests/bench/find_queries.tsv"), verbose, own);
  Score examples;
  const std::string path = STILLROOM_SOURCE_DIR "/../shared/examples/find_examples.jsonl";
  if (std::filesystem::exists(path)) {
    Measure(*base, ReadExamples(path), verbose, examples);
    Report("examples", examples);
  } else {
    fmt::print("examples: not at hand, skipped\n");
  }
  Report("own set", own);
  return 0;
}
