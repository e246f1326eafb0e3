#include "kb/chemistry/composition.h"

#include <cmath>
#include <map>

namespace kb::chemistry {
namespace {

class Roller {
 public:
  explicit Roller(std::span<const std::vector<Portion>> recipes)
      : recipes_(recipes), open_(recipes.size(), false) {}

  tl::expected<void, CompositionError> Add(std::size_t item, double mass) {
    if (item >= recipes_.size()) return tl::unexpected(CompositionError{"there is no such item", item});
    if (!std::isfinite(mass) || mass < 0)
      return tl::unexpected(CompositionError{"an amount is negative or no number", item});
    const std::vector<Portion>& parts = recipes_[item];
    if (parts.empty()) {
      masses_[item] += mass;
      return {};
    }
    if (open_[item]) return tl::unexpected(CompositionError{"it contains itself", item});
    double sum = 0;
    for (const Portion& part : parts) {
      if (!std::isfinite(part.amount) || part.amount < 0) {
        return tl::unexpected(CompositionError{"a share is negative or no number", item});
      }
      sum += part.amount;
    }
    if (sum <= 0) return tl::unexpected(CompositionError{"its shares add up to nothing", item});
    open_[item] = true;
    for (const Portion& part : parts) {
      if (auto done = Add(part.item, mass * (part.amount / sum)); !done) return done;
    }
    open_[item] = false;
    return {};
  }

  std::vector<Portion> Take() const {
    std::vector<Portion> out;
    out.reserve(masses_.size());
    for (const auto& [item, mass] : masses_) out.push_back({item, mass});
    return out;
  }

 private:
  std::span<const std::vector<Portion>> recipes_;
  std::vector<bool> open_;  // blends on the way down, to see one that contains itself
  std::map<std::size_t, double> masses_;
};

}  // namespace

tl::expected<std::vector<Portion>, CompositionError> RollUp(std::span<const Portion> lines,
                                                            std::span<const std::vector<Portion>> recipes) {
  Roller roller(recipes);
  for (const Portion& line : lines) {
    if (auto done = roller.Add(line.item, line.amount); !done) return tl::unexpected(done.error());
  }
  return roller.Take();
}

}  // namespace kb::chemistry
