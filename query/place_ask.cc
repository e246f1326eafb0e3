// The most informative next test: by how much its results are expected to lower the entropy over the positions.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "query/place_parts.h"

namespace query::placing {
namespace {

constexpr double kLeastBits = 0.02;  // below that a test is not worth the weighing
constexpr double kLikelihoodFloor =
    1e-6;  // of a result in a position that it rules out: a bench test can be misread

double Entropy(const std::array<double, kPositionCount>& share) {
  double bits = 0;
  for (const double p : share) {
    if (p > 0) bits -= p * std::log2(p);
  }
  return bits;
}

// Weighed as if the test had shown this. nullopt where the result is known already or cannot be read.
std::optional<Weighing> After(const Case& given, const kb::BenchOutcome& outcome) {
  Traits traits = given.traits;
  for (const std::string& set : outcome.sets) {
    auto trait = ReadTrait(given.catalogue, set);
    if (!trait) return std::nullopt;
    if (Find(traits, trait->property) == nullptr) traits.push_back(std::move(*trait));
  }
  return Weigh(MakeCase(given.catalogue, given.rules, std::move(traits), given.room, given.level),
               Words::kWithout);
}

// The first fact that each result sets is what the test is about.
bool IsKnown(const Case& given, const kb::BenchTest& test) {
  return std::all_of(test.outcomes.begin(), test.outcomes.end(), [&](const kb::BenchOutcome& outcome) {
    const std::string_view set =
        outcome.sets.empty() ? std::string_view() : std::string_view(outcome.sets.front());
    const std::uint8_t name = given.rules.NumberOf(set.substr(0, set.find('=')));
    return name != kNoName && given.known.At(name).known;
  });
}

// Expected fall of the entropy, bits. The rules' weights are log-likelihoods: how much more often a result is seen with an
// ingredient of that position. So P(result | position) follows from what the result would add to its score.
double Informs(const Case& given, const Weighing& now, const kb::BenchTest& test) {
  std::vector<Weighing> after;
  std::vector<double> shares;
  for (const kb::BenchOutcome& outcome : test.outcomes) {
    auto weighing = After(given, outcome);
    if (!weighing) return 0;
    after.push_back(std::move(*weighing));
    shares.push_back(outcome.share);
  }
  std::vector<double> chance(after.size(), 0);
  for (std::size_t position = 0; position < kPositionCount; ++position) {
    if (now.share[position] <= 0) continue;
    std::vector<double> likelihood(after.size(), 0);
    double total = 0;
    for (std::size_t i = 0; i < after.size(); ++i) {
      const double gain = std::exp(after[i].score[position] - now.score[position]);
      likelihood[i] =
          shares[i] * (after[i].out[position] ? kLikelihoodFloor : std::max(gain, kLikelihoodFloor));
      total += likelihood[i];
    }
    for (std::size_t i = 0; i < after.size(); ++i) chance[i] += now.share[position] * likelihood[i] / total;
  }
  double expected = 0;
  for (std::size_t i = 0; i < after.size(); ++i) expected += chance[i] * Entropy(after[i].share);
  return Entropy(now.share) - expected;
}

}  // namespace

std::vector<BenchAsk> TestsToAsk(const Case& given, const Weighing& weighing) {
  std::vector<BenchAsk> asks;
  for (const kb::BenchTest& test : given.catalogue.placing().tests) {
    if (IsKnown(given, test) || !Holds(given, test.terms)) continue;
    const double bits = Informs(given, weighing, test);
    if (bits < kLeastBits) continue;
    BenchAsk ask;
    ask.fact = test.fact;
    ask.bench_test = test.how;
    ask.bits = bits;
    for (const kb::BenchOutcome& outcome : test.outcomes)
      ask.results.push_back(fmt::format("{}: --described {}", outcome.sees, fmt::join(outcome.sets, " ")));
    asks.push_back(std::move(ask));
  }
  std::stable_sort(asks.begin(), asks.end(),
                   [](const BenchAsk& a, const BenchAsk& b) { return a.bits > b.bits; });
  return asks;
}

}  // namespace query::placing
