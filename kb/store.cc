#include "kb/store.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <algorithm>
#include <utility>

#include "kb/definitions_json.h"
#include "kb/pack.h"

namespace kb {
namespace {

// `body`: the whole record, see kb/pack.h. Ids and names stand beside it for whoever looks into the file.
constexpr const char* kTables = R"sql(
CREATE TABLE definition (kind TEXT NOT NULL, position INTEGER NOT NULL, body TEXT NOT NULL,
                         PRIMARY KEY (kind, position)) WITHOUT ROWID;
CREATE TABLE ingredient (ix INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, inci TEXT NOT NULL, name TEXT NOT NULL,
                         body BLOB NOT NULL);
)sql";

template <class T>
void WriteDefinitions(SQLite::Database& db, const char* kind, const std::vector<T>& items) {
  SQLite::Statement insert(db, "INSERT INTO definition VALUES (?, ?, ?)");
  for (std::size_t i = 0; i < items.size(); ++i) {
    insert.bind(1, kind);
    insert.bind(2, static_cast<std::int64_t>(i));
    insert.bind(3, ToJson(items[i]));
    insert.exec();
    insert.reset();
    insert.clearBindings();
  }
}

template <class T>
std::vector<T> ReadDefinitions(SQLite::Database& db, const char* kind) {
  std::vector<T> items;
  SQLite::Statement query(db, "SELECT body FROM definition WHERE kind = ? ORDER BY position");
  query.bind(1, kind);
  while (query.executeStep()) FromJson(query.getColumn(0).getString(), items.emplace_back());
  return items;
}

void WriteIngredients(SQLite::Database& db, const std::vector<Ingredient>& items) {
  SQLite::Statement insert(db, "INSERT INTO ingredient VALUES (?, ?, ?, ?, ?)");
  for (std::size_t i = 0; i < items.size(); ++i) {
    const std::string body = Pack(items[i]);
    insert.bind(1, static_cast<std::int64_t>(i));
    insert.bind(2, items[i].id);
    insert.bind(3, items[i].inci);
    insert.bind(4, items[i].name);
    insert.bind(5, body.data(), static_cast<int>(body.size()));
    insert.exec();
    insert.reset();
  }
}

// Do the numbers in it point at what is there?
bool IsWhole(const Ingredient& item, const CatalogueParts& parts, std::size_t ingredients) {
  return std::all_of(item.functions.begin(), item.functions.end(),
                     [&](FunctionIx ix) { return ix < parts.functions.size(); }) &&
         std::all_of(item.composition.begin(), item.composition.end(),
                     [&](const Component& part) {
                       return part.ingredient.value_or(0) < ingredients && part.source < parts.sources.size();
                     }) &&
         std::all_of(item.facts.begin(), item.facts.end(), [&](const Fact& fact) {
           return fact.property < parts.properties.size() && fact.source < parts.sources.size();
         });
}

void ReadIngredients(SQLite::Database& db, const std::filesystem::path& file, CatalogueParts& parts) {
  const auto count = static_cast<std::size_t>(db.execAndGet("SELECT COUNT(*) FROM ingredient").getInt64());
  parts.ingredients.reserve(count);
  SQLite::Statement query(db, "SELECT body FROM ingredient ORDER BY ix");
  while (query.executeStep()) {
    const SQLite::Column body = query.getColumn(0);
    const auto* bytes = static_cast<const char*>(body.getBlob());
    auto item = Unpack({bytes, static_cast<std::size_t>(body.getBytes())});
    if (!item || !IsWhole(*item, parts, count)) {
      throw StoreError(
          fmt::format("{} is damaged: ingredient {} cannot be read; build the base again (./run)",
                      file.string(), parts.ingredients.size()));
    }
    parts.ingredients.push_back(std::move(*item));
  }
}

}  // namespace

void WriteStore(const std::filesystem::path& file, const CatalogueParts& parts) {
  if (std::filesystem::exists(file)) throw StoreError(fmt::format("{} is there already", file.string()));
  try {
    SQLite::Database db(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    // One file, written once and published by a rename: no journal that could be left beside it. FULL,
    // because the rename must not come before the pages are on disk.
    db.exec("PRAGMA journal_mode = OFF; PRAGMA synchronous = FULL; PRAGMA page_size = 4096");
    db.exec(fmt::format("PRAGMA user_version = {}", kSchemaVersion));
    SQLite::Transaction transaction(db);
    db.exec(kTables);
    WriteDefinitions(db, "property", parts.properties);
    WriteDefinitions(db, "source", parts.sources);
    WriteDefinitions(db, "function", parts.functions);
    WriteDefinitions(db, "class", parts.classes);
    WriteDefinitions(db, "claim", parts.claims);
    WriteDefinitions(db, "limit", parts.limits);
    WriteDefinitions(db, "conflict", parts.conflicts);
    WriteDefinitions(db, "formula", parts.formulas);
    WriteDefinitions(db, "phrase", parts.phrases);
    WriteDefinitions(db, "placing", std::vector{parts.placing});
    WriteIngredients(db, parts.ingredients);
    transaction.commit();
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot write {}: {}", file.string(), error.what()));
  }
}

CatalogueParts ReadStore(const std::filesystem::path& file) {
  try {
    SQLite::Database db("file:" + file.string() + "?immutable=1",
                        SQLite::OPEN_READONLY | SQLite::OPEN_URI | SQLite::OPEN_NOMUTEX);
    const int version = db.execAndGet("PRAGMA user_version").getInt();
    if (version != kSchemaVersion) {
      throw StoreError(fmt::format("{} has schema {}, this program reads {}: build the base again (./run)",
                                   file.string(), version, kSchemaVersion));
    }
    db.exec("PRAGMA mmap_size = 1073741824");
    // One read transaction: without it every statement takes and drops the lock by itself.
    SQLite::Transaction transaction(db);
    CatalogueParts parts;
    parts.properties = ReadDefinitions<Property>(db, "property");
    parts.sources = ReadDefinitions<Source>(db, "source");
    parts.functions = ReadDefinitions<Function>(db, "function");
    parts.classes = ReadDefinitions<ChemicalClass>(db, "class");
    parts.claims = ReadDefinitions<ClaimRule>(db, "claim");
    parts.limits = ReadDefinitions<Limit>(db, "limit");
    parts.conflicts = ReadDefinitions<Conflict>(db, "conflict");
    parts.formulas = ReadDefinitions<SavedFormula>(db, "formula");
    parts.phrases = ReadDefinitions<Phrase>(db, "phrase");
    for (Placing& placing : ReadDefinitions<Placing>(db, "placing")) parts.placing = std::move(placing);
    ReadIngredients(db, file, parts);
    return parts;
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot read {}: {}", file.string(), error.what()));
  }
}

}  // namespace kb
