// One ingredient's file: names, functions, composition, and the claims, each checked against properties.toml.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "indexer/draft.h"
#include "kb/registry_number.h"

namespace indexer {
namespace {

constexpr double kColdest = -273.15;
constexpr double kHottest = 3000;  // the highest that any property of ours is given for

class ClaimReader {
 public:
  ClaimReader(const kb::Property& property, kb::PropertyIx ix, const TextFile& file, Draft& draft,
              Diagnostics& out)
      : property_(property), ix_(ix), file_(file), draft_(draft), out_(out) {}

  void Read(const toml::table& claim, kb::Ingredient& item, IngredientPlaces& places,
            std::vector<PlacedText>* where) {
    TableReader reader(claim, file_, PlaceOf(claim), out_);
    if (where != nullptr) where->push_back(reader.Text("where", Need::kMay));
    kb::Fact fact;
    fact.property = ix_;
    const bool good = ReadValue(reader, fact);
    ReadSource(reader, fact);
    ReadKey(reader, fact);
    fact.at = reader.Text("at", Need::kMay).text;
    fact.context = reader.Text("ctx", Need::kMay).text;
    fact.note = reader.Text("note", Need::kMay).text;
    fact.at_c = reader.Number("at_c", Need::kMay, kColdest, kHottest);
    const PlacedText function = reader.Text("fn", Need::kMay);
    fact.function = function.text;
    if (!function.text.empty()) CheckFunction(function);
    reader.Finish();
    if (good && property_.id == kPartner) places.partners.push_back({fact.text, reader.PlaceOfValue("is")});
    item.facts.push_back(std::move(fact));
  }

 private:
  bool ReadValue(TableReader& reader, kb::Fact& fact) {
    const toml::node* node = reader.Node("is", Need::kMust);
    if (node == nullptr) return false;
    if (property_.kind == kb::ValueKind::kNumber) return ReadNumber(reader, *node, fact);
    const auto* text = node->as_string();
    if (text == nullptr || text->get().empty()) {
      reader.Complain(PlaceOf(*node), fmt::format("'{}' is {}; expected text in quotes", property_.id,
                                                  text == nullptr ? KindName(*node) : "empty"));
      return false;
    }
    fact.text = text->get();
    const std::vector<std::string>& choices = property_.choices;
    if (property_.kind == kb::ValueKind::kChoice &&
        std::find(choices.begin(), choices.end(), fact.text) == choices.end()) {
      reader.Complain(PlaceOf(*node), fmt::format("'{}' is no choice of '{}'{}", Printable(fact.text),
                                                  property_.id, Hint(fact.text, choices)));
      return false;
    }
    if (property_.scale) {
      const auto step = std::find(choices.begin(), choices.end(), fact.text) - choices.begin() + 1;
      fact.number = kb::Range{static_cast<double>(step), static_cast<double>(step)};
    }
    return true;
  }

  bool ReadNumber(TableReader& reader, const toml::node& node, kb::Fact& fact) {
    const toml::array* list = node.as_array();
    const bool pair =
        list != nullptr && list->size() == 2 && list->get(0)->is_number() && list->get(1)->is_number();
    if (!pair && !node.is_number()) {
      reader.Complain(PlaceOf(node),
                      fmt::format("'{}' is {}; expected a number or [low, high] in {}", property_.id,
                                  list != nullptr ? "no pair of numbers" : KindName(node), property_.unit));
      return false;
    }
    const toml::node& low = pair ? *list->get(0) : node;
    const toml::node& high = pair ? *list->get(1) : node;
    fact.number = kb::Range{low.value<double>().value_or(NAN), high.value<double>().value_or(NAN)};
    fact.text = pair ? fmt::format("{} to {}", Digits(low), Digits(high)) : Digits(low);
    if (!Bounded(reader, low, fact.number->low)) return false;
    if (pair && !Bounded(reader, high, fact.number->high)) return false;
    if (fact.number->low > fact.number->high) {
      reader.Complain(PlaceOf(low),
                      fmt::format("range with low above high ({}); expected [low, high]", fact.text));
      return false;
    }
    return true;
  }

  // As a person wrote them: "15.0" says more than 15.
  std::string Digits(const toml::node& node) const {
    const toml::source_position& end = node.source().end;
    return Printable(file_.Span(PlaceOf(node), {end.line, end.column}));
  }

  bool Bounded(TableReader& reader, const toml::node& node, double value) {
    if (value >= property_.low && value <= property_.high) return true;  // so that NaN is refused too
    reader.Complain(PlaceOf(node), fmt::format("'{}' is {}; expected {} to {} {}", property_.id, Digits(node),
                                               property_.low, property_.high, property_.unit));
    return false;
  }

  void ReadSource(TableReader& reader, kb::Fact& fact) {
    const PlacedText key = reader.Text("src", Need::kMay);
    const PlacedText named = reader.Text("standing", Need::kMay);
    if (key.text.empty()) {
      reader.Complain(reader.place(),
                      "claim without a source; expected src = \"...\", a key of sources.toml");
      return;
    }
    if (key.text.empty() || !draft_.sources.known) return;
    const auto ix = draft_.sources.Find(key.text);
    if (!ix) {
      reader.Complain(key.place, fmt::format("source '{}' is not in sources.toml{}", Printable(key.text),
                                             Hint(key.text, draft_.sources.ids())));
      return;
    }
    const kb::Source& source = draft_.parts.sources[*ix];
    fact.source = static_cast<kb::SourceIx>(*ix);
    fact.standing = source.standing;
    if (!named.text.empty()) Lower(reader, named, source, fact);
  }

  static void Lower(TableReader& reader, const PlacedText& named, const kb::Source& source, kb::Fact& fact) {
    static const std::vector<std::string> kStandings = {"published", "common practice", "estimate", "memory"};
    const auto standing = kb::StandingFromName(named.text);
    if (!standing || *standing == kb::Standing::kOwn) {
      reader.Complain(named.place, fmt::format("'{}' is no standing{}", Printable(named.text),
                                               Hint(named.text, kStandings)));
    } else if (*standing < source.standing) {
      reader.Complain(
          named.place,
          fmt::format("standing '{}' is higher than a source of kind '{}' earns; expected at most '{}'",
                      named.text, source.kind, kb::StandingName(source.standing)));
    } else {
      fact.standing = *standing;
    }
  }

  void ReadKey(TableReader& reader, kb::Fact& fact) {
    const PlacedText key = reader.Text("key", Need::kMay);
    fact.key = key.text;
    const std::vector<std::string>& keys = property_.keys;
    if (keys.empty()) {
      if (!key.text.empty())
        reader.Complain(key.place,
                        fmt::format("'{}' has no keys; expected the claim without 'key'", property_.id));
      return;
    }
    const bool any = keys.front() == "*";
    if (!reader.Has("key")) {
      reader.Complain(reader.place(), fmt::format("'{}' needs 'key'{}", property_.id,
                                                  any ? "" : "; expected one of " + Listed(keys)));
    } else if (!key.text.empty() && !any && std::find(keys.begin(), keys.end(), key.text) == keys.end()) {
      reader.Complain(key.place, fmt::format("'{}' is no key of '{}'{}", Printable(key.text), property_.id,
                                             Hint(key.text, keys)));
    }
  }

  void CheckFunction(const PlacedText& function) {
    if (!draft_.functions.known || draft_.functions.Find(function.text)) return;
    out_.Add(file_, function.place,
             fmt::format("unknown function '{}'{}", Printable(function.text),
                         Hint(function.text, draft_.functions.ids())));
  }

  const kb::Property& property_;
  kb::PropertyIx ix_;
  const TextFile& file_;
  Draft& draft_;
  Diagnostics& out_;
};

class IngredientReader {
 public:
  IngredientReader(const DataFile& file, Draft& draft, Diagnostics& out)
      : file_(file), draft_(draft), out_(out) {
    places_.file = &file.text;
  }

  void Read(const toml::table& root) {
    TableReader reader(root, file_.text, {}, out_);
    ReadNames(reader);
    ReadNumbers(reader);
    ReadPlays(reader);
    ReadComposition(reader);
    places_.not_by_rule = reader.Texts("not_by_rule", Need::kMay);
    CheckExceptions();
    const toml::table* values = reader.Table("value", Need::kMay);
    reader.Finish();
    if (values != nullptr && draft_.properties.known)
      ReadFacts(*values, file_.text, draft_, out_, item_, places_);
    draft_.parts.ingredients.push_back(std::move(item_));
    draft_.places.push_back(std::move(places_));
  }

 private:
  void ReadNames(TableReader& reader) {
    const PlacedText id = reader.Text("id", Need::kMust);
    if (!id.text.empty() && id.text != file_.stem) {
      reader.Complain(id.place, fmt::format("id '{}' differs from the file's name; expected '{}'",
                                            Printable(id.text), file_.stem));
    } else if (!id.text.empty() && !IsId(id.text, false)) {
      reader.Complain(id.place, fmt::format("'{}' is no id; expected a-z, 0-9 and '-'", Printable(id.text)));
    }
    item_.id = file_.stem;
    item_.inci = reader.Text("inci", Need::kMust).text;
    const PlacedText name = reader.Text("name", Need::kMust);
    item_.name = name.text;
    const std::vector<PlacedText> also = reader.Texts("also", Need::kMay);
    item_.also = Plain(also);
    item_.label_names = Plain(reader.Texts("label_names", Need::kMay));
    places_.names.push_back(id);
    places_.names.push_back(name);
    places_.names.insert(places_.names.end(), also.begin(), also.end());
  }

  void ReadNumbers(TableReader& reader) {
    places_.cas = reader.Texts("cas", Need::kMay);
    item_.cas = Plain(places_.cas);
    for (const PlacedText& number : places_.cas) {
      if (!kb::IsCasNumber(number.text)) {
        reader.Complain(number.place, fmt::format("'{}' is no CAS number: wrong form or check digit",
                                                  Printable(number.text)));
      }
    }
    const std::vector<PlacedText> ec = reader.Texts("ec", Need::kMay);
    item_.ec = Plain(ec);
    for (const PlacedText& number : ec) {
      if (!kb::IsEcNumber(number.text)) {
        reader.Complain(number.place, fmt::format("'{}' is no EC number: wrong form or check digit",
                                                  Printable(number.text)));
      }
    }
  }

  void ReadPlays(TableReader& reader) {
    for (const PlacedText& id : reader.Texts("functions", Need::kMust)) {
      if (!draft_.functions.known) continue;
      const auto ix = draft_.functions.Find(id.text);
      if (!ix) {
        reader.Complain(id.place, fmt::format("unknown function '{}'{}", Printable(id.text),
                                              Hint(id.text, draft_.functions.ids())));
        continue;
      }
      const auto function = static_cast<kb::FunctionIx>(*ix);
      if (std::find(item_.functions.begin(), item_.functions.end(), function) != item_.functions.end()) {
        reader.Complain(id.place, fmt::format("function '{}' is named twice", id.text));
      } else {
        item_.functions.push_back(function);
      }
    }
  }

  // "max_c", or of a level one function alone: "use_pct emollient".
  void CheckExceptions() {
    const DefinitionFile file{file_, draft_, out_};
    for (const PlacedText& word : places_.not_by_rule) {
      const std::size_t space = word.text.find(' ');
      file.MustBe({{word.text.substr(0, space), word.place}}, draft_.properties, "property");
      if (space != std::string::npos)
        file.MustBe({{word.text.substr(space + 1), word.place}}, draft_.functions, "function");
    }
  }

  void ReadComposition(TableReader& reader) {
    places_.composition = reader.PlaceOfValue("composition");
    for (const toml::table* table : reader.Tables("composition", Need::kMay)) {
      TableReader entry(*table, file_.text, PlaceOf(*table), out_);
      const PlacedText of = entry.Text("of", Need::kMay);
      kb::Component part;
      part.inci = entry.Text("inci", Need::kMay).text;
      if (of.text.empty() == part.inci.empty()) {
        entry.Complain(entry.place(), "expected either of = \"<id of an ingredient>\" or inci = \"NAME\"");
      }
      ReadShare(entry, part);
      const PlacedText source = entry.Text("src", Need::kMust);
      DefinitionFile{file_, draft_, out_}.MustBeSource(source);
      if (const auto ix = draft_.sources.Find(source.text)) part.source = static_cast<kb::SourceIx>(*ix);
      entry.Finish();
      item_.composition.push_back(std::move(part));
      places_.parts.push_back(of);
    }
    if (places_.rest) ReadRest(reader);
  }

  // `pct`, or `rest = true` of the one part whose share follows from the others.
  void ReadShare(TableReader& entry, kb::Component& part) {
    places_.acts.push_back(entry.Flag("acts"));
    if (entry.Flag("rest")) {
      if (places_.rest)
        entry.Complain(entry.PlaceOfValue("rest"), "a second 'rest'; expected one part that has it");
      if (entry.Has("pct"))
        entry.Complain(entry.PlaceOfValue("pct"), "'pct' beside 'rest'; expected one of them");
      places_.rest = item_.composition.size();
      return;
    }
    if (const auto pct = entry.Number("pct", Need::kMust, 0, 100)) {
      part.pct = *pct;
      if (*pct == 0) entry.Complain(entry.PlaceOfValue("pct"), "a part of 0 %; expected more than 0");
    }
  }

  void ReadRest(TableReader& reader) {
    double others = 0;
    for (const kb::Component& part : item_.composition) others += part.pct;
    constexpr double kDigits = 1e9;  // the last digits of a difference of decimal shares are the computer's
    const double rest = std::round((100 - others) * kDigits) / kDigits;
    if (rest <= 0) {
      reader.Complain(
          places_.composition,
          fmt::format("the other parts sum to {:.6g} %; expected less than 100, for there is a 'rest'",
                      others));
      return;
    }
    item_.composition[*places_.rest].pct = rest;
  }

  const DataFile& file_;
  Draft& draft_;
  Diagnostics& out_;
  kb::Ingredient item_;
  IngredientPlaces places_;
};

}  // namespace

void ReadFacts(const toml::table& values, const TextFile& file, Draft& draft, Diagnostics& out,
               kb::Ingredient& item, IngredientPlaces& places, std::vector<PlacedText>* where) {
  for (const Entry& entry : InFileOrder(values)) {
    const std::string_view id = entry.key->str();
    const auto ix = draft.properties.Find(id);
    if (!ix) {
      out.Add(file, PlaceOf(*entry.key),
              fmt::format("unknown property '{}'{}", Printable(id), Hint(id, draft.properties.ids())));
      continue;
    }
    TableReader reader(values, file, PlaceOf(*entry.key), out);
    ClaimReader claims(draft.parts.properties[*ix], static_cast<kb::PropertyIx>(*ix), file, draft, out);
    for (const toml::table* claim : reader.Tables(id, Need::kMust)) claims.Read(*claim, item, places, where);
  }
}

void ReadIngredient(const DataFile& file, const toml::table& root, Draft& draft, Diagnostics& out) {
  IngredientReader(file, draft, out).Read(root);
}

}  // namespace indexer
