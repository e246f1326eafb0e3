// The facts of a base's ingredients as they are packed there. Those of one ingredient are unpacked when they are first asked for
// and stay, so that a program which answers one question does not read fifty thousand.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "kb/ingredient.h"

namespace kb {

class FactShelf {
 public:
  // Numbers in facts must stay below these.
  struct Bounds {
    std::size_t properties = 0, sources = 0;
  };

  FactShelf(std::size_t ingredients, Bounds bounds);
  ~FactShelf();
  FactShelf(const FactShelf&) = delete;
  FactShelf& operator=(const FactShelf&) = delete;

  // Before anybody asks: room for so many bytes; the packed facts of the next ingredient.
  void Reserve(std::size_t bytes);
  void Add(std::string_view packed);

  // Any number of threads may ask. Throws StoreError where the bytes are damaged.
  const std::vector<Fact>& Of(IngredientIx ix) const;

 private:
  const std::vector<Fact>& Read(IngredientIx ix) const;

  Bounds bounds_;
  std::string bytes_;
  std::vector<std::size_t> ends_;
  std::unique_ptr<std::atomic<const std::vector<Fact>*>[]> read_;
};

}  // namespace kb
