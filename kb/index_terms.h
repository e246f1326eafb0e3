// What the Xapian index holds, for its writer (indexer/write_index) and its reader alike.
//
// Documents
//   One a function, then one an ingredient, ids from 1 on: functions in the order of functions.toml,
//   ingredients the most common first (property `commonness`, then by id). With BoolWeight the order of
//   answers is therefore already the right one, and a match can stop early.
//   Data: "function" or "ingredient", tab, id, tab, name, tab, label name (a function's group).
//
// Text
//   Terms of Xapian::TermGenerator with the stemmer kStemmer, strategy STEM_SOME, without positions, over
//   kb::Fold of the text: fold the question the same way, so that accents, hyphens and case never matter.
//   Without prefix: names, functions' names, classes, feel, purposes, tips, about, the molecular formula; a
//   function's card. With kNameText: the names alone.
//
// Names
//   kWholeName + tight form of each name (id, name, also, inci, label names, CAS, EC): exact look-up.
//   kNameStart + the beginnings of each tight form: "cococapr" of "coco-caprylate". Long ones by steps (HeldStart): nearly
//   each is a term of its own, and by then few names are left to tell apart.
//   kWordStart + the same of each word of each name but CAS and EC numbers, up to kLongestWordStart: "ascor" of "L-ascorbic acid".
//   For as-you-type: one kNameStart term, or an AND of kWordStart terms, weighed with BoolWeight.
//   WordStart() and NameStart() cut what is typed to the length that is held; beyond it every name with that
//   beginning matches.
//
// Filters: prefix + a word of the data, see below. A fact with several claims gives several terms; an unknown
// one none.
//
// Spelling: words of names and texts, 3 to kLongestSpelling letters, no digits; those of names count more.
//
// Metadata: kVersionKey holds kIndexVersion in decimal; kItemsKey the ItemValues of our documents one after the other, so that a
// reader need not open them to know what they are. Documents behind them are entries of the inventory, in their order.
//
// Beside the index, as NamesBeside: the words and data of each document (kb/name_file.h), for lists of names.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/text.h"

namespace kb::index {

// To be raised with every change to what is written, so that the base gets another hash and readers can
// refuse.
inline constexpr int kIndexVersion = 6;
inline constexpr const char* kVersionKey = "stillroom-index-version";
inline constexpr const char* kItemsKey = "stillroom-items";
inline constexpr const char* kStemmer = "english";

// Lengths, in bytes, at which the beginnings of names are held; of words those up to kLongestWordStart.
inline constexpr std::array<std::size_t, 15> kStarts = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 20};
inline constexpr std::size_t kLongestStart = kStarts.back();
inline constexpr std::size_t kLongestWordStart = 12;
inline constexpr std::size_t kLongestSpelling = 24;  // letters; correcting longer words costs milliseconds
inline constexpr std::size_t kLongestTerm = 200;     // bytes after the prefix; Xapian refuses terms above 245

// --- prefixes ---

inline constexpr std::string_view kUnique = "Q";    // Qingredient/<id>, Qfunction/<id>
inline constexpr std::string_view kNameText = "S";  // text of names
inline constexpr std::string_view kWholeName = "XN";
inline constexpr std::string_view kNameStart = "XB";
inline constexpr std::string_view kWordStart = "XW";

inline constexpr std::string_view kType = "XT";  // ingredient, function, inventory
inline constexpr std::string_view kFunction =
    "XF";  // id of a function that it plays (of a function: its own)
inline constexpr std::string_view kMainFunction = "XFM";  // id of the first of them
inline constexpr std::string_view kPhase = "XP";          // choices of `phase`
inline constexpr std::string_view kSolubility =
    "XS";                                          // water, oil, both (with water and oil beside it), neither
inline constexpr std::string_view kForm = "XO";    // choices of `form`
inline constexpr std::string_view kCharge = "XC";  // choices of `charge`
inline constexpr std::string_view kOrigin = "XR";  // choices of `origin`
inline constexpr std::string_view kClass = "XL";   // choices of `class`
inline constexpr std::string_view kClaimKept = "XK";  // id of a claim that is known to be kept
inline constexpr std::string_view kHeat = "XH";  // stable, moderate, sensitive; needs-heat (see kb/derived.h)
inline constexpr std::string_view kSuits = "XU";     // choices of `suits`
inline constexpr std::string_view kFeel = "XE";      // choices of `feel`
inline constexpr std::string_view kPurpose = "XA";   // choices of `purpose`
inline constexpr std::string_view kCaution = "XD";   // choices of `caution`
inline constexpr std::string_view kThickens = "XI";  // choices of `thickens`
inline constexpr std::string_view kEmulsion = "XM";  // choices of `emulsion_type`

// --- value slots ---

// Which item: 'f' or 'i' and its index in the catalogue, for facets counted from the columns in memory. See
// ItemValue.
inline constexpr std::uint32_t kSlotItem = 0;
// sortable_serialise of a number; empty where nothing is known.
inline constexpr std::uint32_t kSlotUseLow = 1;   // least usual level over all functions, %
inline constexpr std::uint32_t kSlotUseHigh = 2;  // greatest
inline constexpr std::uint32_t kSlotPhLow = 3;    // window of the product's pH, see kb::ProductPh
inline constexpr std::uint32_t kSlotPhHigh = 4;
inline constexpr std::uint32_t kSlotMaxC = 5;  // highest temperature it should see, C

// --- terms ---

inline std::string Term(std::string_view prefix, std::string_view value) {
  std::string term(prefix);
  // Xapian's convention: a colon where value and prefix would run into each other.
  if (!value.empty() && value.front() >= 'A' && value.front() <= 'Z') term += ':';
  term += value.substr(0, kLongestTerm);
  return term;
}

inline std::string WholeName(std::string_view name) {
  return Term(kWholeName, FoldTight(name));
}
// The greatest length that is held and not beyond this one.
inline std::size_t HeldStart(std::size_t size) {
  std::size_t held = 0;
  for (const std::size_t length : kStarts) {
    if (length <= size) held = length;
  }
  return held;
}
inline std::string NameStart(std::string_view typed) {
  const std::string tight = FoldTight(typed);
  return Term(kNameStart, std::string_view(tight).substr(0, HeldStart(tight.size())));
}
// `word` is one word of kb::Fold.
inline std::string WordStart(std::string_view word) {
  return Term(kWordStart, word.substr(0, HeldStart(std::min(word.size(), kLongestWordStart))));
}

inline std::string UniqueIngredient(std::string_view id) {
  return Term(kUnique, "ingredient/" + std::string(id));
}
inline std::string UniqueFunction(std::string_view id) {
  return Term(kUnique, "function/" + std::string(id));
}

struct Item {
  enum class Type : unsigned char { kIngredientItem, kFunctionItem, kInventoryItem };
  Type type = Type::kIngredientItem;
  std::uint32_t ix = 0;  // IngredientIx, FunctionIx, or the number of an entry of the inventory
};

inline std::string ItemValue(Item item) {
  std::string value(1, "ife"[static_cast<unsigned>(item.type)]);
  for (int shift = 24; shift >= 0; shift -= 8) value += static_cast<char>((item.ix >> shift) & 0xFFU);
  return value;
}

inline std::optional<Item> ItemFromValue(std::string_view value) {
  constexpr std::string_view kTypes = "ife";
  const std::size_t type = value.size() == 5 ? kTypes.find(value[0]) : std::string_view::npos;
  if (type == std::string_view::npos) return std::nullopt;
  Item item{static_cast<Item::Type>(type), 0};
  for (const char byte : value.substr(1)) item.ix = item.ix << 8U | static_cast<unsigned char>(byte);
  return item;
}

inline std::vector<Item> ItemsFromMetadata(std::string_view values) {
  constexpr std::size_t kEach = 5;  // bytes of an ItemValue
  std::vector<Item> items;
  items.reserve(values.size() / kEach + 1);
  for (; values.size() >= kEach; values.remove_prefix(kEach)) {
    const auto item = ItemFromValue(values.substr(0, kEach));
    if (!item) break;
    items.push_back(*item);
  }
  return items;
}

inline std::filesystem::path NamesBeside(const std::filesystem::path& index) {
  return index.parent_path() / "names";
}

// A name of the EU inventory of which we hold no working data, as its document's data keeps it.
struct InventoryEntry {
  std::string inci;
  std::string cas, ec;      // as printed, several joined by ", "
  std::string functions;    // names of the EU nomenclature in lower case, joined by ", "
  std::string same_cas_as;  // id of a record of ours that holds its CAS number under another name
};

inline std::string InventoryData(const InventoryEntry& entry) {
  std::string out = "inventory";
  for (const std::string* cell : {&entry.inci, &entry.cas, &entry.ec, &entry.functions, &entry.same_cas_as})
    out += "\t" + *cell;
  return out;
}

inline InventoryEntry InventoryFromData(std::string_view data) {
  const auto next = [&] {
    const std::size_t tab = std::min(data.find('\t'), data.size());
    const std::string_view cell = data.substr(0, tab);
    data.remove_prefix(std::min(tab + 1, data.size()));
    return cell;
  };
  next();
  InventoryEntry entry;
  for (std::string* cell : {&entry.inci, &entry.cas, &entry.ec, &entry.functions, &entry.same_cas_as})
    *cell = next();
  return entry;
}

}  // namespace kb::index
