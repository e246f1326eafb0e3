#include "kb/store.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <algorithm>
#include <utility>

#include "kb/definitions_json.h"

namespace kb {
namespace {

constexpr const char* kTables = R"sql(
CREATE TABLE definition (kind TEXT NOT NULL, position INTEGER NOT NULL, body TEXT NOT NULL,
                         PRIMARY KEY (kind, position)) WITHOUT ROWID;
CREATE TABLE ingredient (ix INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, inci TEXT NOT NULL, name TEXT NOT NULL);
CREATE TABLE name (ingredient INTEGER NOT NULL REFERENCES ingredient (ix), kind TEXT NOT NULL, position INTEGER NOT NULL,
                   text TEXT NOT NULL, PRIMARY KEY (ingredient, kind, position)) WITHOUT ROWID;
CREATE TABLE plays (ingredient INTEGER NOT NULL REFERENCES ingredient (ix), position INTEGER NOT NULL,
                    function INTEGER NOT NULL, PRIMARY KEY (ingredient, position)) WITHOUT ROWID;
CREATE TABLE component (ingredient INTEGER NOT NULL REFERENCES ingredient (ix), position INTEGER NOT NULL, part INTEGER,
                        inci TEXT NOT NULL, pct REAL NOT NULL, source INTEGER NOT NULL,
                        PRIMARY KEY (ingredient, position)) WITHOUT ROWID;
CREATE TABLE fact (ingredient INTEGER NOT NULL REFERENCES ingredient (ix), position INTEGER NOT NULL,
                   property INTEGER NOT NULL, key TEXT NOT NULL, low REAL, high REAL, text TEXT NOT NULL, context TEXT NOT NULL,
                   function TEXT NOT NULL, at_c REAL, source INTEGER NOT NULL, at TEXT NOT NULL, note TEXT NOT NULL,
                   standing INTEGER NOT NULL, PRIMARY KEY (ingredient, position)) WITHOUT ROWID;
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

// Executes an insert with these values and makes it ready for the next row. Clearing matters: a value that is
// not bound again would otherwise be the row before's.
void Insert(SQLite::Statement& statement, const auto&... values) {
  int column = 1;
  const auto bind = [&](const auto& value) {
    using V = std::decay_t<decltype(value)>;
    if constexpr (std::is_same_v<V, std::optional<double>>) {
      if (value) statement.bind(column, *value);
    } else if constexpr (std::is_integral_v<V>) {
      statement.bind(column, static_cast<std::int64_t>(value));
    } else {
      statement.bind(column, value);
    }
    ++column;
  };
  (bind(values), ...);
  statement.exec();
  statement.reset();
  statement.clearBindings();
}

struct Writer {
  SQLite::Statement ingredient, name, plays, component, fact;
  explicit Writer(SQLite::Database& db)
      : ingredient(db, "INSERT INTO ingredient VALUES (?, ?, ?, ?)"),
        name(db, "INSERT INTO name VALUES (?, ?, ?, ?)"),
        plays(db, "INSERT INTO plays VALUES (?, ?, ?)"),
        component(db, "INSERT INTO component VALUES (?, ?, ?, ?, ?, ?)"),
        fact(db, "INSERT INTO fact VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)") {}

  void Names(std::size_t ix, const char* kind, const std::vector<std::string>& names) {
    for (std::size_t i = 0; i < names.size(); ++i) Insert(name, ix, std::string(kind), i, names[i]);
  }

  void Write(std::size_t ix, const Ingredient& item) {
    Insert(ingredient, ix, item.id, item.inci, item.name);
    Names(ix, "also", item.also);
    Names(ix, "cas", item.cas);
    Names(ix, "ec", item.ec);
    Names(ix, "label", item.label_names);
    for (std::size_t i = 0; i < item.functions.size(); ++i) Insert(plays, ix, i, item.functions[i]);
    for (std::size_t i = 0; i < item.composition.size(); ++i) {
      const Component& part = item.composition[i];
      const auto record =
          part.ingredient ? std::optional(static_cast<double>(*part.ingredient)) : std::nullopt;
      Insert(component, ix, i, record, part.inci, part.pct, part.source);
    }
    for (std::size_t i = 0; i < item.facts.size(); ++i) {
      const Fact& f = item.facts[i];
      const auto low = f.number ? std::optional(f.number->low) : std::nullopt;
      const auto high = f.number ? std::optional(f.number->high) : std::nullopt;
      Insert(fact, ix, i, f.property, f.key, low, high, f.text, f.context, f.function, f.at_c, f.source, f.at,
             f.note, static_cast<int>(f.standing));
    }
  }
};

void ReadNames(SQLite::Database& db, std::vector<Ingredient>& items) {
  SQLite::Statement query(db, "SELECT ingredient, kind, text FROM name ORDER BY ingredient, kind, position");
  while (query.executeStep()) {
    Ingredient& item = items.at(query.getColumn(0).getUInt());
    const std::string kind = query.getColumn(1).getString();
    std::vector<std::string>& list = kind == "also"  ? item.also
                                     : kind == "cas" ? item.cas
                                     : kind == "ec"  ? item.ec
                                                     : item.label_names;
    list.push_back(query.getColumn(2).getString());
  }
}

void ReadComposition(SQLite::Database& db, std::vector<Ingredient>& items) {
  SQLite::Statement query(
      db, "SELECT ingredient, part, inci, pct, source FROM component ORDER BY ingredient, position");
  while (query.executeStep()) {
    Component& part = items.at(query.getColumn(0).getUInt()).composition.emplace_back();
    if (!query.getColumn(1).isNull()) part.ingredient = query.getColumn(1).getUInt();
    part.inci = query.getColumn(2).getString();
    part.pct = query.getColumn(3).getDouble();
    part.source = static_cast<SourceIx>(query.getColumn(4).getUInt());
  }
}

void ReadFacts(SQLite::Database& db, std::vector<Ingredient>& items) {
  SQLite::Statement query(
      db,
      "SELECT ingredient, property, key, low, high, text, context, function, at_c, source, at, note, "
      "standing FROM fact ORDER BY ingredient, position");
  while (query.executeStep()) {
    Fact& fact = items.at(query.getColumn(0).getUInt()).facts.emplace_back();
    fact.property = static_cast<PropertyIx>(query.getColumn(1).getUInt());
    fact.key = query.getColumn(2).getString();
    if (!query.getColumn(3).isNull())
      fact.number = Range{query.getColumn(3).getDouble(), query.getColumn(4).getDouble()};
    fact.text = query.getColumn(5).getString();
    fact.context = query.getColumn(6).getString();
    fact.function = query.getColumn(7).getString();
    if (!query.getColumn(8).isNull()) fact.at_c = query.getColumn(8).getDouble();
    fact.source = static_cast<SourceIx>(query.getColumn(9).getUInt());
    fact.at = query.getColumn(10).getString();
    fact.note = query.getColumn(11).getString();
    fact.standing = static_cast<Standing>(query.getColumn(12).getUInt());
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
    Writer writer(db);
    for (std::size_t i = 0; i < parts.ingredients.size(); ++i) writer.Write(i, parts.ingredients[i]);
    transaction.commit();
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot write {}: {}", file.string(), error.what()));
  }
}

CatalogueParts ReadStore(const std::filesystem::path& file) {
  try {
    SQLite::Database db("file:" + file.string() + "?immutable=1", SQLite::OPEN_READONLY | SQLite::OPEN_URI);
    const int version = db.execAndGet("PRAGMA user_version").getInt();
    if (version != kSchemaVersion) {
      throw StoreError(fmt::format("{} has schema {}, this program reads {}: build the base again (./run)",
                                   file.string(), version, kSchemaVersion));
    }
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
    SQLite::Statement query(db, "SELECT id, inci, name FROM ingredient ORDER BY ix");
    while (query.executeStep()) {
      Ingredient& item = parts.ingredients.emplace_back();
      item.id = query.getColumn(0).getString();
      item.inci = query.getColumn(1).getString();
      item.name = query.getColumn(2).getString();
    }
    ReadNames(db, parts.ingredients);
    SQLite::Statement plays(db, "SELECT ingredient, function FROM plays ORDER BY ingredient, position");
    while (plays.executeStep()) {
      parts.ingredients.at(plays.getColumn(0).getUInt())
          .functions.push_back(static_cast<FunctionIx>(plays.getColumn(1).getUInt()));
    }
    ReadComposition(db, parts.ingredients);
    ReadFacts(db, parts.ingredients);
    return parts;
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot read {}: {}", file.string(), error.what()));
  } catch (const std::out_of_range&) {
    throw StoreError(
        fmt::format("{} is damaged: a row names an ingredient that is not there", file.string()));
  }
}

}  // namespace kb
