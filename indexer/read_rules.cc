// claims.toml, limits.toml and conflicts.toml: what follows from what an ingredient is.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "indexer/draft.h"
#include "kb/product.h"
#include "kb/text.h"

namespace indexer {
namespace {

const std::vector<std::string>& Severities() {
  static const std::vector<std::string> severities = {"stop", "warn", "note"};
  return severities;
}

std::vector<std::string> Choices(const DefinitionFile& file, TableReader& reader, std::string_view key,
                                 std::string_view property) {
  const std::vector<PlacedText> words = reader.Texts(key, Need::kMay);
  file.MustBeChoices(words, property);
  return Plain(words);
}

std::vector<std::string> FunctionIds(const DefinitionFile& file, TableReader& reader, std::string_view key) {
  const std::vector<PlacedText> words = reader.Texts(key, Need::kMay);
  file.MustBe(words, file.draft.functions, "function");
  return Plain(words);
}

// Uses are free words (hair, oral ...), but a slip in these two would quietly switch a limit off.
void MustNotBeASlip(TableReader& reader, const std::vector<PlacedText>& uses) {
  static const std::vector<std::string> kUses = {std::string(kb::UseName(kb::Use::kLeaveOn)),
                                                 std::string(kb::UseName(kb::Use::kRinseOff))};
  for (const PlacedText& use : uses) {
    const std::vector<std::string> near = kb::Nearest(use.text, kUses, 1);
    if (!near.empty() && near.front() != use.text) {
      reader.Complain(use.place, fmt::format("use '{}'; did you mean '{}'?", use.text, near.front()));
    }
  }
}

kb::Limit ReadLimit(const DefinitionFile& file, TableReader& reader) {
  kb::Limit item;
  item.substance = reader.Text("substance", Need::kMust).text;
  item.jurisdiction = reader.Text("jurisdiction", Need::kMust).text;
  item.annex = reader.Text("annex", Need::kMay).text;
  item.entry = reader.Text("entry", Need::kMay).text;
  item.max_pct = reader.Number("max_pct", Need::kMay, 0, 100);
  item.expressed_as = reader.Text("expressed_as", Need::kMay).text;
  item.factor = reader.Number("factor", Need::kMay, 1e-6, 1e3).value_or(1);
  item.scope = reader.Text("scope", Need::kMay).text;
  const std::vector<PlacedText> uses = reader.Texts("uses", Need::kMay);
  MustNotBeASlip(reader, uses);
  item.uses = Plain(uses);
  item.forms = Choices(file, reader, "forms", kForms);
  item.conditions = reader.Text("conditions", Need::kMay).text;
  const PlacedText source = reader.Text("src", Need::kMust);
  file.MustBeSource(source);
  item.source = source.text;
  item.at = reader.Text("at", Need::kMay).text;
  item.prohibited = reader.Flag("prohibited");
  if (item.prohibited && reader.Has("max_pct")) {
    reader.Complain(reader.PlaceOfValue("max_pct"), "a prohibited substance has no 'max_pct'");
  }
  if (!item.prohibited && !reader.Has("max_pct") && item.conditions.empty()) {
    reader.Complain(reader.place(),
                    "a limit without a limit; expected 'max_pct', 'conditions' or prohibited = true");
  }
  return item;
}

kb::ConflictSide ReadSide(const DefinitionFile& file, TableReader& conflict, std::string_view key) {
  kb::ConflictSide side;
  const toml::table* table = conflict.Table(key, Need::kMust);
  if (table == nullptr) return side;
  TableReader reader(*table, file.data.text, PlaceOf(*table), file.out);
  const std::vector<PlacedText> ingredients = reader.Texts("ingredients", Need::kMay);
  for (const PlacedText& id : ingredients) file.draft.references.push_back({&file.data.text, id});
  side.ingredients = Plain(ingredients);
  side.functions = FunctionIds(file, reader, "functions");
  side.classes = Choices(file, reader, "classes", kClass);
  side.charges = Choices(file, reader, "charges", kCharge);
  side.condition = reader.Text("condition", Need::kMay).text;
  reader.Finish();
  if (side.ingredients.empty() && side.functions.empty() && side.classes.empty() && side.charges.empty() &&
      side.condition.empty()) {
    reader.Complain(reader.place(),
                    "this side of the conflict names nothing; expected 'ingredients', 'functions', "
                    "'classes', 'charges' or 'condition'");
  }
  return side;
}

}  // namespace

void ReadClaims(const DefinitionFile& file, const toml::table& root) {
  const kb::Property* claim = file.draft.FindProperty(kClaim);
  Names held;
  for (const Entry& entry : InFileOrder(root)) {
    const std::string id(entry.key->str());
    const toml::table* table = entry.value->as_table();
    if (table == nullptr) {
      file.out.Add(file.data.text, PlaceOf(*entry.key),
                   fmt::format("'{}' is {}; expected a table", Printable(id), KindName(*entry.value)));
      continue;
    }
    held.Add(id);
    if (claim != nullptr && std::find(claim->keys.begin(), claim->keys.end(), id) == claim->keys.end()) {
      file.out.Add(
          file.data.text, PlaceOf(*entry.key),
          fmt::format("'{}' is no key of property '{}'{}", Printable(id), kClaim, Hint(id, claim->keys)));
    }
    TableReader reader(*table, file.data.text, PlaceOf(*entry.key), file.out);
    kb::ClaimRule item;
    item.id = id;
    item.text = reader.Text("text", Need::kMust).text;
    item.broken_by_class = Choices(file, reader, "broken_by_class", kClass);
    item.broken_by_origin = Choices(file, reader, "broken_by_origin", kOrigin);
    item.broken_by_function = FunctionIds(file, reader, "broken_by_function");
    item.broken_by_inci = Plain(reader.Texts("broken_by_inci", Need::kMay));
    item.kept_by_origin = Choices(file, reader, "kept_by_origin", kOrigin);
    item.burden = reader.Text("burden", Need::kMay).text;
    item.burden_factor = reader.Number("burden_factor", Need::kMay, 0, 1).value_or(1);
    item.assume_kept = reader.Flag("assume_kept");
    reader.Finish();
    file.draft.parts.claims.push_back(std::move(item));
  }
  if (claim == nullptr) return;
  for (const std::string& key : claim->keys) {
    if (!held.Find(key))
      file.out.Add(file.data.text, {},
                   fmt::format("no rule for claim '{}', a key of property '{}'", key, kClaim));
  }
}

void ReadLimits(const DefinitionFile& file, const toml::table& root) {
  TableReader top(root, file.data.text, {}, file.out);
  for (const toml::table* table : top.Tables("limit", Need::kMust)) {
    TableReader reader(*table, file.data.text, PlaceOf(*table), file.out);
    file.draft.parts.limits.push_back(ReadLimit(file, reader));
    reader.Finish();
  }
  top.Finish();
}

void ReadConflicts(const DefinitionFile& file, const toml::table& root) {
  TableReader top(root, file.data.text, {}, file.out);
  Names held;
  for (const toml::table* table : top.Tables("conflict", Need::kMust)) {
    TableReader reader(*table, file.data.text, PlaceOf(*table), file.out);
    kb::Conflict item;
    const PlacedText id = reader.Text("id", Need::kMust);
    item.id = id.text;
    if (held.Find(item.id)) reader.Complain(id.place, fmt::format("two conflicts have the id '{}'", item.id));
    held.Add(item.id);
    item.a = ReadSide(file, reader, "a");
    item.b = ReadSide(file, reader, "b");
    item.severity = reader.Choice("severity", Need::kMust, Severities()).text;
    item.text = reader.Text("text", Need::kMust).text;
    item.advice = reader.Text("advice", Need::kMay).text;
    const PlacedText source = reader.Text("src", Need::kMust);
    file.MustBeSource(source);
    item.source = source.text;
    reader.Finish();
    file.draft.parts.conflicts.push_back(std::move(item));
  }
  top.Finish();
}

}  // namespace indexer
