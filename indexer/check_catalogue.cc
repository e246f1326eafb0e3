// What only all files together can show.
#include <fmt/format.h>

#include <cmath>
#include <unordered_map>
#include <utility>

#include "indexer/draft.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr double kSumTolerance = 0.01;  // %; shares are written with two decimals at most

struct Holder {
  std::size_t ingredient = 0;
  Place place;
};

class CatalogueCheck {
 public:
  CatalogueCheck(Draft& draft, Diagnostics& out) : draft_(draft), out_(out) {
    for (const kb::Ingredient& item : draft.parts.ingredients) ids_.Add(item.id);
  }

  void Run() {
    std::unordered_map<std::string, Holder> names, numbers;
    for (std::size_t ix = 0; ix < draft_.places.size(); ++ix) {
      for (const PlacedText& name : draft_.places[ix].names)
        Once(kb::Fold(name.text), name, ix, "name", names);
      for (const PlacedText& number : draft_.places[ix].cas)
        Once(number.text, number, ix, "CAS number", numbers);
    }
    for (std::size_t ix = 0; ix < draft_.places.size(); ++ix) {
      Composition(ix);
      for (const PlacedText& partner : draft_.places[ix].partners)
        MustExist(*draft_.places[ix].file, partner);
    }
    for (std::size_t ix = 0; ix < draft_.places.size(); ++ix) Cycle(ix);
    for (const IngredientReference& reference : draft_.references) MustExist(*reference.file, reference.id);
  }

 private:
  // Complains at the later of two ingredients that hold the same.
  void Once(const std::string& key, const PlacedText& text, std::size_t ix, std::string_view what,
            std::unordered_map<std::string, Holder>& held) {
    if (key.empty()) return;
    const auto [first, fresh] = held.emplace(key, Holder{ix, text.place});
    if (fresh || first->second.ingredient == ix) return;
    const TextFile& other = *draft_.places[first->second.ingredient].file;
    const Place at = first->second.place;
    out_.Add(
        *draft_.places[ix].file, text.place,
        fmt::format("{} '{}' is taken: '{}' has it at {}:{}:{}", what, Printable(text.text),
                    draft_.parts.ingredients[first->second.ingredient].id, other.name(), at.line, at.column));
  }

  std::optional<std::size_t> MustExist(const TextFile& file, const PlacedText& id) {
    const auto ix = ids_.Find(id.text);
    if (!ix && !draft_.unread.Find(id.text))
      out_.Add(file, id.place,
               fmt::format("no ingredient '{}'{}", Printable(id.text), Hint(id.text, ids_.ids())));
    return ix;
  }

  void Composition(std::size_t ix) {
    const IngredientPlaces& places = draft_.places[ix];
    std::vector<kb::Component>& parts = draft_.parts.ingredients[ix].composition;
    double sum = 0;
    bool summable = !parts.empty();
    for (std::size_t i = 0; i < parts.size(); ++i) {
      sum += parts[i].pct;
      if (parts[i].pct == 0) summable = false;  // a share that was wrong, and said to be
      if (places.parts[i].text.empty()) continue;
      if (const auto part = MustExist(*places.file, places.parts[i])) {
        parts[i].ingredient = static_cast<kb::IngredientIx>(*part);
        parts[i].inci = draft_.parts.ingredients[*part].inci;
      }
    }
    // The last digits of a sum of decimal shares are the computer's, not the writer's.
    constexpr double kRounding = 1e-9;
    if (summable && std::abs(sum - 100) > kSumTolerance + kRounding) {
      out_.Add(*places.file, places.composition, fmt::format("the parts sum to {:.6g} %; expected 100", sum));
    }
  }

  // An ingredient that is a part of itself, through however many others. Said once, at the member that comes
  // first.
  void Cycle(std::size_t start) {
    std::vector<std::size_t> path = {start};
    std::vector<bool> seen(draft_.places.size(), false);
    if (!Reaches(start, start, path, seen)) return;
    std::string route;
    for (const std::size_t ix : path) {
      if (ix < start) return;
      route += draft_.parts.ingredients[ix].id + " -> ";
    }
    out_.Add(
        *draft_.places[start].file, draft_.places[start].composition,
        fmt::format("the composition runs in a circle: {}{}", route, draft_.parts.ingredients[start].id));
  }

  bool Reaches(std::size_t from, std::size_t goal, std::vector<std::size_t>& path, std::vector<bool>& seen) {
    for (const kb::Component& part : draft_.parts.ingredients[from].composition) {
      if (!part.ingredient) continue;
      if (*part.ingredient == goal) return true;
      if (seen[*part.ingredient]) continue;
      seen[*part.ingredient] = true;
      path.push_back(*part.ingredient);
      if (Reaches(*part.ingredient, goal, path, seen)) return true;
      path.pop_back();
    }
    return false;
  }

  Draft& draft_;
  Diagnostics& out_;
  Names ids_;
};

}  // namespace

void CheckCatalogue(Draft& draft, Diagnostics& out) {
  CatalogueCheck(draft, out).Run();
}

}  // namespace indexer
