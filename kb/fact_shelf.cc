#include "kb/fact_shelf.h"

#include <fmt/format.h>

#include <algorithm>

#include "kb/pack.h"
#include "kb/store.h"

namespace kb {

FactShelf::FactShelf(std::size_t ingredients, Bounds bounds)
    : bounds_(bounds), read_(std::make_unique<std::atomic<const std::vector<Fact>*>[]>(ingredients)) {
  ends_.reserve(ingredients);
}

FactShelf::~FactShelf() {
  for (std::size_t i = 0; i < ends_.size(); ++i) delete read_[i].load(std::memory_order_relaxed);
}

void FactShelf::Reserve(std::size_t bytes) {
  bytes_.reserve(bytes);
}

void FactShelf::Add(std::string_view packed) {
  bytes_ += packed;
  ends_.push_back(bytes_.size());
}

const std::vector<Fact>& FactShelf::Of(IngredientIx ix) const {
  const std::vector<Fact>* facts = read_[ix].load(std::memory_order_acquire);
  return facts != nullptr ? *facts : Read(ix);
}

const std::vector<Fact>& FactShelf::Read(IngredientIx ix) const {
  const std::size_t begin = ix == 0 ? 0 : ends_[ix - 1];
  auto facts = std::make_unique<std::vector<Fact>>();
  const bool whole = Unpack(std::string_view(bytes_).substr(begin, ends_[ix] - begin), *facts) &&
                     std::all_of(facts->begin(), facts->end(), [&](const Fact& fact) {
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
