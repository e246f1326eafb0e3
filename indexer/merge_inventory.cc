#include "indexer/merge_inventory.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <unordered_map>

#include "kb/text.h"

namespace indexer {
namespace {

using Kind = InventoryConflict::Kind;

std::string Joined(const std::vector<std::string>& list) {
  return fmt::format("{}", fmt::join(list, ", "));
}

bool Share(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  return std::any_of(a.begin(), a.end(),
                     [&](const std::string& item) { return std::find(b.begin(), b.end(), item) != b.end(); });
}

void AddNew(std::vector<std::string>& list, const std::vector<std::string>& more) {
  for (const std::string& item : more) {
    if (std::find(list.begin(), list.end(), item) == list.end()) list.push_back(item);
  }
}

class Merger {
 public:
  explicit Merger(const kb::Catalogue& catalogue) : catalogue_(catalogue) {
    for (std::size_t i = 0; i < catalogue.ingredients().size(); ++i) {
      const auto ix = static_cast<kb::IngredientIx>(i);
      // A solution or a blend carries the numbers of what is in it.
      if (!catalogue.at(ix).composition.empty()) continue;
      for (const std::string& number : catalogue.at(ix).cas) by_cas_.emplace(number, ix);
    }
  }

  InventoryMerge Merge(const std::vector<InventoryRow>& rows) {
    out_.rows = rows.size();
    std::vector<InventoryRow> others;
    std::unordered_map<std::string, std::size_t> place;
    for (const InventoryRow& row : rows) {
      if (const auto ours = catalogue_.FindExact(row.inci)) {
        if (MergeInto(*ours, row)) continue;
      }
      const auto [at, fresh] = place.emplace(kb::Fold(row.inci), others.size());
      if (fresh) {
        others.push_back(row);
      } else {
        MergeTwice(others[at->second], row);
      }
    }
    std::sort(others.begin(), others.end(), [](const InventoryRow& a, const InventoryRow& b) {
      return std::pair(a.inci.size(), a.inci) < std::pair(b.inci.size(), b.inci);
    });
    for (const InventoryRow& row : others) AddEntry(row);
    return std::move(out_);
  }

 private:
  // false: the name is only another name of ours, and the numbers say that it is another thing (a base and its salt).
  bool MergeInto(kb::IngredientIx ix, const InventoryRow& row) {
    const kb::Ingredient& item = catalogue_.at(ix);
    const bool label = kb::Fold(item.inci) == kb::Fold(row.inci);
    const bool quarrel = !row.cas.empty() && !item.cas.empty() && !Share(row.cas, item.cas);
    if (!label && quarrel) {
      Compare(Kind::kCas, row.inci, item, row.cas, item.cas);
      return false;
    }
    ++out_.merged;
    Compare(Kind::kCas, row.inci, item, row.cas, item.cas);
    Compare(Kind::kEc, row.inci, item, row.ec, item.ec);
    for (const auto& [theirs, ours] : {std::pair(&row.cas, &item.cas), std::pair(&row.ec, &item.ec)}) {
      // Where the two disagree the record's numbers stand alone: finding it by the other would hide the quarrel.
      if (!ours->empty() && !Share(*theirs, *ours)) continue;
      for (const std::string& number : *theirs) {
        if (std::find(ours->begin(), ours->end(), number) == ours->end())
          out_.more_numbers.emplace_back(ix, number);
      }
    }
    return true;
  }

  void Compare(Kind kind, const std::string& inci, const kb::Ingredient& item,
               const std::vector<std::string>& theirs, const std::vector<std::string>& ours) {
    if (theirs.empty() || ours.empty() || Share(theirs, ours)) return;
    out_.conflicts.push_back({kind, inci, item.id, Joined(theirs), Joined(ours)});
  }

  void MergeTwice(InventoryRow& first, const InventoryRow& row) {
    ++out_.twice;
    if (!first.cas.empty() && !row.cas.empty() && !Share(first.cas, row.cas))
      out_.conflicts.push_back({Kind::kTwice, row.inci, "", Joined(row.cas), Joined(first.cas)});
    AddNew(first.cas, row.cas);
    AddNew(first.ec, row.ec);
    AddNew(first.functions, row.functions);
  }

  void AddEntry(const InventoryRow& row) {
    kb::index::InventoryEntry entry{row.inci, Joined(row.cas), Joined(row.ec), Joined(row.functions), ""};
    for (const std::string& number : row.cas) {
      const auto same = by_cas_.find(number);
      if (same == by_cas_.end()) continue;
      const kb::Ingredient& item = catalogue_.at(same->second);
      entry.same_cas_as = item.id;
      out_.conflicts.push_back({Kind::kSameCas, row.inci, item.id, number, item.inci});
      break;
    }
    out_.entries.push_back(std::move(entry));
  }

  const kb::Catalogue& catalogue_;
  std::unordered_map<std::string, kb::IngredientIx> by_cas_;
  InventoryMerge out_;
};

}  // namespace

std::string_view ConflictName(Kind kind) {
  static constexpr std::array<std::string_view, 4> kNames = {"cas", "ec", "same-cas", "twice"};
  return kNames[static_cast<std::size_t>(kind)];
}

InventoryMerge MergeInventory(const kb::Catalogue& catalogue, const std::vector<InventoryRow>& rows) {
  return Merger(catalogue).Merge(rows);
}

std::string InventorySummary(const InventoryMerge& merge) {
  std::array<std::size_t, 4> counts{};
  for (const InventoryConflict& conflict : merge.conflicts) ++counts[static_cast<std::size_t>(conflict.kind)];
  return fmt::format(
      "inventory: {} names read, {} are records of ours, {} came twice, {} without working data; for the "
      "same name {} "
      "CAS and {} EC numbers disagree, {} other names bear a CAS number of ours, {} names came twice with "
      "different "
      "numbers",
      merge.rows, merge.merged, merge.twice, merge.entries.size(), counts[0], counts[1], counts[2],
      counts[3]);
}

std::string ConflictTable(const InventoryMerge& merge) {
  std::string out = "conflict\tinventory_name\trecord\tinventory\tours\n";
  for (const InventoryConflict& item : merge.conflicts) {
    out += fmt::format("{}\t{}\t{}\t{}\t{}\n", ConflictName(item.kind), item.inci, item.id, item.theirs,
                       item.ours);
  }
  return out;
}

}  // namespace indexer
