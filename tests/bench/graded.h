// Queries with graded answers, and what a list of answers is worth: for the benchmark and for the test that holds its result.
//
// Gain of a grade g is 2^g - 1, discount 1 / log2(rank + 1); the ideal order is that of the grades given. What is not graded
// counts as nothing. Method: Jarvelin and Kekalainen, ACM Trans. Inf. Syst. 20 (2002) 422, with the exponential gain of
// Burges et al., ICML 2005.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "kb/text.h"
#include "query/service.h"

namespace graded {

struct Graded {
  std::string query;
  std::map<std::string, int> grades;  // "inci:..." or "id:..." or "function:...", all folded
};

inline std::string Key(std::string_view kind, std::string_view name) {
  return fmt::format("{}:{}", kind, kb::Fold(name));
}

// The tables of ours: ids, functions as function:ID.
inline std::vector<Graded> ReadOwn(const std::string& path) {
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

inline std::vector<Graded> ReadExamples(const std::string& path) {
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
inline int Grade(const kb::Catalogue& catalogue, const query::Found& found,
                 std::map<std::string, int>& grades) {
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

inline double Gain(int grade, std::size_t rank) {
  return grade <= 0 ? 0 : (std::pow(2, grade) - 1) / std::log2(static_cast<double>(rank) + 1);
}

struct Score {
  double success = 0, ndcg = 0;  // sums
  std::size_t queries = 0, nothing = 0;
};

struct Judged {
  query::FindAnswer answer;
  std::vector<int> grades;  // beside the results; -1 not graded
  double ndcg = 0;
  bool useful() const { return !grades.empty() && grades.front() > 0; }
};

inline constexpr std::size_t kTop = 10;

inline Judged Judge(const query::Base& base, const Graded& item) {
  query::FindQuestion question;
  question.words = item.query;
  question.limit = kTop;
  Judged out;
  out.answer = base.finder->Find(base.Index(), question);
  std::map<std::string, int> left = item.grades;
  double gained = 0;
  for (const query::Found& found : out.answer.results) {
    out.grades.push_back(Grade(base.catalogue, found, left));
    gained += Gain(out.grades.back(), out.grades.size());
  }
  std::vector<int> ideal;
  for (const auto& [key, grade] : item.grades) ideal.push_back(grade);
  std::sort(ideal.rbegin(), ideal.rend());
  double best = 0;
  for (std::size_t i = 0; i < std::min(kTop, ideal.size()); ++i) best += Gain(ideal[i], i + 1);
  out.ndcg = best > 0 ? gained / best : 0;
  return out;
}

inline void Add(const Judged& judged, Score& score) {
  ++score.queries;
  score.success += judged.useful() ? 1 : 0;
  score.ndcg += judged.ndcg;
  score.nothing += judged.answer.results.empty() ? 1U : 0U;
}

}  // namespace graded
