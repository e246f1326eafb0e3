#include "kb/name_table.h"

#include <algorithm>
#include <vector>

#include "kb/flat_list.h"
#include "kb/text.h"

namespace kb {
namespace {

bool Ends(std::string_view text, std::string_view end) {
  return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

}  // namespace

std::string Singular(std::string_view folded) {
  std::string word(folded);
  if (Ends(word, "ies") && word.size() > 5) {
    word.replace(word.size() - 3, 3, "y");
  } else if (Ends(word, "xes") || Ends(word, "sses") || Ends(word, "shes") || Ends(word, "ches")) {
    word.resize(word.size() - 2);
  } else if (Ends(word, "s") && !Ends(word, "ss") && !Ends(word, "us") && !Ends(word, "is")) {
    word.pop_back();
  }
  return word;
}

// The table while it grows.
class NameTable::Maker {
 public:
  Maker(std::span<const Ingredient> ingredients, std::span<const double> commonness) {
    // Better claims to a name go first, because the first one keeps it: ids and common names before label names
    // (which several records may share: fumed silica and silica spheres are both SILICA), the common records
    // first.
    std::vector<IngredientIx> order(ingredients.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<IngredientIx>(i);
    std::stable_sort(order.begin(), order.end(),
                     [&](IngredientIx a, IngredientIx b) { return commonness[a] > commonness[b]; });
    for (const IngredientIx ix : order) AddName(ingredients[ix].name, ix);
    for (const IngredientIx ix : order) AddName(ingredients[ix].id, ix);
    for (const IngredientIx ix : order) {
      if (ingredients[ix].composition.empty()) AddName(ingredients[ix].inci, ix);
    }
    for (const IngredientIx ix : order) {
      const Ingredient& item = ingredients[ix];
      AddName(item.inci, ix);
      for (const auto* list : {&item.also, &item.label_names, &item.cas, &item.ec}) {
        for (const std::string& name : *list) AddName(name, ix);
      }
    }
  }

  void AppendTo(std::string& out) const {
    folded_.AppendTo(out);
    AppendList(out, std::span(folded_lead_));
    tight_.AppendTo(out);
    AppendList(out, std::span(tight_lead_));
    AppendList(out, std::span(written_ends_));
    AppendList(out, std::span(written_));
  }

 private:
  void AddName(std::string_view name, IngredientIx ix) {
    std::string form = Fold(name);
    if (form.empty()) return;
    if (folded_.Add(form) == folded_lead_.size()) folded_lead_.push_back(ix);
    std::erase(form, ' ');
    if (tight_.Add(form) != tight_lead_.size()) return;
    tight_lead_.push_back(ix);
    written_ += name;
    written_ends_.push_back(static_cast<std::uint32_t>(written_.size()));
  }

  FlatWords::Maker folded_, tight_;
  std::vector<IngredientIx> folded_lead_, tight_lead_;
  std::vector<std::uint32_t> written_ends_;
  std::string written_;
};

void NameTable::Append(std::span<const Ingredient> ingredients, std::span<const double> commonness,
                       std::string& out) {
  Maker(ingredients, commonness).AppendTo(out);
}

bool NameTable::Take(std::string_view& bytes, std::size_t ingredients, NameTable& out) {
  out.ingredients_ = ingredients;
  return FlatWords::Take(bytes, out.folded_) && TakeList(bytes, out.folded_lead_) &&
         FlatWords::Take(bytes, out.tight_) && TakeList(bytes, out.tight_lead_) &&
         TakeList(bytes, out.written_ends_) && TakeList(bytes, out.written_);
}

IngredientIx NameTable::Lead(std::span<const IngredientIx> leads, std::size_t name) const {
  const IngredientIx ix = CheckedAt(leads, name);
  if (ix >= ingredients_) ThrowDamaged();
  return ix;
}

std::optional<IngredientIx> NameTable::Look(const FlatWords& words, std::span<const IngredientIx> leads,
                                            std::string_view name) const {
  const auto found = words.Find(name);
  return found ? std::optional(Lead(leads, *found)) : std::nullopt;
}

std::optional<IngredientIx> NameTable::Find(std::string_view name) const {
  const std::string folded = Fold(name);
  if (folded.empty()) return std::nullopt;
  std::string tight = folded;
  std::erase(tight, ' ');
  const auto look = [&](const FlatWords& words, std::span<const IngredientIx> leads,
                        const std::string& form) {
    const auto found = Look(words, leads, form);
    return found ? found : Look(words, leads, Singular(form));
  };
  const auto found = look(folded_, folded_lead_, folded);
  return found ? found : look(tight_, tight_lead_, tight);
}

NameTable::Name NameTable::operator[](std::size_t i) const {
  const std::size_t begin = i == 0 ? 0 : CheckedAt(written_ends_, i - 1);
  return {tight_[i], CheckedText(written_, begin, CheckedAt(written_ends_, i)), Lead(tight_lead_, i)};
}

}  // namespace kb
