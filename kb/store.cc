#include "kb/store.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <memory>
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

// What stands under a name; read by `read`, which says whether it is what it should be.
template <class Read>
void ReadPart(SQLite::Database& db, const std::filesystem::path& file, const char* name, const Read& read) {
  SQLite::Statement query(db, "SELECT body FROM part WHERE name = ?");
  query.bind(1, name);
  if (!query.executeStep() || !read(Bytes(query.getColumn(0)))) Damaged(file, name);
}

bool Numbers(std::string_view bytes, std::vector<double>& out) {
  if (bytes.size() % sizeof(double) != 0) return false;
  out.resize(bytes.size() / sizeof(double));
  if (!out.empty()) std::memcpy(out.data(), bytes.data(), bytes.size());
  return true;
}

// Do the numbers in it point at what is there?
bool IsWhole(const Ingredient& item, const CatalogueParts& parts, std::size_t ingredients) {
  return std::all_of(item.functions.begin(), item.functions.end(),
                     [&](FunctionIx ix) { return ix < parts.functions.size(); }) &&
         std::all_of(item.composition.begin(), item.composition.end(), [&](const Component& part) {
           return part.ingredient.value_or(0) < ingredients && part.source < parts.sources.size();
         });
}

// Reads the packed facts of one ingredient after another, as they are asked for.
class FactReader {
 public:
  FactReader(std::shared_ptr<SQLite::Database> db, std::filesystem::path file)
      : db_(std::move(db)),
        file_(std::move(file)),
        query_(*db_, "SELECT facts FROM ingredient WHERE ix = ?") {}

  std::string Read(IngredientIx ix) {
    try {
      query_.reset();
      query_.bind(1, static_cast<std::int64_t>(ix));
      if (query_.executeStep()) return std::string(Bytes(query_.getColumn(0)));
    } catch (const SQLite::Exception&) {
      // Said below.
    }
    Damaged(file_, fmt::format("facts of ingredient {}", ix));
  }

 private:
  std::shared_ptr<SQLite::Database> db_;
  std::filesystem::path file_;
  SQLite::Statement query_;
};

void ReadIngredients(const std::shared_ptr<SQLite::Database>& store, const std::filesystem::path& file,
                     CatalogueParts& parts) {
  SQLite::Database& db = *store;
  const auto count = static_cast<std::size_t>(db.execAndGet("SELECT COUNT(*) FROM ingredient").getInt64());
  parts.ingredients.reserve(count);
  SQLite::Statement query(db, "SELECT body FROM ingredient ORDER BY ix");
  while (query.executeStep() && parts.ingredients.size() < count) {
    Ingredient& item = parts.ingredients.emplace_back();
    if (!Unpack(Bytes(query.getColumn(0)), item) || !IsWhole(item, parts, count))
      Damaged(file, fmt::format("ingredient {}", parts.ingredients.size() - 1));
  }
  auto reader = std::make_shared<FactReader>(store, file);
  parts.shelf =
      std::make_shared<FactShelf>(count, FactShelf::Bounds{parts.properties.size(), parts.sources.size()},
                                  [reader = std::move(reader)](IngredientIx ix) { return reader->Read(ix); });
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
    out.Write("phrases", Pack(parts.phrases));
    out.Write("placing", Pack(parts.placing));
    out.Write("names", parts.names.Bytes());
    out.Write("commonness", {reinterpret_cast<const char*>(parts.commonness.data()),
                             parts.commonness.size() * sizeof(double)});
    WriteIngredients(db, parts.ingredients);
    transaction.commit();
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot write {}: {}", file.string(), error.what()));
  }
}

CatalogueParts ReadStore(const std::filesystem::path& file) {
  try {
    const auto store =
        std::make_shared<SQLite::Database>("file:" + file.string() + "?immutable=1",
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
    // One read transaction: without it every statement takes and drops the lock by itself.
    SQLite::Transaction transaction(db);
    CatalogueParts parts;
    const auto read = [&](const char* name, auto& out) {
      ReadPart(db, file, name, [&](std::string_view bytes) { return Unpack(bytes, out); });
    };
    read("properties", parts.properties);
    read("sources", parts.sources);
    read("functions", parts.functions);
    read("classes", parts.classes);
    read("claims", parts.claims);
    read("limits", parts.limits);
    read("conflicts", parts.conflicts);
    read("formulas", parts.formulas);
    read("phrases", parts.phrases);
    read("placing", parts.placing);
    ReadIngredients(store, file, parts);
    ReadPart(db, file, "commonness",
             [&](std::string_view bytes) { return Numbers(bytes, parts.commonness); });
    ReadPart(db, file, "names", [&](std::string_view bytes) {
      auto names = NameTable::FromBytes(std::string(bytes), parts.ingredients.size());
      if (names) parts.names = std::move(*names);
      return names.has_value();
    });
    return parts;
  } catch (const SQLite::Exception& error) {
    throw StoreError(fmt::format("cannot read {}: {}", file.string(), error.what()));
  }
}

}  // namespace kb
