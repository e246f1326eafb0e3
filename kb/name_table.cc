#include "kb/name_table.h"

#include <algorithm>
#include <bit>
#include <cstring>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

bool Ends(std::string_view text, std::string_view end) {
  return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

// FNV-1a, 64 bits (Fowler, Noll, Vo): it must not change between programs, as std::hash may.
std::uint64_t Hash(std::string_view text) {
  std::uint64_t hash = 0xCBF29CE484222325U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3U;
  return hash;
}

template <class T>
void Append(std::string& out, const std::vector<T>& list) {
  const std::uint64_t size = list.size();
  out.append(reinterpret_cast<const char*>(&size), sizeof size);
  out.append(reinterpret_cast<const char*>(list.data()), size * sizeof(T));
}

// The list that comes next, where it is.
template <class T>
bool Take(std::string_view& bytes, std::span<const T>& list) {
  std::uint64_t size = 0;
  if (bytes.size() < sizeof size) return false;
  std::memcpy(&size, bytes.data(), sizeof size);
  bytes.remove_prefix(sizeof size);
  if (size > bytes.size() / sizeof(T)) return false;
  // All before it are multiples of four bytes.
  static_assert(alignof(T) == sizeof(std::uint32_t));
  list = {reinterpret_cast<const T*>(bytes.data()), size};
  bytes.remove_prefix(size * sizeof(T));
  return true;
}

// The slot of a key, or the free one where it would be.
template <class Side>
std::size_t Slot(const Side& side, std::string_view text, std::string_view key) {
  const std::size_t mask = side.slots.size() - 1;
  std::size_t slot = Hash(key) & mask;
  while (side.slots[slot] != 0) {
    const auto& entry = side.entries[side.slots[slot] - 1];
    if (text.substr(entry.key, entry.key_size) == key) break;
    slot = (slot + 1) & mask;
  }
  return slot;
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
  Maker(std::span<const Ingredient> ingredients, const std::vector<double>& commonness) {
    // Better claims to a name go first, because the first one keeps it: ids and common names before label names
    // (which several records may share: fumed silica and silica spheres are both SILICA), the common records
    // first.
    std::vector<IngredientIx> order(ingredients.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<IngredientIx>(i);
    std::stable_sort(order.begin(), order.end(),
                     [&](IngredientIx a, IngredientIx b) { return commonness[a] > commonness[b]; });
    std::size_t names = 0;
    for (const Ingredient& item : ingredients)
      names += 3 + item.also.size() + item.label_names.size() + item.cas.size() + item.ec.size();
    for (Side* side : {&folded_, &tight_}) side->slots.assign(std::bit_ceil(2 * names + 1), 0);
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

  std::string Bytes() const {
    std::string out;
    for (const Side* side : {&folded_, &tight_}) {
      Append(out, side->entries);
      Append(out, side->slots);
    }
    return out + text_;
  }

 private:
  struct Side {
    std::vector<Entry> entries;
    std::vector<std::uint32_t> slots;
  };

  void AddName(std::string_view name, IngredientIx ix) {
    const std::string folded = Fold(name);
    if (folded.empty()) return;
    Add(folded_, folded, {}, ix);
    std::string tight = folded;
    std::erase(tight, ' ');
    Add(tight_, tight, name, ix);
  }

  void Add(Side& side, std::string_view key, std::string_view written, IngredientIx ix) {
    const std::size_t slot = Slot(side, text_, key);
    if (side.slots[slot] != 0) return;
    const auto put = [&](std::string_view text) {
      const auto begin = static_cast<std::uint32_t>(text_.size());
      text_ += text;
      return begin;
    };
    Entry entry{put(key), static_cast<std::uint32_t>(key.size()), 0, 0, ix};
    entry.written = put(written);
    entry.written_size = static_cast<std::uint32_t>(written.size());
    side.entries.push_back(entry);
    side.slots[slot] = static_cast<std::uint32_t>(side.entries.size());
  }

  Side folded_, tight_;
  std::string text_;
};

NameTable::NameTable(std::span<const Ingredient> ingredients, const std::vector<double>& commonness) {
  *this = FromBytes(Maker(ingredients, commonness).Bytes(), ingredients.size()).value();
}

std::optional<IngredientIx> NameTable::Look(const Side& side, std::string_view key) const {
  const std::uint32_t found = side.slots[Slot(side, text_, key)];
  if (found == 0) return std::nullopt;
  return side.entries[found - 1].ingredient;
}

std::optional<IngredientIx> NameTable::Find(std::string_view name) const {
  const std::string folded = Fold(name);
  if (folded.empty() || tight_.entries.empty()) return std::nullopt;
  std::string tight = folded;
  std::erase(tight, ' ');
  const auto look = [&](const Side& side, const std::string& form) {
    const auto found = Look(side, form);
    return found ? found : Look(side, Singular(form));
  };
  const auto found = look(folded_, folded);
  return found ? found : look(tight_, tight);
}

NameTable::Name NameTable::operator[](std::size_t i) const {
  const Entry& entry = tight_.entries[i];
  return {Text(entry.key, entry.key_size), Text(entry.written, entry.written_size), entry.ingredient};
}

const std::string& NameTable::Bytes() const {
  // Four lists without anything in them.
  static const std::string kEmpty(4 * sizeof(std::uint64_t), '\0');
  return bytes_ ? *bytes_ : kEmpty;
}

std::optional<NameTable> NameTable::FromBytes(std::string bytes, std::size_t ingredients) {
  NameTable out;
  out.bytes_ = std::make_shared<const std::string>(std::move(bytes));
  std::string_view rest = *out.bytes_;
  for (Side* side : {&out.folded_, &out.tight_}) {
    if (!Take(rest, side->entries) || !Take(rest, side->slots)) return std::nullopt;
  }
  out.text_ = rest;
  if (!out.IsWhole(out.folded_, ingredients) || !out.IsWhole(out.tight_, ingredients)) return std::nullopt;
  return out;
}

bool NameTable::IsWhole(const Side& side, std::size_t ingredients) const {
  const auto within = [&](std::uint32_t begin, std::uint32_t size) {
    return begin <= text_.size() && size <= text_.size() - begin;
  };
  if (side.entries.empty() && side.slots.empty()) return true;
  // A slot has to be free, or looking for what is not there would never end.
  return std::has_single_bit(side.slots.size()) && side.entries.size() < side.slots.size() &&
         std::all_of(side.slots.begin(), side.slots.end(),
                     [&](std::uint32_t slot) { return slot <= side.entries.size(); }) &&
         std::find(side.slots.begin(), side.slots.end(), 0U) != side.slots.end() &&
         std::all_of(side.entries.begin(), side.entries.end(), [&](const Entry& entry) {
           return within(entry.key, entry.key_size) && within(entry.written, entry.written_size) &&
                  entry.ingredient < ingredients;
         });
}

}  // namespace kb
