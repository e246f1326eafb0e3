// The reader of the base's Xapian index; the only one besides its writer that speaks Xapian. What it holds: kb/index_terms.h.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "kb/index_terms.h"

namespace query {

struct Hit {
  kb::index::Item item;
  double weight = 0;  // 0 where a look-up by name found it
};

struct TextFilter {
  std::vector<std::string> terms;  // all of them must hold; see kb/index_terms.h
};

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

  // Names that begin with what is typed, or hold words that do; the most common first.
  std::vector<Hit> Starting(std::string_view typed, const TextFilter& filter, std::size_t most) const;
  // Everything that passes the filter, the most common first.
  std::vector<Hit> Passing(const TextFilter& filter, std::size_t most) const;
  enum class Words { kAll, kAny };
  // Ranked text: all of the words, or any of them.
  std::vector<Hit> Text(std::string_view words, Words which, const TextFilter& filter,
                        std::size_t most) const;
  // The words with those that the index does not know put right; "" where nothing nearer is known.
  std::string Corrected(std::string_view words) const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace query
