// How long stillroom-index takes beside the bare libraries writing the same rows, in the same run; and how long the first answer
// takes, of a whole program and inside one. Ratios say something; times depend on the machine and the day.
//
//   build_speed [--inventory FILE] [--rounds N] [--program STILLROOM] [--bare BARE_QUERY]
//
// The bare build has the rows in memory: SQLite gets each with its packed body, in one transaction; Xapian gets its names and texts
// stemmed, with spellings and six slots, and is compacted. In the second form it also gets what as-you-type needs of every name: a
// term for each of its beginnings. Ours reads the text files, checks them, works out what follows, writes, syncs and publishes.
//
// With --program and --bare: `stillroom find glycerin` beside a program that opens the same index, runs the query and prints ten
// results (bare_query.cc), each started 30 times in turn.
#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>
#include <xapian.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

#include "indexer/data_folder.h"
#include "indexer/merge_inventory.h"
#include "indexer/read_catalogue.h"
#include "indexer/run.h"
#include "kb/index_terms.h"
#include "kb/pack.h"
#include "kb/text.h"

extern char** environ;

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

double Seconds(Clock::time_point since) {
  return std::chrono::duration<double>(Clock::now() - since).count();
}

constexpr std::size_t kLongestBeginning = 20;
constexpr std::size_t kLongestWordBeginning = 12;

struct Row {
  std::string id, data, body, facts;
  std::vector<std::string> names, texts;
  std::array<double, 6> slots{};
};

Row RowOf(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const kb::Ingredient& item = catalogue.at(ix);
  Row row{
      item.id, item.id + '\t' + item.name + '\t' + item.inci, kb::Pack(item), kb::Pack(item.facts), {}, {},
      {}};
  row.names = {item.id, item.name, item.inci};
  for (const auto* list : {&item.also, &item.label_names, &item.cas, &item.ec})
    row.names.insert(row.names.end(), list->begin(), list->end());
  for (const kb::FunctionIx function : item.functions) {
    row.texts.push_back(catalogue.function(function).name);
    for (const std::string& name : catalogue.function(function).also) row.texts.push_back(name);
  }
  for (const char* property :
       {"about", "tip", "look", "formula", "form", "charge", "class", "feel", "purpose"}) {
    for (const kb::Fact& fact : catalogue.Facts(ix, property)) row.texts.push_back(fact.text);
  }
  row.slots.fill(catalogue.Commonness(ix));
  return row;
}

std::vector<Row> Rows(const kb::Catalogue& catalogue, const std::vector<kb::index::InventoryEntry>& entries) {
  std::vector<Row> rows;
  for (const kb::Function& function : catalogue.functions()) {
    Row row{function.id, function.id + '\t' + function.name, "", "", {function.id, function.name}, {}, {}};
    row.names.insert(row.names.end(), function.also.begin(), function.also.end());
    const kb::FunctionCard& card = function.card;
    row.texts = {card.what, card.choose, card.levels, card.wrong};
    rows.push_back(std::move(row));
  }
  for (std::size_t i = 0; i < catalogue.ingredients().size(); ++i)
    rows.push_back(RowOf(catalogue, static_cast<kb::IngredientIx>(i)));
  for (const kb::index::InventoryEntry& entry : entries) {
    Row row{entry.inci, kb::index::InventoryData(entry), "", "", {entry.inci}, {entry.functions}, {}};
    for (const std::string* numbers : {&entry.cas, &entry.ec}) {
      for (std::string& number : kb::SplitTrimmed(*numbers, ',')) {
        if (!number.empty()) row.names.push_back(std::move(number));
      }
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

void BareStore(const fs::path& file, const std::vector<Row>& rows) {
  sqlite3* db = nullptr;
  if (sqlite3_open(file.c_str(), &db) != SQLITE_OK) std::abort();
  sqlite3_exec(db,
               "PRAGMA journal_mode=OFF; BEGIN; CREATE TABLE r (id TEXT, data TEXT, body BLOB, facts BLOB)",
               nullptr, nullptr, nullptr);
  sqlite3_stmt* insert = nullptr;
  sqlite3_prepare_v2(db, "INSERT INTO r VALUES (?, ?, ?, ?)", -1, &insert, nullptr);
  for (const Row& row : rows) {
    int index = 0;
    for (const std::string* cell : {&row.id, &row.data, &row.body, &row.facts})
      sqlite3_bind_text(insert, ++index, cell->data(), static_cast<int>(cell->size()), SQLITE_STATIC);
    sqlite3_step(insert);
    sqlite3_reset(insert);
  }
  sqlite3_finalize(insert);
  sqlite3_exec(db, "COMMIT", nullptr, nullptr, nullptr);
  sqlite3_close(db);
}

void AddBeginnings(Xapian::Document& document, const std::string& name) {
  const std::string tight = kb::FoldTight(name);
  for (std::size_t n = 1; n <= std::min<std::size_t>(tight.size(), kLongestBeginning); ++n)
    document.add_boolean_term("XB" + tight.substr(0, n));
  for (const std::string& word : kb::SplitTrimmed(kb::Fold(name), ' ')) {
    for (std::size_t n = 1; n <= std::min<std::size_t>(word.size(), kLongestWordBeginning); ++n)
      document.add_boolean_term("XW" + word.substr(0, n));
  }
}

void BareIndex(const fs::path& file, const std::vector<Row>& rows, bool beginnings) {
  const std::string work = file.string() + ".work";
  {
    Xapian::WritableDatabase db(work, Xapian::DB_CREATE_OR_OVERWRITE | Xapian::DB_NO_SYNC);
    Xapian::TermGenerator words;
    words.set_stemmer(Xapian::Stem(kb::index::kStemmer));
    words.set_database(db);
    words.set_flags(Xapian::TermGenerator::FLAG_SPELLING);
    for (const Row& row : rows) {
      Xapian::Document document;
      words.set_document(document);
      for (const std::string& name : row.names) {
        words.index_text_without_positions(name, 4);
        if (beginnings) AddBeginnings(document, name);
      }
      for (const std::string& text : row.texts) words.index_text_without_positions(text);
      for (std::size_t slot = 0; slot < row.slots.size(); ++slot)
        document.add_value(static_cast<Xapian::valueno>(slot), Xapian::sortable_serialise(row.slots[slot]));
      document.set_data(row.data);
      db.add_document(document);
    }
    db.commit();
    db.compact(file.string(), Xapian::DBCOMPACT_SINGLE_FILE);
  }
  fs::remove_all(work);
}

class Scratch {
 public:
  Scratch() {
    std::string name = (fs::temp_directory_path() / "stillroom-build-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) std::abort();
    path_ = name;
  }
  ~Scratch() { fs::remove_all(path_); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

struct Built {
  double seconds = 1e9;
  std::uintmax_t bytes = 0;
};

Built BuildBare(const std::vector<Row>& rows, bool beginnings, int rounds) {
  Built out;
  for (int round = 0; round < rounds; ++round) {
    const Scratch scratch;
    const auto start = Clock::now();
    BareStore(scratch.path() / "db", rows);
    BareIndex(scratch.path() / "index", rows, beginnings);
    out.seconds = std::min(out.seconds, Seconds(start));
    out.bytes = fs::file_size(scratch.path() / "db") + fs::file_size(scratch.path() / "index");
  }
  return out;
}

indexer::Options OptionsFor(const Scratch& scratch, const fs::path& inventory) {
  indexer::Options options;
  options.data = STILLROOM_SOURCE_DIR "/data";
  options.base = scratch.path() / "base";
  options.inventory = inventory;
  return options;
}

Built BuildOurs(const fs::path& inventory, int rounds) {
  Built out;
  for (int round = 0; round < rounds; ++round) {
    const Scratch scratch;
    const indexer::Options options = OptionsFor(scratch, inventory);
    std::ostringstream said;
    const auto start = Clock::now();
    if (indexer::Run(options, said, said, false) != 0) {
      std::cerr << said.str();
      std::exit(1);
    }
    out.seconds = std::min(out.seconds, Seconds(start));
    out.bytes = 0;
    for (const char* name : {"stillroom.db", "lookup", "index", "names"})
      out.bytes += fs::file_size(options.base / "current" / name);
  }
  return out;
}

void CompareBuilds(std::string_view what, const fs::path& inventory, int rounds) {
  indexer::Diagnostics complaints;
  const kb::Catalogue catalogue(
      indexer::ReadCatalogue(indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", complaints), complaints));
  std::vector<kb::index::InventoryEntry> entries;
  if (!inventory.empty())
    entries = indexer::MergeInventory(catalogue, indexer::ReadInventory(inventory).rows).entries;
  const std::vector<Row> rows = Rows(catalogue, entries);
  const Built ours = BuildOurs(inventory, rounds);
  const Built plain = BuildBare(rows, false, rounds);
  const Built typing = BuildBare(rows, true, rounds);
  constexpr double kMega = 1e6;
  const auto line = [&](std::string_view who, const Built& built) {
    fmt::print("{:<44} {:>7.2f} s {:>7.1f} MB   {:>5.2f}\n", who, built.seconds,
               static_cast<double>(built.bytes) / kMega, ours.seconds / built.seconds);
  };
  fmt::print("{}, {} rows, best of {}                            ratio\n", what, rows.size(), rounds);
  line("  stillroom-index", ours);
  line("  bare: stems, spellings, slots", plain);
  line("  bare: and the beginnings of names", typing);
}

// Wall time of a program in ms, from its start to its end; its output goes nowhere.
double Started(const std::vector<std::string>& words) {
  std::vector<char*> argv;
  for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
  argv.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  const auto start = Clock::now();
  pid_t child = 0;
  if (posix_spawn(&child, argv[0], &actions, nullptr, argv.data(), environ) != 0) {
    std::cerr << "build_speed: cannot start " << words[0] << '\n';
    std::exit(1);
  }
  int status = 0;
  waitpid(child, &status, 0);
  const double ms = 1e3 * Seconds(start);
  posix_spawn_file_actions_destroy(&actions);
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
    std::cerr << "build_speed: " << words[0] << " failed\n";
    std::exit(1);
  }
  return ms;
}

void CompareStarts(const std::string& program, const std::string& bare, const fs::path& inventory) {
  const Scratch scratch;
  const indexer::Options options = OptionsFor(scratch, inventory);
  std::ostringstream said;
  if (indexer::Run(options, said, said, false) != 0) std::exit(1);
  const std::string base = options.base.string();
  std::vector<double> ours;
  std::vector<double> theirs;
  constexpr int kStarts = 30;
  for (int i = 0; i < kStarts; ++i) {
    ours.push_back(Started({program, "find", "glycerin", "--base", base}));
    theirs.push_back(Started({bare, base + "/current/index", "glycerin"}));
  }
  std::sort(ours.begin(), ours.end());
  std::sort(theirs.begin(), theirs.end());
  fmt::print("a whole program, 30 starts, ms             least   median\n");
  fmt::print("  stillroom find glycerin              {:>9.1f} {:>8.1f}\n", ours.front(), ours[kStarts / 2]);
  fmt::print("  bare: open the index, one query      {:>9.1f} {:>8.1f}\n", theirs.front(),
             theirs[kStarts / 2]);
  fmt::print("  ratio                                {:>9.2f} {:>8.2f}\n", ours.front() / theirs.front(),
             ours[kStarts / 2] / theirs[kStarts / 2]);
}

}  // namespace

int main(int count, char** words) {
  fs::path inventory;
  std::string program;
  std::string bare;
  int rounds = 3;
  for (int i = 1; i + 1 < count; ++i) {
    const std::string word = words[i];
    if (word == "--inventory") inventory = words[++i];
    if (word == "--program") program = words[++i];
    if (word == "--bare") bare = words[++i];
    if (word == "--rounds") rounds = std::max(1, std::atoi(words[++i]));
  }
  CompareBuilds("our data", {}, rounds);
  if (!inventory.empty()) CompareBuilds("with the inventory", inventory, rounds);
  if (!program.empty() && !bare.empty()) CompareStarts(program, bare, {});
  return 0;
}
