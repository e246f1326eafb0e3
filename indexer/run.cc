#include "indexer/run.h"

#include <fmt/format.h>

#include <chrono>
#include <optional>
#include <ostream>
#include <string>
#include <system_error>
#include <utility>

#include "indexer/hash_input.h"
#include "indexer/manifest.h"
#include "indexer/merge_inventory.h"
#include "indexer/publish.h"
#include "indexer/read_catalogue.h"
#include "indexer/read_formulas.h"
#include "indexer/read_inventory.h"
#include "indexer/report.h"
#include "indexer/write_index.h"
#include "kb/store.h"

namespace indexer {
namespace {

using Clock = std::chrono::steady_clock;

// One line that is written over and in the end wiped away.
class Progress {
 public:
  Progress(std::ostream& stream, bool shown) : stream_(stream), shown_(shown) {}
  ~Progress() { Say(""); }
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  void Say(std::string_view step) {
    if (shown_) stream_ << "\r\033[K" << step << std::flush;
  }

 private:
  std::ostream& stream_;
  bool shown_;
};

// 9731 as "9,731"
std::string Grouped(std::size_t number) {
  std::string digits = std::to_string(number);
  constexpr std::size_t kGroup = 3;
  for (std::size_t at = digits.size(); at > kGroup;) {
    at -= kGroup;
    digits.insert(at, ",");
  }
  return digits;
}

std::string Summary(const Counts& counts) {
  return fmt::format("{} ingredients, {} functions, {} claims", Grouped(counts.ingredients),
                     Grouped(counts.functions), Grouped(counts.claims));
}

}  // namespace

std::filesystem::path DefaultData() {
  std::error_code error;
  if (std::filesystem::exists("data/properties.toml", error)) return "data";
  return STILLROOM_DEFAULT_DATA;
}

int Run(const Options& options, std::ostream& out, std::ostream& complaints, bool show_progress) {
  const Clock::time_point start = Clock::now();
  Progress progress(complaints, show_progress);
  Diagnostics diagnostics;
  progress.Say("reading the data");
  const DataFolder folder = ReadDataFolder(options.data, diagnostics);
  kb::CatalogueParts parts = ReadCatalogue(folder, diagnostics);
  if (!diagnostics.empty()) {
    progress.Say("");
    complaints << diagnostics.Render() << "; nothing was built\n";
    return 2;
  }
  const kb::Catalogue catalogue(std::move(parts));
  CheckFormulas(folder, catalogue, diagnostics);
  if (!diagnostics.empty()) {
    progress.Say("");
    complaints << diagnostics.Render() << "; nothing was built\n";
    return 2;
  }
  const Counts counts = Count(catalogue.parts());
  if (options.report) {
    const Report report = MakeReport(catalogue);
    out << (options.json ? ReportJson(report) + "\n" : ReportText(report));
    return 0;
  }
  if (options.check) {
    out << fmt::format("stillroom-index: {}; nothing to complain about\n", Summary(counts));
    return 0;
  }
  std::optional<InventoryMerge> inventory;
  std::string inventory_bytes;
  if (!options.inventory.empty()) {
    progress.Say("reading the inventory");
    InventoryFile file = ReadInventory(options.inventory);
    inventory = MergeInventory(catalogue, file.rows);
    inventory_bytes = std::move(file.bytes);
    progress.Say("");
    for (const std::string& complaint : file.complaints)
      complaints << fmt::format("{}: {}\n", options.inventory.string(), complaint);
    complaints << InventorySummary(*inventory) << '\n';
  }
  const InventoryMerge* merged = inventory ? &*inventory : nullptr;
  const std::string hash = HashInput(folder, inventory_bytes);
  const Published base = Publish(options.base, hash, [&](const std::filesystem::path& building) {
    progress.Say("writing the store");
    kb::WriteStore(building / "stillroom.db", catalogue.parts());
    StopPoint("store");
    progress.Say("writing the index");
    WriteIndex(building / "index", catalogue, merged, [&](std::size_t done, std::size_t all) {
      progress.Say(fmt::format("writing the index: {} of {} names", Grouped(done), Grouped(all)));
    });
    progress.Say("compacting the index");
    StopPoint("index");
    WriteManifest(building, hash, counts, merged);
    StopPoint("manifest");
    progress.Say("putting it on the disk");
  });
  const double seconds = std::chrono::duration<double>(Clock::now() - start).count();
  progress.Say("");
  out << fmt::format("stillroom-index: {}; base {} {} in {:.1f} s\n", Summary(counts), hash,
                     base.built ? "built" : "was there already, checked", seconds);
  return 0;
}

}  // namespace indexer
