// How long `swap` takes beside a bare scan, in the same run: at our size, and with the catalogue enlarged to the size of the EU
// inventory by copies of our records under other names. Ratios say something; times depend on the machine and the day.
//
//   swap_speed [--records N] [--questions N] [--seed N] [--rounds N] [--only-one-size 0|1]
//
// The bare scan reads 40 columns of floats and a mask of every record, in blocks of 256, and keeps the sum of the weighted distances
// of those whose mask fits: what a candidate pass over the same number of records would cost where all is laid out for it.
#include <fmt/format.h>
#include <time.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include "indexer/data_folder.h"
#include "indexer/read_catalogue.h"
#include "query/request.h"
#include "query/sheet.h"
#include "query/swap_pass.h"

namespace {

constexpr std::size_t kInventory = 28'712;  // rows of the open EU inventory
constexpr std::size_t kBlock = 256;
constexpr std::size_t kColumns = 40;

struct Times {
  std::vector<double> micros;
  double At(double share) {
    if (micros.empty()) return 0;
    std::sort(micros.begin(), micros.end());
    return micros[static_cast<std::size_t>(share * static_cast<double>(micros.size() - 1))];
  }
};

// Processor time of this thread: what else the machine does is not the question.
double Micros() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e6 * static_cast<double>(now.tv_sec) + 1e-3 * static_cast<double>(now.tv_nsec);
}

// The least of `rounds` times.
double Least(int rounds, const std::function<void()>& work) {
  double least = 1e12;
  for (int round = 0; round < rounds; ++round) {
    const double start = Micros();
    work();
    least = std::min(least, Micros() - start);
  }
  return least;
}

// Copies of records, drawn by the seed, under ids behind all others, so that every index of the originals stays what it was. `own`:
// each figure of a copy a little off, as no two records of different things agree.
kb::Catalogue Enlarged(kb::CatalogueParts parts, std::size_t size, std::uint32_t seed, bool own) {
  std::mt19937 draw(seed);
  std::uniform_real_distribution<double> off(0.98, 1.02);
  const std::size_t ours = parts.ingredients.size();
  parts.ingredients.reserve(std::max(size, ours));
  while (parts.ingredients.size() < size) {
    kb::Ingredient copy = parts.ingredients[draw() % ours];
    const std::string mark = fmt::format("{:06}", parts.ingredients.size());
    copy.id = fmt::format("zz-{}-{}", mark, copy.id);
    copy.inci += " COPY " + mark;
    copy.name += " copy " + mark;
    copy.also.clear();
    copy.label_names.clear();
    copy.cas.clear();
    copy.ec.clear();
    for (kb::Fact& fact : copy.facts) {
      if (!own || !fact.number || fact.number->low <= 0) continue;
      const double factor = off(draw);
      fact.number = kb::Range{fact.number->low * factor, fact.number->high * factor};
    }
    parts.ingredients.push_back(std::move(copy));
  }
  return kb::Catalogue(std::move(parts));
}

// 40 columns in blocks, filled by chance.
class BareScan {
 public:
  BareScan(std::size_t records, std::uint32_t seed) : blocks_((records + kBlock - 1) / kBlock) {
    std::mt19937 draw(seed);
    std::uniform_real_distribution<float> value(0, 1);
    for (Block& block : blocks_) {
      for (std::size_t i = 0; i < kBlock; ++i) block.mask[i] = static_cast<std::uint32_t>(draw() & draw());
      for (std::size_t c = 0; c < kColumns; ++c) {
        for (std::size_t i = 0; i < kBlock; ++i) block.value[c][i] = value(draw);
      }
    }
  }

  float Scan(const std::array<float, kColumns>& wanted, std::uint32_t mask) const {
    float best = 0;
    for (const Block& block : blocks_) {
      std::array<float, kBlock> sum{};
      for (std::size_t c = 0; c < kColumns; ++c) {
        const float target = wanted[c];
        for (std::size_t i = 0; i < kBlock; ++i) sum[i] += 1.0F - std::fabs(block.value[c][i] - target);
      }
      for (std::size_t i = 0; i < kBlock; ++i)
        best = std::max(best, (block.mask[i] & mask) == 0 ? sum[i] : 0.0F);
    }
    return best;
  }

 private:
  struct Block {
    std::array<std::array<float, kBlock>, kColumns> value;
    std::array<std::uint32_t, kBlock> mask;
  };
  std::vector<Block> blocks_;
};

struct Asking {
  std::vector<query::SwapQuestion> questions;
  std::vector<kb::Formula> demos;
};

// Every line of every formula that comes with the base, and ingredients by chance in a typical formula of a kind by chance.
Asking Questions(const kb::Catalogue& catalogue, std::size_t originals, std::size_t by_chance,
                 std::uint32_t seed) {
  Asking out;
  for (const kb::SavedFormula& saved : catalogue.formulas()) {
    const auto formula = kb::ReadFormula(catalogue, saved.text);
    if (!formula) continue;
    if (saved.folder == "demo") out.demos.push_back(*formula);
    for (std::size_t line = 0; line < formula->lines.size(); ++line) {
      if (catalogue.at(formula->lines[line].ingredient).functions.empty()) continue;
      query::SwapQuestion question;
      question.formula = *formula;
      question.line = line;
      out.questions.push_back(std::move(question));
    }
  }
  std::mt19937 draw(seed);
  const std::array<const char*, 6> kinds = {"leave-on/emulsion-ow",  "leave-on/anhydrous",
                                            "leave-on/gel",          "leave-on/water",
                                            "rinse-off/conditioner", "rinse-off/surfactant"};
  for (std::size_t tries = 0; tries < by_chance; ++tries) {
    const auto ix = static_cast<kb::IngredientIx>(draw() % originals);
    const auto asked = query::ReadSwapQuestion(
        catalogue, {{{"name", catalogue.at(ix).id}, {"kind", kinds[draw() % kinds.size()]}}, {}, {}});
    if (asked) out.questions.push_back(asked->question);
  }
  return out;
}

// The candidates judged, compared, scored and the best ones picked: what stands beside the bare scan.
double PassAlone(const kb::Catalogue& catalogue, const query::SwapQuestion& question, int rounds,
                 std::size_t& sink) {
  const query::Assessment before = query::Assess(catalogue, question.formula, query::Depth::kForDiff);
  const auto roles = query::RolesOf(catalogue, question.formula, question.line);
  const kb::FunctionIx role = roles.front().function;
  if (catalogue.function(role).swap == "never") return 0;
  const query::RuleSetting setting(catalogue, question, role,
                                   question.formula.lines[question.line].ingredient, before, 70);
  const query::RoleTable& table = catalogue.Once<query::RoleTables>().Of(catalogue, role);
  return Least(rounds, [&] {
    const query::CandidatePass pass(setting, table, roles);
    sink +=
        pass.Best(24, [&](std::uint32_t row) { return pass.fits()[row] != query::Fit::kRuledOut; }).size();
  });
}

void Line(const char* what, std::size_t count, Times& times, double bare) {
  fmt::print("  {:<46} {:>4} {:>10.0f} {:>10.0f}", what, count, times.At(0.5), times.At(0.99));
  if (bare > 0) fmt::print("   {:>7.2f} {:>7.2f}", times.At(0.5) / bare, times.At(0.99) / bare);
  fmt::print("\n");
}

// One size: the bare scan, then the pass over the candidates alone, whole swaps, and sheets.
std::size_t Measure(const kb::Catalogue& catalogue, std::size_t originals, std::size_t by_chance, int rounds,
                    std::uint32_t seed) {
  const std::size_t records = catalogue.ingredients().size();
  const Asking asking = Questions(catalogue, originals, by_chance, seed);
  std::size_t sink = 0;
  const BareScan scan(records, seed);
  Times bare;
  std::mt19937 draw(seed);
  for (int i = 0; i < 50; ++i) {
    std::array<float, kColumns> wanted{};
    for (float& value : wanted) value = static_cast<float>(draw() % 1000) / 1000;
    bare.micros.push_back(Least(rounds, [&] { sink += scan.Scan(wanted, 5) > 0 ? 1U : 0U; }));
  }
  Times assess, for_diff, pass, alone, whole, rebalanced;
  for (const query::SwapQuestion& question : asking.questions) {
    const double assessed =
        Least(rounds, [&] { sink += query::Assess(catalogue, question.formula).findings.size(); });
    const double before = Least(rounds, [&] {
      sink += query::Assess(catalogue, question.formula, query::Depth::kForDiff).findings.size();
    });
    query::SwapQuestion none = question;
    none.limit = 0;  // none of them assessed
    const double ranked = Least(rounds, [&] { sink += query::Swap(catalogue, none).roles.size(); });
    assess.micros.push_back(assessed);
    for_diff.micros.push_back(before);
    pass.micros.push_back(std::max(0.0, ranked - before));
    alone.micros.push_back(PassAlone(catalogue, question, rounds, sink));
    whole.micros.push_back(Least(rounds, [&] { sink += query::Swap(catalogue, question).stand_ins.size(); }));
    query::SwapQuestion moved = question;
    moved.rebalance = true;
    rebalanced.micros.push_back(Least(1, [&] { sink += query::Swap(catalogue, moved).stand_ins.size(); }));
  }
  Times lay_out;
  for (kb::FunctionIx role = 0; role < catalogue.functions().size(); ++role)
    lay_out.micros.push_back(Least(1, [&] { sink += query::RoleTable(catalogue, role).rows.size(); }));
  Times sheet;
  for (const kb::Formula& formula : asking.demos)
    sheet.micros.push_back(
        Least(rounds, [&] { sink += query::MakeSheet(catalogue, formula, {}).lines.size(); }));
  const double unit = bare.At(0.5);
  fmt::print(
      "{} records; us of processor, best of {}               p50        p99   of the bare scan's p50\n",
      records, rounds);
  Line("bare scan, 40 columns, blocks of 256", bare.micros.size(), bare, unit);
  Line("candidates judged, compared, the best picked", alone.micros.size(), alone, unit);
  Line("the same with roles, words of those ruled out", pass.micros.size(), pass, unit);
  Line("one assessment", assess.micros.size(), assess, unit);
  Line("one assessment, for a difference", for_diff.micros.size(), for_diff, unit);
  Line("one swap with its changes", whole.micros.size(), whole, unit);
  Line("one swap, each of its stand-ins rebalanced", rebalanced.micros.size(), rebalanced, unit);
  Line("one sheet of a demo formula", sheet.micros.size(), sheet, unit);
  Line("a role laid out, once", lay_out.micros.size(), lay_out, unit);
  return sink;
}

}  // namespace

int main(int count, char** words) {
  std::size_t records = kInventory;
  std::size_t by_chance = 120;
  std::uint32_t seed = 7;
  int rounds = 3;
  bool large = true;
  for (int i = 1; i + 1 < count; ++i) {
    const std::string word = words[i];
    if (word == "--records") records = std::stoul(words[++i]);
    if (word == "--questions") by_chance = std::stoul(words[++i]);
    if (word == "--seed") seed = static_cast<std::uint32_t>(std::stoul(words[++i]));
    if (word == "--rounds") rounds = std::max(1, std::stoi(words[++i]));
    if (word == "--only-one-size") large = std::string(words[++i]) != "1";
  }
  indexer::Diagnostics complaints;
  const indexer::DataFolder folder = indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", complaints);
  const auto read = [&] { return indexer::ReadCatalogue(folder, complaints); };
  kb::CatalogueParts parts = read();
  if (!complaints.empty()) {
    fmt::print(stderr, "{}\n", complaints.Render());
    return 1;
  }
  const std::size_t originals = parts.ingredients.size();
  std::size_t sink = Measure(kb::Catalogue(std::move(parts)), originals, by_chance, rounds, seed);
  for (const bool own : {false, true}) {
    if (!large) continue;
    fmt::print("{}\n",
               own ? "enlarged, each figure of a copy its own:" : "enlarged, copies with the same figures:");
    sink += Measure(Enlarged(read(), records, seed, own), originals, by_chance, rounds, seed);
  }
  return sink > 0 ? 0 : 1;
}
