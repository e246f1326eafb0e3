// The facts of a base's ingredients. Those of one ingredient are read and unpacked when they are first asked for, and stay, so that a
// program which answers one question does not read fifty thousand.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "kb/ingredient.h"

namespace kb {

class FactShelf {
 public:
  // Numbers in facts must stay below these.
  struct Bounds {
    std::size_t properties = 0, sources = 0;
  };

  // The packed facts of an ingredient; asked by one thread at a time. Throws StoreError.
  using Packed = std::function<std::string(IngredientIx)>;

  FactShelf(std::size_t ingredients, Bounds bounds, Packed packed);
  ~FactShelf();
  FactShelf(const FactShelf&) = delete;
  FactShelf& operator=(const FactShelf&) = delete;

  // Any number of threads may ask. Throws StoreError where they cannot be read.
  const std::vector<Fact>& Of(IngredientIx ix) const;

 private:
  const std::vector<Fact>& Read(IngredientIx ix) const;

  Bounds bounds_;
  std::size_t count_;
  Packed packed_;
  mutable std::mutex reading_;
  std::unique_ptr<std::atomic<const std::vector<Fact>*>[]> read_;
};

}  // namespace kb
