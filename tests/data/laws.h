// Laws that all records must keep. Each test lists every record that breaks its law, so that one run shows all
// there is to correct.
#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "indexer/read_catalogue.h"

namespace laws {

// The shipped data, read once. Whether it can be read at all is what data_test.cc asks.
inline const kb::Catalogue& Data() {
  static const kb::Catalogue catalogue = [] {
    indexer::Diagnostics out;
    return kb::Catalogue(
        indexer::ReadCatalogue(indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", out), out));
  }();
  return catalogue;
}

// Who breaks a law.
class Broken {
 public:
  void Add(std::string_view who, std::string_view what) {
    lines_.push_back(fmt::format("  {}: {}", who, what));
  }

  // Fails with every line where there is one, and where nothing was looked at: an empty law holds nothing.
  testing::AssertionResult Nobody(std::size_t looked_at) const {
    if (looked_at == 0) return testing::AssertionFailure() << "nothing was looked at";
    if (lines_.empty()) return testing::AssertionSuccess();
    std::string text = fmt::format("{} of {}:\n", lines_.size(), looked_at);
    for (const std::string& line : lines_) text += line + '\n';
    return testing::AssertionFailure() << text;
  }

 private:
  std::vector<std::string> lines_;
};

inline kb::IngredientIx Count(const kb::Catalogue& catalogue) {
  return static_cast<kb::IngredientIx>(catalogue.ingredients().size());
}

inline bool IsOneOf(std::string_view value, const std::vector<std::string_view>& list) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

inline bool Holds(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

// What a substance is made of, down to records without a composition: label name, and share by mass, 0..1.
inline void Parts(const kb::Catalogue& catalogue, const kb::Ingredient& item, double share,
                  std::vector<std::pair<std::string, double>>& out) {
  if (item.composition.empty()) out.emplace_back(item.inci, share);
  for (const kb::Component& part : item.composition) {
    if (part.ingredient) {
      Parts(catalogue, catalogue.at(*part.ingredient), share * part.pct / 100, out);
    } else {
      out.emplace_back(part.inci, share * part.pct / 100);
    }
  }
}

}  // namespace laws
