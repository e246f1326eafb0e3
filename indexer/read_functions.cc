// functions.toml: what ingredients are for, what that asks of them, and how members are compared.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <unordered_map>
#include <utility>

#include "indexer/draft.h"
#include "kb/text.h"

namespace indexer {
namespace {

// Laws by which the level of a stand-in follows; each is code of the swap, so a new one begins there.
const std::vector<std::string>& LevelLaws() {
  static const std::vector<std::string> laws = {"same-mass", "active-matter", "active-equivalent",
                                                "moles",     "equivalents",   "structure",
                                                "ratio",     "usage-position"};
  return laws;
}

const std::vector<std::string>& Swaps() {
  static const std::vector<std::string> swaps = {"yes", "rework", "never"};
  return swaps;
}

// What may be compared besides properties: worked out from several facts at once, see the head of
// functions.toml.
const std::vector<std::string>& Derived() {
  static const std::vector<std::string> derived = {"side",     "fatty_acids", "components", "hansen",
                                                   "spectrum", "uptake",      "ph_window",  "pka_first",
                                                   "pka_last", "pka_nearest"};
  return derived;
}

class FunctionReader {
 public:
  FunctionReader(const DefinitionFile& file, TableReader& reader) : file_(file), reader_(reader) {}

  kb::Function Read(const std::string& id) {
    kb::Function item;
    item.id = id;
    item.name = reader_.Text("name", Need::kMust).text;
    item.group = reader_.Text("group", Need::kMust).text;
    item.also = Plain(reader_.Texts("also", Need::kMay));
    item.inventory = Plain(reader_.Texts("inventory", Need::kMay));
    item.required = Properties("required");
    item.wanted = Properties("wanted");
    item.compare = Compare();
    item.requires_ = Requires();
    item.same = Compared("same");
    item.near = Plain(reader_.Texts("near", Need::kMay));  // checked when all functions are read
    const std::string law = reader_.Choice("level", Need::kMay, LevelLaws()).text;
    if (!law.empty()) item.level_law = law;
    const std::string swap = reader_.Choice("swap", Need::kMay, Swaps()).text;
    if (!swap.empty()) item.swap = swap;
    item.swap_note = reader_.Text("swap_note", Need::kMay).text;
    if (item.swap != "yes" && item.swap_note.empty()) {
      reader_.Complain(reader_.PlaceOfValue("swap"),
                       fmt::format("swap = \"{}\" without 'swap_note', which says why", item.swap));
    }
    const std::vector<PlacedText> forms = reader_.Texts("forms", Need::kMay);
    file_.MustBeChoices(forms, kForms);
    item.forms = Plain(forms);
    item.supply = reader_.Number("supply", Need::kMay, 0, 1).value_or(1);
    if (const toml::table* card = reader_.Table("card", Need::kMay))
      item.card = ReadCard(file_, *card, PlaceOf(*card));
    return item;
  }

 private:
  std::vector<std::string> Properties(std::string_view key) {
    const std::vector<PlacedText> words = reader_.Texts(key, Need::kMay);
    file_.MustBe(words, file_.draft.properties, "property");
    return Plain(words);
  }

  // Properties, and what is worked out from several.
  void MustBeComparable(const PlacedText& word) {
    const Names& properties = file_.draft.properties;
    if (word.text.empty() || !properties.known || properties.Find(word.text)) return;
    const std::vector<std::string>& derived = Derived();
    if (std::find(derived.begin(), derived.end(), word.text) != derived.end()) return;
    std::vector<std::string> known = properties.ids();
    known.insert(known.end(), derived.begin(), derived.end());
    reader_.Complain(word.place, fmt::format("unknown property '{}'{}", word.text, Hint(word.text, known)));
  }

  std::vector<std::string> Compared(std::string_view key) {
    const std::vector<PlacedText> words = reader_.Texts(key, Need::kMay);
    for (const PlacedText& word : words) MustBeComparable(word);
    return Plain(words);
  }

  std::vector<kb::Comparison> Compare() {
    constexpr double kMostWeight = 100;
    std::vector<kb::Comparison> out;
    for (const toml::table* table : reader_.Tables("compare", Need::kMay)) {
      TableReader entry(*table, file_.data.text, PlaceOf(*table), file_.out);
      kb::Comparison item;
      const PlacedText property = entry.Text("property", Need::kMust);
      MustBeComparable(property);
      item.property = property.text;
      item.weight = entry.Number("weight", Need::kMust, 0, kMostWeight).value_or(1);
      item.scale = entry.Number("scale", Need::kMay, 0, std::numeric_limits<double>::max()).value_or(0);
      item.ratio = entry.Flag("ratio");
      item.better = entry.Text("better", Need::kMay).text;
      entry.Finish();
      out.push_back(std::move(item));
    }
    return out;
  }

  std::vector<kb::Requirement> Requires() {
    std::vector<kb::Requirement> out;
    for (const toml::table* table : reader_.Tables("requires", Need::kMay)) {
      TableReader entry(*table, file_.data.text, PlaceOf(*table), file_.out);
      kb::Requirement item;
      const PlacedText property = entry.Text("property", Need::kMust);
      if (!property.text.empty()) MustBeComparable(property);
      item.property = property.text;
      const std::vector<PlacedText> any = entry.Texts("any", Need::kMay);
      const std::vector<PlacedText> none = entry.Texts("none", Need::kMay);
      const kb::Property* known = file_.draft.FindProperty(property.text);
      if (known != nullptr && known->kind == kb::ValueKind::kChoice) {
        file_.MustBeChoices(any, property.text);
        file_.MustBeChoices(none, property.text);
      }
      if (any.empty() && none.empty())
        entry.Complain(entry.place(), "asks for nothing; expected 'any' or 'none'");
      item.any = Plain(any);
      item.none = Plain(none);
      const std::vector<PlacedText> in = entry.Texts("in", Need::kMay);
      file_.MustBeChoices(in, kForms);
      item.in = Plain(in);
      item.because = entry.Text("because", Need::kMust).text;
      entry.Finish();
      out.push_back(std::move(item));
    }
    return out;
  }

  const DefinitionFile& file_;
  TableReader& reader_;
};

// The functions that 'near' names, and no name of two functions: a look-up by name finds only one.
void CheckFunctions(const DefinitionFile& file, const toml::table& root) {
  std::unordered_map<std::string, std::string> held;
  for (const Entry& entry : InFileOrder(root)) {
    const toml::table* table = entry.value->as_table();
    if (table == nullptr) continue;
    const std::string id(entry.key->str());
    Diagnostics said_before;  // kinds of these values were complained about by the first reading
    TableReader reader(*table, file.data.text, PlaceOf(*entry.key), said_before);
    file.MustBe(reader.Texts("near", Need::kMay), file.draft.functions, "function");
    std::vector<PlacedText> names = reader.Texts("also", Need::kMay);
    names.push_back(reader.Text("name", Need::kMay));
    names.push_back({id, PlaceOf(*entry.key)});
    for (const PlacedText& name : names) {
      const std::string folded = kb::Fold(name.text);
      if (folded.empty()) continue;
      const auto [other, fresh] = held.emplace(folded, id);
      if (!fresh && other->second != id) {
        file.out.Add(file.data.text, name.place,
                     fmt::format("'{}' is a name of function '{}' already", name.text, other->second));
      }
    }
  }
}

}  // namespace

void ReadFunctions(const DefinitionFile& file, const toml::table& root) {
  for (const Entry& entry : InFileOrder(root)) {
    const std::string id(entry.key->str());
    const Place place = PlaceOf(*entry.key);
    const toml::table* table = entry.value->as_table();
    if (table == nullptr || !IsId(id, false)) {
      file.out.Add(file.data.text, place,
                   fmt::format("'{}' is no function; expected a table named by an id of a-z, 0-9 and '-'",
                               Printable(id)));
      if (table == nullptr) continue;
    }
    TableReader reader(*table, file.data.text, place, file.out);
    kb::Function item = FunctionReader(file, reader).Read(id);
    if (const toml::table* values = reader.Table("members", Need::kMay))
      ReadMemberRules(file, kb::Basis::kFunction, id, *values);
    reader.Finish();
    file.draft.functions.Add(id);
    file.draft.parts.functions.push_back(std::move(item));
  }
  file.draft.functions.known = true;
  CheckFunctions(file, root);
}

}  // namespace indexer
