#include "indexer/manifest.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <array>
#include <chrono>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <system_error>

#include "indexer/claims.h"
#include "indexer/data_folder.h"
#include "kb/index_terms.h"
#include "kb/store.h"

namespace indexer {

// Outside the unnamed namespace, where the library looks for it.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Counts, ingredients, functions, claims, numeric_claims, sources,
                                   properties, classes, claim_rules, limits, conflicts)

namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr std::array<const char*, 4> kFiles = {"stillroom.db", "lookup", "index", "names"};

Json ReadJson(const fs::path& folder) {
  std::ifstream stream(folder / "manifest.json");
  return Json::parse(stream, nullptr, false);
}

}  // namespace

Counts Count(const kb::CatalogueParts& parts) {
  Counts counts;
  counts.ingredients = parts.ingredients.size();
  counts.functions = parts.functions.size();
  counts.sources = parts.sources.size();
  counts.properties = parts.properties.size();
  counts.classes = parts.classes.size();
  counts.claim_rules = parts.claims.size();
  counts.limits = parts.limits.size();
  counts.conflicts = parts.conflicts.size();
  for (const Claim& claim : ClaimsOf(parts)) {
    ++counts.claims;
    const bool number = parts.properties[claim.fact->property].kind == kb::ValueKind::kNumber;
    counts.numeric_claims += number ? 1U : 0U;
  }
  return counts;
}

namespace {

void WriteInventory(const fs::path& folder, const InventoryMerge& merge, Json& manifest) {
  std::map<std::string, std::size_t> conflicts;
  for (const InventoryConflict& conflict : merge.conflicts)
    ++conflicts[std::string(ConflictName(conflict.kind))];
  manifest["inventory"] = {
      {"names", merge.rows},    {"merged", merge.merged},
      {"twice", merge.twice},   {"without_working_data", merge.entries.size()},
      {"conflicts", conflicts}, {"source", "European Commission, inventory of cosmetic ingredients"}};
  const fs::path path = folder / "inventory_conflicts.tsv";
  std::ofstream stream(path);
  stream << ConflictTable(merge);
  stream.close();
  if (!stream) throw IndexerError(fmt::format("cannot write {}", path.string()));
}

}  // namespace

void WriteManifest(const fs::path& folder, const std::string& hash, const Counts& counts,
                   const InventoryMerge* inventory) {
  Json manifest = {{"hash", hash},
                   {"schema_version", kb::kSchemaVersion},
                   {"index_version", kb::index::kIndexVersion},
                   {"program_version", STILLROOM_VERSION},
                   {"counts", counts}};
  for (const char* name : kFiles) manifest["bytes"][name] = fs::file_size(folder / name);
  if (inventory != nullptr) WriteInventory(folder, *inventory, manifest);
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  manifest["built"] = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
  std::ofstream stream(folder / "manifest.json");
  stream << manifest.dump(2) << '\n';
  stream.close();
  if (!stream) throw IndexerError(fmt::format("cannot write {}", (folder / "manifest.json").string()));
}

bool IsComplete(const fs::path& folder, const std::string& hash) {
  try {
    const Json manifest = ReadJson(folder);
    if (manifest.is_discarded() || manifest.at("hash") != hash) return false;
    if (manifest.at("schema_version") != kb::kSchemaVersion) return false;
    if (manifest.at("index_version") != kb::index::kIndexVersion) return false;
    for (const char* name : kFiles) {
      std::error_code error;
      if (manifest.at("bytes").at(name) != fs::file_size(folder / name, error) || error) return false;
    }
    return true;
  } catch (const Json::exception&) {
    return false;
  }
}

}  // namespace indexer
