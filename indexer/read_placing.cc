// placing.toml: what speaks for and against each position in which an ingredient can go in, and the bench tests.
#include <fmt/format.h>

#include <algorithm>

#include "indexer/draft.h"
#include "kb/placing.h"
#include "kb/text.h"

namespace indexer {
namespace {

constexpr double kMostWeight = 10;  // log-odds

std::vector<std::string> PositionIds() {
  return {kb::kPositionIds.begin(), kb::kPositionIds.end()};
}

void MustBePositions(TableReader& reader, const std::vector<PlacedText>& words) {
  const std::vector<std::string> known = PositionIds();
  for (const PlacedText& word : words) {
    if (std::find(known.begin(), known.end(), word.text) != known.end()) continue;
    reader.Complain(word.place, fmt::format("'{}' is no position{}", word.text, Hint(word.text, known)));
  }
}

std::vector<double> ReadWeights(const DefinitionFile& file, TableReader& reader, std::string_view key,
                                Need need) {
  std::vector<double> weights(kb::kPositionIds.size(), 0);
  const toml::table* table = reader.Table(key, need);
  if (table == nullptr) return weights;
  TableReader inner(*table, file.data.text, PlaceOf(*table), file.out);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    weights[i] = inner.Number(kb::kPositionIds[i], Need::kMay, -kMostWeight, kMostWeight).value_or(0);
  }
  inner.Finish();
  return weights;
}

// What the words of a term may be: nullptr where that cannot be said.
void CheckTerm(const DefinitionFile& file, TableReader& reader, const Place& place,
               const kb::PlacingTerm& term) {
  const auto complain = [&](const std::string& what) { reader.Complain(place, what); };
  const bool compares = !term.sign.empty() && term.sign != "not" && term.sign != "known";
  if (term.name == "function") {
    for (const std::string& id : term.values) {
      if (file.draft.functions.known && !file.draft.functions.Find(id))
        complain(fmt::format("'{}' is no function{}", id, Hint(id, file.draft.functions.ids())));
    }
    return;
  }
  for (const kb::PlacingSignal& signal : kb::PlacingSignals()) {
    if (signal.name != term.name) continue;
    if (signal.number != compares && term.sign != "known")
      complain(fmt::format("'{}' is {} number", term.name, signal.number ? "a" : "no"));
    const std::vector<std::string> known(signal.values.begin(), signal.values.end());
    for (const std::string& value : term.values) {
      if (!known.empty() && std::find(known.begin(), known.end(), value) == known.end())
        complain(fmt::format("'{}' is no {}{}", value, term.name, Hint(value, known)));
    }
    return;
  }
  const kb::Property* property = file.draft.FindProperty(term.name);
  if (property == nullptr) {
    if (!file.draft.properties.known) return;
    complain(
        fmt::format("'{}' is no property, and nothing that follows from one; see kb/placing.h", term.name));
    return;
  }
  if (term.sign == "known") return;
  if (compares != (property->kind == kb::ValueKind::kNumber)) {
    complain(fmt::format("property '{}' is {} number", term.name, compares ? "no" : "a"));
    return;
  }
  for (const std::string& value : term.values) {
    if (std::find(property->choices.begin(), property->choices.end(), value) == property->choices.end())
      complain(fmt::format("'{}' is no {}{}", value, term.name, Hint(value, property->choices)));
  }
}

std::vector<kb::PlacingTerm> ReadWhen(const DefinitionFile& file, TableReader& reader, std::string& text,
                                      Need need) {
  const PlacedText when = reader.Text("when", need);
  text = when.text;
  auto terms = kb::ParsePlacing(text);
  if (!terms) {
    reader.Complain(when.place, terms.error());
    return {};
  }
  for (const kb::PlacingTerm& term : *terms) CheckTerm(file, reader, when.place, term);
  return std::move(*terms);
}

kb::PlacingRule ReadRule(const DefinitionFile& file, TableReader& reader) {
  kb::PlacingRule item;
  item.id = reader.Text("id", Need::kMust).text;
  item.terms = ReadWhen(file, reader, item.when, Need::kMust);
  item.weights = ReadWeights(file, reader, "for", Need::kMay);
  item.out.assign(kb::kPositionIds.size(), false);
  const std::vector<PlacedText> out = reader.Texts("out", Need::kMay);
  MustBePositions(reader, out);
  for (std::size_t i = 0; i < item.out.size(); ++i) {
    item.out[i] =
        std::any_of(out.begin(), out.end(), [&](const auto& o) { return o.text == kb::kPositionIds[i]; });
  }
  item.says = reader.Text("says", Need::kMay).text;
  const std::vector<PlacedText> at = reader.Texts("at", Need::kMay);
  MustBePositions(reader, at);
  item.at = Plain(at);
  item.method = reader.Text("method", Need::kMay).text;
  item.right = reader.Text("right", Need::kMay).text;
  item.wrong = reader.Text("wrong", Need::kMay).text;
  item.watch = reader.Text("watch", Need::kMay).text;
  const PlacedText source = reader.Text("src", Need::kMust);
  file.MustBeSource(source);
  item.source = source.text;
  const bool weighs = std::any_of(item.weights.begin(), item.weights.end(), [](double w) { return w != 0; });
  if ((weighs || !out.empty()) && item.says.empty())
    reader.Complain(reader.place(), "a rule that weighs says why; expected 'says'");
  if (!weighs && out.empty() && item.method.empty() && item.watch.empty() && item.right.empty() &&
      item.wrong.empty())
    reader.Complain(reader.place(),
                    "a rule that does nothing; expected 'for', 'out', 'method', 'right', 'wrong' or 'watch'");
  return item;
}

kb::BenchTest ReadTest(const DefinitionFile& file, TableReader& reader) {
  kb::BenchTest item;
  item.id = reader.Text("id", Need::kMust).text;
  item.fact = reader.Text("fact", Need::kMust).text;
  item.terms = ReadWhen(file, reader, item.when, Need::kMay);
  item.how = reader.Text("how", Need::kMust).text;
  for (const toml::table* table : reader.Tables("outcome", Need::kMust)) {
    TableReader inner(*table, file.data.text, PlaceOf(*table), file.out);
    kb::BenchOutcome outcome;
    outcome.sees = inner.Text("sees", Need::kMust).text;
    outcome.sets = Plain(inner.Texts("sets", Need::kMust));
    outcome.share = inner.Number("share", Need::kMay, 1e-3, 1e3).value_or(1);
    inner.Finish();
    item.outcomes.push_back(std::move(outcome));
  }
  return item;
}

template <class T>
void MustBeNew(Names& held, TableReader& reader, const T& item) {
  if (held.Find(item.id)) reader.Complain(reader.place(), fmt::format("two have the id '{}'", item.id));
  held.Add(item.id);
}

}  // namespace

void ReadPlacing(const DefinitionFile& file, const toml::table& root) {
  TableReader top(root, file.data.text, {}, file.out);
  kb::Placing& placing = file.draft.parts.placing;
  placing.prior = ReadWeights(file, top, "prior", Need::kMust);
  Names held;
  for (const toml::table* table : top.Tables("rule", Need::kMust)) {
    TableReader reader(*table, file.data.text, PlaceOf(*table), file.out);
    placing.rules.push_back(ReadRule(file, reader));
    MustBeNew(held, reader, placing.rules.back());
    reader.Finish();
  }
  for (const toml::table* table : top.Tables("test", Need::kMay)) {
    TableReader reader(*table, file.data.text, PlaceOf(*table), file.out);
    placing.tests.push_back(ReadTest(file, reader));
    MustBeNew(held, reader, placing.tests.back());
    reader.Finish();
  }
  top.Finish();
}

}  // namespace indexer
