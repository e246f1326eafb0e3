// properties.toml, sources.toml and classes.toml: the words that all other files use.
#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <unordered_map>
#include <utility>

#include "indexer/draft.h"

namespace indexer {
namespace {

constexpr double kAny = std::numeric_limits<double>::max();

const std::vector<std::string>& ValueKinds() {
  static const std::vector<std::string> kinds = {"number", "choice", "text"};
  return kinds;
}

const std::vector<std::string>& SourceKinds() {
  static const std::vector<std::string> kinds = {"law",      "standard", "pharmacopoeia", "journal",
                                                 "handbook", "dataset",  "trade",         "teaching",
                                                 "practice", "memory"};
  return kinds;
}

const std::vector<std::string>& CountedAs() {
  static const std::vector<std::string> kinds = {"figure", "advice", "judgement"};
  return kinds;
}

// Each table of the file as an entry named by its key; complains about anything else.
void EachTable(const DefinitionFile& file, const toml::table& root, bool underscore,
               const std::function<void(const std::string& id, TableReader& reader)>& read) {
  for (const Entry& entry : InFileOrder(root)) {
    const std::string id(entry.key->str());
    const Place place = PlaceOf(*entry.key);
    if (!entry.value->is_table()) {
      file.out.Add(file.data.text, place,
                   fmt::format("'{}' is {}; expected a table: [{}]", Printable(id), KindName(*entry.value),
                               Printable(id)));
      continue;
    }
    if (!IsId(id, underscore)) {
      file.out.Add(
          file.data.text, place,
          fmt::format("'{}' is no id; expected a-z, 0-9 and '{}'", Printable(id), underscore ? '_' : '-'));
    }
    TableReader reader(*entry.value->as_table(), file.data.text, place, file.out);
    read(id, reader);
    reader.Finish();
  }
}

void CheckProperty(const kb::Property& item, bool bounded, TableReader& reader) {
  if (item.kind == kb::ValueKind::kNumber) {
    if (item.unit.empty())
      reader.Complain(reader.place(), "a number needs a unit; expected unit = \"1\" where it has none");
    if (!bounded)
      reader.Complain(reader.place(),
                      "a number needs 'low' and 'high', the least and the greatest value that can be true");
    if (item.low > item.high)
      reader.Complain(reader.PlaceOfValue("low"),
                      fmt::format("'low' is above 'high' ({} > {})", item.low, item.high));
  } else if (bounded || !item.unit.empty() || reader.Has("counts_as")) {
    reader.Complain(reader.place(), "'unit', 'low', 'high' and 'counts_as' belong to numbers");
  }
  if ((item.kind == kb::ValueKind::kChoice) != !item.choices.empty()) {
    reader.Complain(reader.PlaceOfValue("choices"), item.choices.empty()
                                                        ? "a choice needs 'choices'"
                                                        : "'choices' belong to kind = \"choice\"");
  }
}

}  // namespace

void ReadProperties(const DefinitionFile& file, const toml::table& root) {
  EachTable(file, root, true, [&](const std::string& id, TableReader& reader) {
    kb::Property item;
    item.id = id;
    const std::string kind = reader.Choice("kind", Need::kMust, ValueKinds()).text;
    item.kind = kind == "number"   ? kb::ValueKind::kNumber
                : kind == "choice" ? kb::ValueKind::kChoice
                                   : kb::ValueKind::kText;
    item.group = reader.Text("group", Need::kMust).text;
    item.unit = reader.Text("unit", Need::kMay).text;
    const auto low = reader.Number("low", Need::kMay, -kAny, kAny);
    const auto high = reader.Number("high", Need::kMay, -kAny, kAny);
    item.low = low.value_or(0);
    item.high = high.value_or(0);
    item.choices = Plain(reader.Texts("choices", Need::kMay));
    item.ordered = reader.Flag("ordered");
    item.scale = reader.Flag("scale");
    item.beside = reader.Text("beside", Need::kMay).text;
    item.keys = Plain(reader.Texts("keys", Need::kMay));
    item.classes = Plain(reader.Texts("classes", Need::kMay));
    item.help = reader.Text("help", Need::kMust).text;
    item.more = reader.Text("more", Need::kMay).text;
    item.less = reader.Text("less", Need::kMay).text;
    const std::string counts_as = reader.Choice("counts_as", Need::kMay, CountedAs()).text;
    item.counts_as = counts_as == "advice"      ? kb::CountsAs::kAdvice
                     : counts_as == "judgement" ? kb::CountsAs::kJudgement
                                                : kb::CountsAs::kFigure;
    if (!kind.empty()) CheckProperty(item, low && high, reader);
    file.draft.properties.Add(id);
    file.draft.parts.properties.push_back(std::move(item));
  });
  file.draft.properties.known = true;
}

void ReadSources(const DefinitionFile& file, const toml::table& root) {
  EachTable(file, root, false, [&](const std::string& key, TableReader& reader) {
    kb::Source item;
    item.key = key;
    item.kind = reader.Choice("kind", Need::kMust, SourceKinds()).text;
    item.title = reader.Text("title", Need::kMust).text;
    item.where = reader.Text("in", Need::kMay).text;
    item.year = static_cast<int>(reader.Number("year", Need::kMay, 1500, 2200).value_or(0));
    item.note = reader.Text("note", Need::kMay).text;
    item.standing = kb::StandingOfKind(item.kind).value_or(kb::Standing::kMemory);
    file.draft.sources.Add(key);
    file.draft.parts.sources.push_back(std::move(item));
  });
  file.draft.sources.known = true;
}

namespace {

void ReadRulesOfClasses(const DefinitionFile& file, const toml::table& classes) {
  for (const Entry& entry : InFileOrder(classes)) {
    const std::string id(entry.key->str());
    file.MustBeChoices({{id, PlaceOf(*entry.key)}}, kClass);
    if (const toml::table* values = entry.value->as_table()) {
      ReadMemberRules(file, kb::Basis::kClass, id, *values);
    } else {
      file.out.Add(file.data.text, PlaceOf(*entry.key),
                   fmt::format("'{}' is {}; expected a table: [class.{}]", Printable(id),
                               KindName(*entry.value), Printable(id)));
    }
  }
}

}  // namespace

void ReadClasses(const DefinitionFile& file, const toml::table& root) {
  TableReader top(root, file.data.text, {}, file.out);
  const toml::table* families = top.Table("families", Need::kMust);
  const toml::table* rules = top.Table("class", Need::kMay);
  top.Finish();
  if (rules != nullptr) ReadRulesOfClasses(file, *rules);
  if (families == nullptr) return;
  TableReader reader(*families, file.data.text, PlaceOf(*families), file.out);
  std::unordered_map<std::string, std::string> family_of;
  for (const Entry& entry : InFileOrder(*families)) {
    const std::string family(entry.key->str());
    const std::vector<PlacedText> members = reader.Texts(family, Need::kMust);
    file.MustBeChoices(members, kClass);
    for (const PlacedText& member : members) {
      const auto [held, fresh] = family_of.emplace(member.text, family);
      if (fresh) {
        file.draft.parts.classes.push_back({member.text, family});
      } else {
        reader.Complain(member.place,
                        fmt::format("class '{}' is in family '{}' already", member.text, held->second));
      }
    }
  }
}

}  // namespace indexer
