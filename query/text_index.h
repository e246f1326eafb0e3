// The reader of the base's Xapian index; the only one besides its writer that speaks Xapian. What it holds: kb/index_terms.h.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/index_terms.h"

namespace query {

struct Hit {
  kb::index::Item item;
  double weight = 0;           // 0 where nothing was weighed
  std::uint32_t document = 0;  // its number in the index
};

// What must hold and what must not, as terms of the index.
struct TextFilter {
  std::vector<std::vector<std::string>> groups;  // of each group one
  std::vector<std::string> none;
  bool empty() const { return groups.empty() && none.empty(); }
};

using kb::index::InventoryEntry;

// One a thread: Xapian's objects are not to be shared.
class TextIndex {
 public:
  // Throws kb::StoreError where the index cannot be opened or has another version.
  explicit TextIndex(const std::filesystem::path& path);
  ~TextIndex();
  TextIndex(TextIndex&&) noexcept;
  TextIndex& operator=(TextIndex&&) noexcept;
  TextIndex(const TextIndex&) = delete;
  TextIndex& operator=(const TextIndex&) = delete;

  // Items that bear exactly this name (a label name may be borne by several), the most common first.
  std::vector<Hit> Named(std::string_view name, std::size_t most) const;
  // Names that begin with what is typed, then those that hold words which do; the most common first.
  std::vector<Hit> Starting(std::string_view typed, std::size_t most) const;
  // The same with the two kinds mixed, and within a filter.
  std::vector<Hit> StartingAnyhow(std::string_view typed, const TextFilter& filter, std::size_t most) const;
  // Everything that passes the filter, the most common first.
  std::vector<Hit> Passing(const TextFilter& filter, std::size_t most) const;
  // Ranked text. `words` are folded words; the last may be the beginning of one. With `all` each must be there.
  struct TextHits {
    std::vector<Hit> hits;
    std::size_t total = 0;  // an estimate beyond kMostCounted
  };
  TextHits Text(const std::vector<std::string>& words, bool all, const TextFilter& filter,
                std::size_t most) const;
  // Those that hold all words, not ranked but the most common first: for who only wants to know how many and of what kind.
  TextHits Holding(const std::vector<std::string>& words, const TextFilter& filter, std::size_t most) const;

  // Is this word, or one that begins so, in any text or name?
  bool Knows(const std::string& word) const;
  // The nearest word that the index knows; "" where none is near.
  std::string NearestWord(const std::string& word) const;

  InventoryEntry Inventory(std::uint32_t document) const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace query
