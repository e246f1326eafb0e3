#include "kb/store.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <memory>
#include <optional>
#include <utility>

#include "kb/pack.h"

namespace kb {
namespace {

// Bodies as kb/pack.h has them. Ids and names stand beside those of ingredients for whoever looks into the file.
constexpr const char* kTables = R"sql(
CREATE TABLE part (name TEXT PRIMARY KEY, body BLOB NOT NULL) WITHOUT ROWID;
CREATE TABLE ingredient (ix INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, inci TEXT NOT NULL, name TEXT NOT NULL,
                         body BLOB NOT NULL, facts BLOB NOT NULL);
)sql";

void Bind(SQLite::Statement& statement, int index, std::string_view bytes) {
  // No bytes at all are not NULL.
  const char* begin = bytes.empty() ? "" : bytes.data();
  statement.bind(index, static_cast<const void*>(begin), static_cast<int>(bytes.size()));
}

std::string_view Bytes(const SQLite::Column& column) {
  const auto* bytes = static_cast<const char*>(column.getBlob());
  return {bytes, static_cast<std::size_t>(column.getBytes())};
}

class Parts {
 public:
  explicit Parts(SQLite::Database& db) : insert_(db, "INSERT INTO part VALUES (?, ?)") {}

  void Write(const char* name, std::string_view body) {
    insert_.bind(1, name);
    Bind(insert_, 2, body);
    insert_.exec();
    insert_.reset();
  }

 private:
  SQLite::Statement insert_;
};

void WriteIngredients(SQLite::Database& db, const std::vector<Ingredient>& items) {
  SQLite::Statement insert(db, "INSERT INTO ingredient VALUES (?, ?, ?, ?, ?, ?)");
  for (std::size_t i = 0; i < items.size(); ++i) {
    const std::string body = Pack(items[i]);
    const std::string facts = Pack(items[i].facts);
    insert.bind(1, static_cast<std::int64_t>(i));
    insert.bindNoCopy(2, items[i].id);
    insert.bindNoCopy(3, items[i].inci);
    insert.bindNoCopy(4, items[i].name);
    insert.bindNoCopy(5, body.data(), static_cast<int>(body.size()));
    insert.bindNoCopy(6, facts.data(), static_cast<int>(facts.size()));
    insert.exec();
    insert.reset();
  }
}

[[noreturn]] void Damaged(const std::filesystem::path& file, std::string_view what) {
  throw StoreError(
      fmt::format("{} is damaged: {} cannot be read; build the base again (./run)", file.string(), what));
}

// Reads packed bytes as they are asked for, and keeps the file open.
class Reader {
 public:
  Reader(std::unique_ptr<SQLite::Database> db, std::filesystem::path file)
      : db_(std::move(db)), file_(std::move(file)) {}

  std::string Part(std::string_view name) {
    return Read(part_, "SELECT body FROM part WHERE name = ?", std::string(name), name);
  }
  std::string Record(IngredientIx ix) {
    return Read(record_, "SELECT body FROM ingredient WHERE ix = ?", static_cast<std::int64_t>(ix),
                "ingredient");
  }
  std::string Facts(IngredientIx ix) {
    return Read(facts_, "SELECT facts FROM ingredient WHERE ix = ?", static_cast<std::int64_t>(ix), "facts");
  }

 private:
  template <class Key>
  std::string Read(std::optional<SQLite::Statement>& query, const char* sql, const Key& key,
                   std::string_view what) {
    try {
      if (query) {
        query->reset();
      } else {
        query.emplace(*db_, sql);
      }
      query->bind(1, key);
      if (query->executeStep()) return std::string(Bytes(query->getColumn(0)));
    } catch (const SQLite::Exception&) {
      // Said below.
    }
    Damaged(file_, what);
  }

  std::unique_ptr<SQLite::Database> db_;
  std::filesystem::path file_;
  std::optional<SQLite::Statement> part_, record_, facts_;
};

std::filesystem::path LookupBeside(const std::filesystem::path& file) {
  return file.parent_path() / "lookup";
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
    Parts out(db);
    out.Write("properties", Pack(parts.properties));
    out.Write("sources", Pack(parts.sources));
    out.Write("functions", Pack(parts.functions));
    out.Write("classes", Pack(parts.classes));
    out.Write("claims", Pack(parts.claims));
    out.Write("limits", Pack(parts.limits));
    out.Write("conflicts", Pack(parts.conflicts));
    out.Write("formulas", Pack(parts.formulas));
    out.Write("placing", Pack(parts.placing));
    WriteIngredients(db, parts.ingredients);
    transaction.commit();
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot write {}: {}", file.string(), error.what()));
  }
  (parts.lookup ? parts.lookup : std::make_shared<const Lookup>(parts))->Write(LookupBeside(file));
}

CatalogueParts ReadStore(const std::filesystem::path& file) {
  try {
    auto store =
        std::make_unique<SQLite::Database>("file:" + file.string() + "?immutable=1",
                                           SQLite::OPEN_READONLY | SQLite::OPEN_URI | SQLite::OPEN_NOMUTEX);
    SQLite::Database& db = *store;
    const int version = db.execAndGet("PRAGMA user_version").getInt();
    if (version != kSchemaVersion) {
      throw StoreError(fmt::format("{} has schema {}, this program reads {}: build the base again (./run)",
                                   file.string(), version, kSchemaVersion));
    }
    // What is read later must be there now.
    const auto pages = static_cast<std::uint64_t>(db.execAndGet("PRAGMA page_count").getInt64());
    const auto page_size = static_cast<std::uint64_t>(db.execAndGet("PRAGMA page_size").getInt64());
    if (pages * page_size > std::filesystem::file_size(file)) Damaged(file, "its end");
    db.exec("PRAGMA mmap_size = 1073741824");
    CatalogueParts parts;
    parts.lookup = std::make_shared<const Lookup>(LookupBeside(file));
    const auto reader = std::make_shared<Reader>(std::move(store), file);
    const auto read = [&](const char* name, auto& out) {
      if (!Unpack(reader->Part(name), out)) Damaged(file, name);
    };
    read("properties", parts.properties);
    read("functions", parts.functions);
    const Lookup::Sizes& sizes = parts.lookup->sizes();
    if (parts.properties.size() != sizes.properties || parts.functions.size() != sizes.functions)
      Damaged(file, "what goes with it");
    parts.shelf = std::make_shared<const Shelf>(
        Shelf::Bounds{sizes.properties, sizes.sources, sizes.functions, parts.lookup->ingredients()},
        Shelf::Packed{[reader](std::string_view name) { return reader->Part(name); },
                      [reader](IngredientIx ix) { return reader->Record(ix); },
                      [reader](IngredientIx ix) { return reader->Facts(ix); }});
    return parts;
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot read {}: {}", file.string(), error.what()));
  }
}

}  // namespace kb
