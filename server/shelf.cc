#include "server/shelf.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/chrono.h>
#include <fmt/format.h>

#include <chrono>
#include <mutex>

namespace server {
namespace {

constexpr int kBusyMilliseconds = 5000;
constexpr int kSoon = 30;  // days before the best-before date

// Step i brings a file of version i to version i + 1. Steps are never changed, only added.
constexpr const char* kSteps[kShelfVersion] = {
    "CREATE TABLE jar ("
    "  number INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  ingredient TEXT NOT NULL CHECK (length(ingredient) BETWEEN 1 AND 200),"
    "  amount_g REAL NOT NULL CHECK (amount_g BETWEEN 0 AND 1e7),"
    "  cost_per_kg REAL CHECK (cost_per_kg BETWEEN 0 AND 1e7),"
    "  lot TEXT NOT NULL DEFAULT '',"
    "  opened TEXT NOT NULL DEFAULT '',"
    "  best_before TEXT NOT NULL DEFAULT '');"
    "CREATE INDEX jar_by_ingredient ON jar (ingredient);",
    "ALTER TABLE jar ADD COLUMN low_below_g REAL CHECK (low_below_g BETWEEN 0 AND 1e7);"
    "ALTER TABLE jar ADD COLUMN note TEXT NOT NULL DEFAULT '';"};

void Migrate(SQLite::Database& db) {
  int version = db.execAndGet("PRAGMA user_version").getInt();
  if (version > kShelfVersion)
    throw ShelfError("the shelf was written by a newer stillroom-server; update this one");
  for (; version < kShelfVersion; ++version) {
    SQLite::Transaction transaction(db, SQLite::TransactionBehavior::IMMEDIATE);
    // Somebody else may have been quicker.
    if (db.execAndGet("PRAGMA user_version").getInt() != version) continue;
    db.exec(kSteps[version]);
    db.exec(fmt::format("PRAGMA user_version = {}", version + 1));
    transaction.commit();
  }
}

template <class Work>
auto Guarded(const char* what, Work work) {
  try {
    return work();
  } catch (const SQLite::Exception&) {
    // SQLite's own words name files and statements; neither is for a page.
    throw ShelfError(fmt::format("the shelf cannot be {}; is the disk full, or the file no shelf?", what));
  }
}

void BindMaybe(SQLite::Statement& statement, int column, const std::optional<double>& value) {
  if (value.has_value()) {
    statement.bind(column, value.value());
  } else {
    statement.bind(column);
  }
}

void Bind(SQLite::Statement& statement, const Jar& jar) {
  statement.reset();
  statement.clearBindings();
  statement.bind(1, jar.ingredient);
  statement.bind(2, jar.amount_g);
  BindMaybe(statement, 3, jar.cost_per_kg);
  statement.bind(4, jar.lot);
  statement.bind(5, jar.opened);
  statement.bind(6, jar.best_before);
  BindMaybe(statement, 7, jar.low_below_g);
  statement.bind(8, jar.note);
  if (jar.number != 0) statement.bind(9, jar.number);
}

std::optional<double> MaybeOf(const SQLite::Column& column) {
  return column.isNull() ? std::nullopt : std::optional(column.getDouble());
}

std::chrono::sys_days DayOf(const std::string& text) {
  const auto number = [&](std::size_t from, std::size_t count) {
    return std::stoi(text.substr(from, count));
  };
  return std::chrono::year_month_day(std::chrono::year(number(0, 4)),
                                     std::chrono::month(static_cast<unsigned>(number(5, 2))),
                                     std::chrono::day(static_cast<unsigned>(number(8, 2))));
}

}  // namespace

struct Shelf::Inside {
  explicit Inside(const std::filesystem::path& file)
      : db(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, kBusyMilliseconds) {
    db.exec("PRAGMA journal_mode = WAL");
    db.exec("PRAGMA synchronous = FULL");
    db.exec("PRAGMA foreign_keys = ON");
    Migrate(db);
  }
  mutable std::mutex mutex;
  SQLite::Database db;
};

Shelf::Shelf(const std::filesystem::path& file) {
  inside_ = Guarded("opened", [&] { return std::make_unique<Inside>(file); });
}

Shelf::~Shelf() = default;

std::vector<Jar> Shelf::All() const {
  const std::lock_guard lock(inside_->mutex);
  return Guarded("read", [&] {
    SQLite::Statement rows(inside_->db,
                           "SELECT number, ingredient, amount_g, cost_per_kg, lot, opened, best_before, "
                           "low_below_g, note FROM jar ORDER BY ingredient, best_before, number");
    std::vector<Jar> jars;
    while (rows.executeStep()) {
      jars.push_back(
          {rows.getColumn(0).getInt64(), rows.getColumn(1).getString(), rows.getColumn(2).getDouble(),
           MaybeOf(rows.getColumn(3)), rows.getColumn(4).getString(), rows.getColumn(5).getString(),
           rows.getColumn(6).getString(), MaybeOf(rows.getColumn(7)), rows.getColumn(8).getString()});
    }
    return jars;
  });
}

bool Shelf::Save(const std::vector<Jar>& jars) {
  const std::lock_guard lock(inside_->mutex);
  return Guarded("written", [&] {
    SQLite::Transaction transaction(inside_->db, SQLite::TransactionBehavior::IMMEDIATE);
    SQLite::Statement add(inside_->db,
                          "INSERT INTO jar (ingredient, amount_g, cost_per_kg, lot, opened, best_before, "
                          "low_below_g, note) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    SQLite::Statement put(
        inside_->db,
        "UPDATE jar SET ingredient = ?, amount_g = ?, cost_per_kg = ?, lot = ?, opened = ?, "
        "best_before = ?, low_below_g = ?, note = ? WHERE number = ?");
    for (const Jar& jar : jars) {
      SQLite::Statement& statement = jar.number == 0 ? add : put;
      Bind(statement, jar);
      if (statement.exec() != 1) return false;  // the transaction rolls back
    }
    transaction.commit();
    ++revision_;
    return true;
  });
}

bool Shelf::Remove(std::int64_t number) {
  const std::lock_guard lock(inside_->mutex);
  return Guarded("written", [&] {
    SQLite::Statement statement(inside_->db, "DELETE FROM jar WHERE number = ?");
    statement.bind(1, number);
    const bool there = statement.exec() == 1;
    if (there) ++revision_;
    return there;
  });
}

void Shelf::BackUp(const std::filesystem::path& to) const {
  const std::lock_guard lock(inside_->mutex);
  if (std::filesystem::exists(to)) throw ShelfError("the backup is there already; choose another name");
  Guarded("backed up", [&] {
    SQLite::Statement statement(inside_->db, "VACUUM INTO ?");
    statement.bind(1, to.string());
    statement.exec();
    return true;
  });
}

std::string Today() {
  return fmt::format("{:%F}", fmt::gmtime(std::chrono::system_clock::now()));
}

bool IsDate(const std::string& text) {
  constexpr std::string_view kShape = "dddd-dd-dd";
  if (text.size() != kShape.size()) return false;
  for (std::size_t i = 0; i < kShape.size(); ++i) {
    const bool digit = text[i] >= '0' && text[i] <= '9';
    if (kShape[i] == 'd' ? !digit : text[i] != kShape[i]) return false;
  }
  return std::chrono::year_month_day(DayOf(text)) ==
         std::chrono::year_month_day(std::chrono::year(std::stoi(text.substr(0, 4))),
                                     std::chrono::month(static_cast<unsigned>(std::stoi(text.substr(5, 2)))),
                                     std::chrono::day(static_cast<unsigned>(std::stoi(text.substr(8, 2)))));
}

std::string RunningLow(const Jar& jar, const std::string& today) {
  if (jar.low_below_g && jar.amount_g < *jar.low_below_g)
    return fmt::format("{:g} g left, below {:g} g", jar.amount_g, *jar.low_below_g);
  if (jar.amount_g <= 0) return "none left";
  if (!IsDate(jar.best_before) || !IsDate(today)) return "";
  const auto days = (DayOf(jar.best_before) - DayOf(today)).count();
  if (days < 0) return fmt::format("best before {} has passed", jar.best_before);
  if (days <= kSoon) return fmt::format("best before {}, in {} days", jar.best_before, days);
  return "";
}

}  // namespace server
