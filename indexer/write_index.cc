#include "indexer/write_index.h"

#include <fmt/format.h>
#include <xapian.h>

#include <algorithm>
#include <array>
#include <future>
#include <set>
#include <system_error>
#include <thread>
#include <unordered_map>
#include <utility>
#include <vector>

#include "indexer/data_folder.h"
#include "kb/derived.h"
#include "kb/index_terms.h"
#include "kb/name_file.h"
#include "kb/store.h"
#include "kb/text.h"

namespace indexer {
namespace {

namespace terms = kb::index;

// How much more a word counts in one place than in running text. Our judgement: a name is what people type.
constexpr Xapian::termcount kOwnName = 6;    // name, label name, id
constexpr Xapian::termcount kOtherName = 4;  // other names, labels in other languages
constexpr Xapian::termcount kMainRole = 3;   // names of the main function
constexpr Xapian::termcount kWords = 2;      // other functions, classes, feel, purposes
constexpr Xapian::termcount kProse = 1;

// Choices that are both a filter and words that people type.
struct FilterProperty {
  const char* property;
  std::string_view prefix;
  bool words;  // in the text too
};

constexpr std::array<FilterProperty, 11> kFilters = {{
    {"phase", terms::kPhase, false},
    {"form", terms::kForm, true},
    {"charge", terms::kCharge, true},
    {"origin", terms::kOrigin, false},
    {"class", terms::kClass, true},
    {"suits", terms::kSuits, false},
    {"feel", terms::kFeel, true},
    {"purpose", terms::kPurpose, true},
    {"caution", terms::kCaution, false},
    {"thickens", terms::kThickens, false},
    {"emulsion_type", terms::kEmulsion, false},
}};

// The documents in their order: functions, ingredients, entries of the inventory.
class Documents {
 public:
  Documents(const kb::Catalogue& catalogue, const InventoryMerge* inventory)
      : entries_(inventory == nullptr ? 0 : inventory->entries.size()) {
    using Type = terms::Item::Type;
    for (std::size_t i = 0; i < catalogue.functions().size(); ++i)
      ours_.push_back({Type::kFunctionItem, static_cast<std::uint32_t>(i)});
    for (const kb::IngredientIx ix : ByCommonness(catalogue)) ours_.push_back({Type::kIngredientItem, ix});
  }

  std::size_t size() const { return ours_.size() + entries_; }
  const std::vector<terms::Item>& ours() const { return ours_; }
  terms::Item operator[](std::size_t i) const {
    if (i < ours_.size()) return ours_[i];
    return {terms::Item::Type::kInventoryItem, static_cast<std::uint32_t>(i - ours_.size())};
  }

  // Where half of the work is done: one of ours has about eight times the terms of an entry.
  std::size_t Middle() const {
    constexpr std::size_t kTimes = 8;
    const std::size_t half = (kTimes * ours_.size() + entries_) / 2;
    return half < kTimes * ours_.size() ? half / kTimes : half - (kTimes - 1) * ours_.size();
  }

 private:
  static std::vector<kb::IngredientIx> ByCommonness(const kb::Catalogue& catalogue) {
    std::vector<std::pair<double, kb::IngredientIx>> order;
    for (std::size_t i = 0; i < catalogue.size(); ++i) {
      const auto ix = static_cast<kb::IngredientIx>(i);
      order.emplace_back(-catalogue.Commonness(ix), ix);
    }
    std::sort(order.begin(), order.end());
    std::vector<kb::IngredientIx> out;
    out.reserve(order.size());
    for (const auto& [common, ix] : order) out.push_back(ix);
    return out;
  }

  std::vector<terms::Item> ours_;
  std::size_t entries_;
};

class Writer {
 public:
  Writer(Xapian::WritableDatabase& db, const kb::Catalogue& catalogue, const InventoryMerge* inventory)
      : db_(db), catalogue_(catalogue), inventory_(inventory) {
    if (inventory_ != nullptr) {
      for (const auto& [ix, number] : inventory_->more_numbers) more_numbers_[ix].push_back(number);
    }
    generator_.set_stemmer(Xapian::Stem(terms::kStemmer));
    generator_.set_stemming_strategy(Xapian::TermGenerator::STEM_SOME);
  }

  void Write(terms::Item item) {
    switch (item.type) {
      case terms::Item::Type::kFunctionItem:
        return AddFunction(static_cast<kb::FunctionIx>(item.ix));
      case terms::Item::Type::kIngredientItem:
        return AddIngredient(item.ix);
      case terms::Item::Type::kInventoryItem:
        return AddEntry(inventory_->entries[item.ix]);
    }
  }

  void Finish() {
    for (const auto& [word, count] : spellings_) db_.add_spelling(word, count);
    db_.commit();
  }

  const kb::NameRecords& records() const { return records_; }

 private:
  void Start(Xapian::Document& document) {
    document_ = &document;
    generator_.set_document(document);
  }

  // Words of a text, and its spellings.
  void Text(std::string_view text, Xapian::termcount weight, std::string_view prefix = {}) {
    const std::string folded = kb::Fold(text);
    generator_.index_text_without_positions(folded, weight, std::string(prefix));
    if (!prefix.empty()) return;  // its words were counted without the prefix
    for (const std::string& word : kb::SplitTrimmed(folded, ' ')) {
      const bool letters = std::all_of(word.begin(), word.end(), [](char c) { return c >= 'a' && c <= 'z'; });
      constexpr std::size_t kShortest = 3;
      if (letters && word.size() >= kShortest && word.size() <= terms::kLongestSpelling)
        spellings_[word] += weight;
    }
  }

  void Filter(std::string_view prefix, std::string_view value) {
    if (!value.empty()) document_->add_boolean_term(terms::Term(prefix, value));
  }

  void Beginnings(std::string_view prefix, std::string_view text, std::size_t longest) {
    for (const std::size_t length : terms::kStarts) {
      if (length > std::min(longest, text.size())) break;
      document_->add_boolean_term(terms::Term(prefix, text.substr(0, length)));
    }
  }

  // Everything by which a name can be found, whole or half-typed.
  void Name(std::string_view name, Xapian::termcount weight) {
    const std::string folded = kb::Fold(name);
    if (folded.empty()) return;
    records_.AddName(folded);
    document_->add_boolean_term(terms::WholeName(name));
    Beginnings(terms::kNameStart, kb::FoldTight(name), terms::kLongestStart);
    for (const std::string& word : kb::SplitTrimmed(folded, ' '))
      Beginnings(terms::kWordStart, word, terms::kLongestWordStart);
    Text(name, weight);
    Text(name, weight, terms::kNameText);
  }

  // A CAS or EC number: nobody types the second group of its figures first.
  void Number(const std::string& number, Xapian::termcount weight) {
    const std::string tight = kb::FoldTight(number);
    if (tight.empty()) return;
    document_->add_boolean_term(terms::WholeName(number));
    Beginnings(terms::kNameStart, tight, terms::kLongestStart);
    Text(number, weight);
  }
  void Numbers(const std::vector<std::string>& numbers, Xapian::termcount weight) {
    for (const std::string& number : numbers) Number(number, weight);
  }

  void Names(const std::vector<std::string>& names, Xapian::termcount weight) {
    for (const std::string& name : names) Name(name, weight);
  }

  static void Item(Xapian::Document& document, terms::Item item) {
    document.add_value(terms::kSlotItem, terms::ItemValue(item));
  }

  void Value(std::uint32_t slot, double value) {
    document_->add_value(slot, Xapian::sortable_serialise(value));
  }

  void AddFunction(kb::FunctionIx ix) {
    const kb::Function& item = catalogue_.function(ix);
    Xapian::Document document;
    Start(document);
    Filter(terms::kUnique, "function/" + item.id);
    Filter(terms::kType, "function");
    Filter(terms::kFunction, item.id);
    Name(item.id, kOwnName);
    Name(item.name, kOwnName);
    Names(item.also, kOtherName);
    for (const std::string& name : item.inventory) Text(name, kWords);
    for (const std::string* text :
         {&item.card.what, &item.card.choose, &item.card.levels, &item.card.wrong}) {
      Text(*text, kProse);
    }
    Item(document, {terms::Item::Type::kFunctionItem, ix});
    document.set_data(fmt::format("function\t{}\t{}\t{}", item.id, item.name, item.group));
    db_.add_document(document);
    records_.End({});
  }

  void AddIngredient(kb::IngredientIx ix) {
    const kb::Ingredient& item = catalogue_.at(ix);
    Xapian::Document document;
    Start(document);
    Filter(terms::kUnique, "ingredient/" + item.id);
    Filter(terms::kType, "ingredient");
    // The id and the label name repeat the common name as a rule; counted twice they would outweigh the rest.
    std::set<std::string> own;
    for (const std::string* name : {&item.name, &item.inci, &item.id}) {
      if (own.insert(kb::FoldTight(*name)).second) Name(*name, kOwnName);
    }
    Names(item.also, kOtherName);
    Names(item.label_names, kOtherName);
    Numbers(item.cas, kOtherName);
    Numbers(item.ec, kOtherName);
    if (const auto more = more_numbers_.find(ix); more != more_numbers_.end())
      Numbers(more->second, kOtherName);
    Roles(item);
    Facts(ix);
    Derived(ix);
    Item(document, {terms::Item::Type::kIngredientItem, ix});
    document.set_data(fmt::format("ingredient\t{}\t{}\t{}", item.id, item.name, item.inci));
    db_.add_document(document);
    records_.End({});
  }

  void AddEntry(const terms::InventoryEntry& entry) {
    Xapian::Document document;
    Start(document);
    Filter(terms::kType, "inventory");
    Name(entry.inci, kWords);
    for (const std::string* numbers : {&entry.cas, &entry.ec})
      Numbers(kb::SplitTrimmed(*numbers, ','), kWords);
    Text(entry.functions, kProse);
    const std::string data = terms::InventoryData(entry);
    document.set_data(data);
    db_.add_document(document);
    records_.End(data);
  }

  void Roles(const kb::Ingredient& item) {
    for (std::size_t i = 0; i < item.functions.size(); ++i) {
      const kb::Function& function = catalogue_.function(item.functions[i]);
      Filter(terms::kFunction, function.id);
      if (i == 0) Filter(terms::kMainFunction, function.id);
      Text(function.name, i == 0 ? kMainRole : kWords);
      for (const std::string& name : function.also) Text(name, i == 0 ? kMainRole : kWords);
    }
  }

  void Facts(kb::IngredientIx ix) {
    for (const FilterProperty& filter : kFilters) {
      for (const kb::Fact& fact : catalogue_.Facts(ix, filter.property)) {
        Filter(filter.prefix, fact.text);
        if (filter.words) Text(fact.text, kWords);
      }
    }
    for (const kb::Fact& fact : catalogue_.Facts(ix, "formula")) Text(fact.text, kWords);
    for (const char* property : {"about", "tip", "look"}) {
      for (const kb::Fact& fact : catalogue_.Facts(ix, property)) Text(fact.text, kProse);
    }
  }

  void Derived(kb::IngredientIx ix) {
    const std::string_view soluble = kb::SideName(kb::SideOf(catalogue_, ix));
    Filter(terms::kSolubility, soluble);
    if (soluble == "both") {
      Filter(terms::kSolubility, "water");
      Filter(terms::kSolubility, "oil");
    }
    for (const kb::ClaimRule& rule : catalogue_.claims()) {
      if (kb::KeepsClaim(catalogue_, ix, rule).state == kb::ClaimState::kKept)
        Filter(terms::kClaimKept, rule.id);
    }
    Filter(terms::kHeat, kb::HeatTolerance(catalogue_, ix));
    if (kb::NeedsHeat(catalogue_, ix).value_or(false)) Filter(terms::kHeat, "needs-heat");
    if (const auto levels = kb::AllLevels(catalogue_, ix)) {
      Value(terms::kSlotUseLow, levels->low);
      Value(terms::kSlotUseHigh, levels->high);
    }
    if (const auto ph = kb::ProductPh(catalogue_, ix)) {
      Value(terms::kSlotPhLow, ph->low);
      Value(terms::kSlotPhHigh, ph->high);
    }
    if (const auto most = catalogue_.Number(ix, "max_c")) Value(terms::kSlotMaxC, most->low);
  }

  Xapian::WritableDatabase& db_;
  const kb::Catalogue& catalogue_;
  const InventoryMerge* inventory_;
  std::unordered_map<kb::IngredientIx, std::vector<std::string>> more_numbers_;
  Xapian::TermGenerator generator_;
  Xapian::Document* document_ = nullptr;
  std::unordered_map<std::string, Xapian::termcount> spellings_;
  kb::NameRecords records_;
};

}  // namespace

namespace {

// A part of the index while it grows. No sync: only the compacted copy is published, and that is synced by who publishes it. No lists of
// the terms of each document: nobody reads them, and they are a third of the work.
Xapian::WritableDatabase NewPart(const std::filesystem::path& folder) {
  return Xapian::WritableDatabase(
      folder.string(), Xapian::DB_CREATE_OR_OVERWRITE | Xapian::DB_NO_SYNC | Xapian::DB_NO_TERMLIST);
}

// Few documents are not worth a second thread.
constexpr std::size_t kWorthDividing = 500;

void WriteParts(const std::filesystem::path& work, const kb::Catalogue& catalogue,
                const InventoryMerge* inventory, const IndexProgress& progress, Xapian::Database& all,
                kb::NameRecords& names) {
  const Documents documents(catalogue, inventory);
  const bool divide = documents.size() >= kWorthDividing && std::thread::hardware_concurrency() > 1;
  const std::size_t middle = divide ? documents.Middle() : documents.size();
  std::filesystem::create_directory(work);
  // Xapian's objects belong to the thread that made them; only the finished parts are put together.
  const auto second = [&] {
    Xapian::WritableDatabase db = NewPart(work / "2");
    Writer writer(db, catalogue, inventory);
    for (std::size_t i = middle; i < documents.size(); ++i) writer.Write(documents[i]);
    writer.Finish();
    return writer.records();
  };
  std::future<kb::NameRecords> other;
  if (divide) other = std::async(std::launch::async, second);
  Xapian::WritableDatabase db = NewPart(work / "1");
  Writer writer(db, catalogue, inventory);
  for (std::size_t i = 0; i < middle; ++i) {
    constexpr std::size_t kSayEvery = 1000;
    if (progress && i % kSayEvery == 0) progress(i, middle);
    writer.Write(documents[i]);
  }
  std::string items;
  for (const terms::Item& item : documents.ours()) items += terms::ItemValue(item);
  db.set_metadata(terms::kVersionKey, std::to_string(terms::kIndexVersion));
  db.set_metadata(terms::kItemsKey, items);
  writer.Finish();
  all.add_database(db);
  names = writer.records();
  if (!divide) return;
  names.Append(other.get());
  all.add_database(Xapian::Database((work / "2").string()));
}

}  // namespace

void WriteIndex(const std::filesystem::path& file, const kb::Catalogue& catalogue,
                const InventoryMerge* inventory, const IndexProgress& progress) {
  const std::filesystem::path work = file.string() + ".work";
  try {
    {
      Xapian::Database all;
      kb::NameRecords names;
      WriteParts(work, catalogue, inventory, progress, all, names);
      names.Write(terms::NamesBeside(file));
      all.compact(file.string(), Xapian::DBCOMPACT_SINGLE_FILE);
    }
    std::filesystem::remove_all(work);
  } catch (const Xapian::Error& error) {
    throw IndexerError(fmt::format("cannot write {}: {}", file.string(), error.get_description()));
  } catch (const kb::StoreError& error) {
    throw IndexerError(error.what());
  } catch (const std::filesystem::filesystem_error& error) {
    throw IndexerError(fmt::format("cannot write {}: {}", file.string(), error.code().message()));
  }
}

}  // namespace indexer
