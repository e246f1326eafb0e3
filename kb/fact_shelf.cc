#include "kb/fact_shelf.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "kb/pack.h"
#include "kb/store.h"

namespace kb {

FactShelf::FactShelf(std::size_t ingredients, Bounds bounds, Packed packed)
    : bounds_(bounds),
      count_(ingredients),
      packed_(std::move(packed)),
      read_(std::make_unique<std::atomic<const std::vector<Fact>*>[]>(ingredients)) {}

FactShelf::~FactShelf() {
  for (std::size_t i = 0; i < count_; ++i) delete read_[i].load(std::memory_order_relaxed);
}

const std::vector<Fact>& FactShelf::Of(IngredientIx ix) const {
  const std::vector<Fact>* facts = read_[ix].load(std::memory_order_acquire);
  return facts != nullptr ? *facts : Read(ix);
}

const std::vector<Fact>& FactShelf::Read(IngredientIx ix) const {
  std::string bytes;
  {
    const std::lock_guard lock(reading_);
    bytes = packed_(ix);
  }
  auto facts = std::make_unique<std::vector<Fact>>();
  const bool whole =
      Unpack(bytes, *facts) && std::all_of(facts->begin(), facts->end(), [&](const Fact& fact) {
        return fact.property < bounds_.properties && fact.source < bounds_.sources;
      });
  if (!whole) {
    throw StoreError(fmt::format(
        "the base is damaged: the facts of ingredient {} cannot be read; build the base again (./run)", ix));
  }
  // Two threads may have read them at once: the first one's stay.
  const std::vector<Fact>* there = nullptr;
  if (read_[ix].compare_exchange_strong(there, facts.get(), std::memory_order_acq_rel))
    there = facts.release();
  return *there;
}

}  // namespace kb
