// `show`: everything that is known of an ingredient or a function, with where it comes from.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "kb/text.h"
#include "query/card.h"
#include "query/card_words.h"
#include "query/facts.h"
#include "query/find_why.h"
#include "query/json_common.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

std::string_view BasisName(kb::Basis basis) {
  switch (basis) {
    case kb::Basis::kClass:
      return "class";
    case kb::Basis::kFunction:
      return "function";
    case kb::Basis::kComputed:
      return "computed";
    case kb::Basis::kRecord:
      break;
  }
  return "record";
}

Json FactJson(const kb::Catalogue& catalogue, const kb::Fact& fact) {
  const kb::Property& property = catalogue.properties()[fact.property];
  Json out = {{"property", property.id},
              {"unit", property.unit},
              {"context", fact.context},
              {"source", catalogue.source(fact.source).key},
              {"source_title", catalogue.source(fact.source).title},
              {"at", fact.at},
              {"standing", kb::StandingName(fact.standing)},
              {"basis", BasisName(fact.basis)},
              {"note", fact.note}};
  if (!fact.key.empty()) out["key"] = fact.key;
  if (!fact.function.empty()) out["function"] = fact.function;
  if (fact.at_c) out["at_c"] = *fact.at_c;
  if (!fact.number || property.kind == kb::ValueKind::kChoice) {
    out["value"] = fact.text;
  } else if (fact.number->low == fact.number->high) {
    out["value"] = fact.number->low;
  } else {
    out["low"] = fact.number->low;
    out["high"] = fact.number->high;
  }
  return out;
}

Json FunctionIdsJson(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  Json out = Json::array();
  for (const kb::FunctionIx function : catalogue.at(ix).functions)
    out.push_back(catalogue.function(function).id);
  return out;
}

Json CompositionJson(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  Json out = Json::array();
  for (const kb::Component& part : catalogue.at(ix).composition) {
    out.push_back({{"id", part.ingredient ? catalogue.at(*part.ingredient).id : ""},
                   {"inci", part.inci},
                   {"pct", part.pct},
                   {"source", catalogue.source(part.source).key}});
  }
  return out;
}

Json LimitsJson(const std::vector<CardLimit>& limits) {
  Json out = Json::array();
  for (const CardLimit& item : limits) {
    const kb::Limit& limit = *item.limit;
    out.push_back({{"substance", item.substance},
                   {"jurisdiction", limit.jurisdiction},
                   {"annex", limit.annex},
                   {"entry", limit.entry},
                   {"max_pct", limit.max_pct ? Json(*limit.max_pct) : Json(nullptr)},
                   {"expressed_as", limit.expressed_as},
                   {"scope", limit.scope},
                   {"conditions", limit.conditions},
                   {"prohibited", limit.prohibited},
                   {"source", limit.source}});
  }
  return out;
}

Json ConflictsJson(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  Json out = Json::array();
  for (const CardConflict& item : ConflictsOnCard(catalogue, ix)) {
    out.push_back({{"id", item.conflict->id},
                   {"severity", item.conflict->severity},
                   {"with", item.with},
                   {"condition", item.condition},
                   {"text", item.conflict->text},
                   {"advice", item.conflict->advice},
                   {"source", item.conflict->source}});
  }
  return out;
}

Json IngredientJson(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  const kb::Ingredient& item = catalogue.at(ix);
  Json facts = Json::array();
  for (const kb::Fact& fact : catalogue.Facts(ix)) facts.push_back(FactJson(catalogue, fact));
  Json claims = Json::object();
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    const ClaimAnswer answer = KeepsClaim(catalogue, ix, rule.id);
    claims[rule.id] = {{"state", ClaimStateName(answer.state)}, {"because", answer.because}};
  }
  return {{"type", "ingredient"},
          {"id", item.id},
          {"inci", item.inci},
          {"name", item.name},
          {"also", item.also},
          {"cas", item.cas},
          {"ec", item.ec},
          {"label_names", item.label_names},
          {"working_data", true},
          {"functions", FunctionIdsJson(catalogue, ix)},
          {"composition", CompositionJson(catalogue, ix)},
          {"facts", std::move(facts)},
          {"limits", LimitsJson(LimitsOnCard(catalogue, ix))},
          {"conflicts", ConflictsJson(catalogue, ix)},
          {"claims", std::move(claims)}};
}

Json EntryJson(const kb::Catalogue& catalogue, const InventoryEntry& entry) {
  const auto list = [](const std::string& joined) {
    Json out = Json::array();
    for (std::string& item : kb::SplitTrimmed(joined, ',')) {
      if (!item.empty()) out.push_back(std::move(item));
    }
    return out;
  };
  return {{"type", "ingredient"},         {"id", ""},
          {"inci", entry.inci},           {"name", entry.inci},
          {"cas", list(entry.cas)},       {"ec", list(entry.ec)},
          {"working_data", false},        {"inventory_functions", list(entry.functions)},
          {"functions", Json::array()},   {"same_cas_as", entry.same_cas_as},
          {"facts", Json::array()},       {"limits", LimitsJson(LimitsOnCard(catalogue, {entry.inci}))},
          {"conflicts", Json::array()},   {"claims", Json::object()},
          {"composition", Json::array()}, {"why", AboutEntry(catalogue, entry)}};
}

Json FunctionJson(const kb::Catalogue& catalogue, kb::FunctionIx ix) {
  const kb::Function& function = catalogue.function(ix);
  const MemberTable table = CompareMembers(catalogue, ix);
  Json members = Json::array();
  for (const MemberTable::Row& row : table.rows) {
    const kb::Ingredient& item = catalogue.at(row.ingredient);
    Json cells = Json::object();
    for (std::size_t i = 0; i < table.columns.size(); ++i) cells[table.columns[i]] = row.cells[i];
    members.push_back({{"id", item.id},
                       {"inci", item.inci},
                       {"name", item.name},
                       {"level_pct", row.level},
                       {"main", catalogue.FunctionRank(row.ingredient, ix) == std::optional<std::size_t>(0)},
                       {"compared", std::move(cells)}});
  }
  return {{"type", "function"},
          {"id", function.id},
          {"name", function.name},
          {"group", function.group},
          {"also", function.also},
          {"inventory", function.inventory},
          {"swap", function.swap},
          {"swap_note", function.swap_note},
          {"card",
           {{"what", function.card.what},
            {"choose", function.card.choose},
            {"levels", function.card.levels},
            {"wrong", function.card.wrong},
            {"sources", function.card.sources}}},
          {"compared_by", table.columns},
          {"members", std::move(members)}};
}

// Facts of one property that say the same of themselves but for the value stand in one line: "suits: gel, water".
struct FactLine {
  std::string label, value, note, tag;
};

std::vector<FactLine> FactLines(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                                kb::PropertyIx property) {
  std::vector<FactLine> lines;
  for (const kb::Fact& fact : catalogue.Facts(ix)) {
    if (fact.property != property) continue;
    kb::Fact bare = fact;
    bare.key.clear();
    std::string label = PropertyLabel(catalogue.properties()[property].id);
    if (!fact.key.empty()) label += " " + fact.key;
    FactLine line{std::move(label), FactText(catalogue, bare), fact.note, SourceTag(catalogue, fact)};
    const bool joins = catalogue.properties()[property].kind == kb::ValueKind::kChoice && !lines.empty() &&
                       lines.back().label == line.label && lines.back().tag == line.tag &&
                       lines.back().note.empty() && line.note.empty();
    if (joins) {
      lines.back().value += ", " + line.value;
    } else {
      lines.push_back(std::move(line));
    }
  }
  return lines;
}

std::string FactsText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  std::string out;
  std::string_view group;
  for (std::size_t i = 0; i < catalogue.properties().size(); ++i) {
    const kb::Property& property = catalogue.properties()[i];
    if (property.id == "claim") continue;  // with what follows from the rules, below
    for (const FactLine& line : FactLines(catalogue, ix, static_cast<kb::PropertyIx>(i))) {
      if (property.group != group) out += fmt::format("\n{}\n", property.group);
      group = property.group;
      out += Wrapped(fmt::format("{}: {}{}  {}", line.label, line.value,
                                 line.note.empty() ? "" : "; " + line.note, line.tag),
                     look.width, 2);
    }
  }
  return out;
}

// The keys in brackets, spelt out.
std::string SourcesText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  std::set<kb::SourceIx> used;
  for (const kb::Fact& fact : catalogue.Facts(ix)) {
    if (fact.standing == kb::Standing::kPublished) used.insert(fact.source);
  }
  std::string out;
  for (const kb::SourceIx number : used) {
    const kb::Source& source = catalogue.source(number);
    std::string line = fmt::format("{}: {}", source.key, source.title);
    if (!source.where.empty()) line += ". " + source.where;
    if (source.year > 0) line += fmt::format(", {}", source.year);
    out += Wrapped(line, look.width, 2);
  }
  return out.empty() ? "" : "\nsources\n" + out;
}

std::string LimitsText(const std::vector<CardLimit>& limits, const Look& look) {
  std::string out;
  for (const CardLimit& item : limits) {
    const kb::Limit& limit = *item.limit;
    std::string line = fmt::format("{} ({}): ", item.substance, WhereInLaw(limit));
    if (limit.prohibited) {
      line += "prohibited";
    } else if (limit.max_pct) {
      line += fmt::format("at most {:g} %{}", *limit.max_pct,
                          limit.expressed_as.empty() ? "" : " " + limit.expressed_as);
    } else {
      line += "a condition";
    }
    if (!limit.scope.empty()) line += "; " + limit.scope;
    if (!limit.conditions.empty()) line += "; " + limit.conditions;
    out += Wrapped(line + fmt::format("  [{}]", limit.source), look.width, 2);
  }
  return out.empty() ? "" : "\nlimits\n" + out;
}

// The first few names and how many more there are; the JSON has them all.
std::string Shortened(const std::vector<std::string>& names) {
  constexpr std::size_t kShown = 6;
  if (names.size() <= kShown + 1) return fmt::format("{}", fmt::join(names, ", "));
  return fmt::format("{} and {} more", fmt::join(names.begin(), names.begin() + kShown, ", "),
                     names.size() - kShown);
}

std::string ConflictsText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  std::string out;
  for (const CardConflict& item : ConflictsOnCard(catalogue, ix)) {
    std::string line = item.conflict->severity;
    if (!item.with.empty()) line += " with " + Shortened(item.with);
    if (!item.condition.empty()) line += " " + ConditionText(catalogue, item.condition);
    line += ": " + item.conflict->text;
    if (!item.conflict->advice.empty()) line += " " + item.conflict->advice;
    out += Wrapped(line + fmt::format("  [{}]", item.conflict->source), look.width, 2);
  }
  return out.empty() ? "" : "\nconflicts\n" + out;
}

// What is kept for no other reason than that nothing breaks it stands in one line.
std::string ClaimsText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  std::string out;
  std::vector<std::string> plain;
  for (const kb::ClaimRule& rule : catalogue.claims()) {
    const ClaimAnswer answer = KeepsClaim(catalogue, ix, rule.id);
    const kb::Fact* fact = catalogue.Best(ix, "claim", rule.id);
    if (fact == nullptr && answer.state == ClaimState::kKept) {
      plain.push_back(rule.id);
      continue;
    }
    std::string line = fmt::format("{}: {}", rule.id, ClaimStateName(answer.state));
    if (fact != nullptr) {
      line += (fact->note.empty() ? "" : "; " + fact->note) + "  " + SourceTag(catalogue, *fact);
    } else if (!answer.because.empty()) {
      line += "; " + answer.because;
    }
    out += Wrapped(line, look.width, 2);
  }
  if (!plain.empty())
    out +=
        Wrapped(fmt::format("kept, as nothing in it breaks them: {}", fmt::join(plain, ", ")), look.width, 2);
  return "\nclaims\n" + out;
}

std::string IngredientText(const kb::Catalogue& catalogue, kb::IngredientIx ix, const Look& look) {
  const kb::Ingredient& item = catalogue.at(ix);
  std::string out = Wrapped(NameAndInci(catalogue, ix), look.width, 0);
  const auto list = [&](std::string_view label, const std::vector<std::string>& names) {
    if (!names.empty()) out += Wrapped(fmt::format("{}: {}", label, fmt::join(names, ", ")), look.width, 0);
  };
  list("also", item.also);
  list("on labels elsewhere", item.label_names);
  list("CAS", item.cas);
  list("EC", item.ec);
  std::vector<std::string> functions;
  for (const kb::FunctionIx function : item.functions) functions.push_back(catalogue.function(function).name);
  list("functions", functions);
  for (const kb::Component& part : item.composition) {
    out +=
        Wrapped(fmt::format("holds {:g} % {}  [{}]", part.pct, part.inci, catalogue.source(part.source).key),
                look.width, 2);
  }
  return out + FactsText(catalogue, ix, look) + LimitsText(LimitsOnCard(catalogue, ix), look) +
         ConflictsText(catalogue, ix, look) + ClaimsText(catalogue, ix, look) +
         SourcesText(catalogue, ix, look);
}

// A table as wide as the screen: the name, the usual level, and as many columns as leave each room to be read.
std::string MembersText(const kb::Catalogue& catalogue, kb::FunctionIx ix, const Look& look) {
  constexpr std::size_t kName = 30;
  constexpr std::size_t kLevel = 12;
  constexpr std::size_t kCell = 13;
  constexpr std::size_t kRows = 40;
  const MemberTable table = CompareMembers(catalogue, ix);
  const std::size_t room = look.width > 2 + kName + kLevel ? look.width - 2 - kName - kLevel : kCell;
  const std::size_t columns = std::min(table.columns.size(), std::max<std::size_t>(room / kCell, 1));
  std::vector<std::size_t> widths = {kName, kLevel};
  std::vector<std::string> head = {"", "level, %"};
  for (std::size_t i = 0; i < columns; ++i) {
    widths.push_back(room / columns);
    head.push_back(PropertyLabel(table.columns[i]));
  }
  std::string out = fmt::format("\n{} members, those whose main function it is first\n", table.rows.size());
  out += TableLine(head, widths, 2);
  for (std::size_t i = 0; i < std::min(kRows, table.rows.size()); ++i) {
    const MemberTable::Row& row = table.rows[i];
    std::vector<std::string> cells = {catalogue.at(row.ingredient).name, row.level.empty() ? "?" : row.level};
    for (std::size_t c = 0; c < columns; ++c) cells.push_back(row.cells[c].empty() ? "?" : row.cells[c]);
    out += TableLine(cells, widths, 2);
  }
  if (table.rows.size() > kRows) {
    out += Wrapped(fmt::format("and {} more: stillroom find --function {} --limit {}",
                               table.rows.size() - kRows, catalogue.function(ix).id, kMostShown),
                   look.width, 2);
  }
  return out + "  ? not known\n";
}

std::string FunctionText(const kb::Catalogue& catalogue, kb::FunctionIx ix, const Look& look) {
  const kb::Function& function = catalogue.function(ix);
  std::string out = function.name + "\n";
  if (!function.inventory.empty())
    out +=
        Wrapped(fmt::format("in the EU inventory: {}", fmt::join(function.inventory, ", ")), look.width, 0);
  const auto part = [&](std::string_view label, const std::string& text) {
    if (!text.empty()) out += "\n" + std::string(label) + "\n" + Wrapped(text, look.width, 2);
  };
  part("what it does", function.card.what);
  part("how to choose", function.card.choose);
  part("levels", function.card.levels);
  part("what goes wrong", function.card.wrong);
  part("swap", function.swap_note);
  if (!function.card.sources.empty())
    out += Wrapped(fmt::format("[{}]", fmt::join(function.card.sources, ", ")), look.width, 2);
  return out + MembersText(catalogue, ix, look);
}

// A name of the inventory, or a record of ours by a number that only the inventory holds.
std::optional<Reply> FromIndex(const Base& base, std::string_view name, Want want, const Look& look) {
  const std::vector<Hit> hits = base.Index().Named(name, 1);
  if (hits.empty()) return std::nullopt;
  using Type = kb::index::Item::Type;
  if (hits.front().item.type == Type::kIngredientItem) {
    const kb::IngredientIx ix = hits.front().item.ix;
    return Reply{want == Want::kJson ? Dumped(IngredientJson(base.catalogue, ix))
                                     : IngredientText(base.catalogue, ix, look),
                 true};
  }
  if (hits.front().item.type != Type::kInventoryItem) return std::nullopt;
  const InventoryEntry entry = base.Index().Inventory(hits.front().document);
  if (want == Want::kJson) return Reply{Dumped(EntryJson(base.catalogue, entry)), true};
  std::string out = entry.inci + "\n";
  if (!entry.cas.empty()) out += "CAS: " + entry.cas + "\n";
  if (!entry.ec.empty()) out += "EC: " + entry.ec + "\n";
  return Reply{out + Wrapped(AboutEntry(base.catalogue, entry), look.width, 0) +
                   LimitsText(LimitsOnCard(base.catalogue, {entry.inci}), look),
               true};
}

std::optional<kb::FunctionIx> NearestFunction(const kb::Catalogue& catalogue, const std::string& name) {
  std::vector<std::string> names;
  for (const kb::Function& function : catalogue.functions()) {
    names.push_back(function.name);
    names.insert(names.end(), function.also.begin(), function.also.end());
  }
  const std::vector<std::string> near = kb::Nearest(name, names, 1);
  return near.empty() ? std::nullopt : catalogue.FindFunction(near.front());
}

}  // namespace

Asked<Reply> AnswerShow(const Base& base, const Params& params, Want want, const Look& look) {
  const kb::Catalogue& catalogue = base.catalogue;
  std::string name;
  for (const std::string& word : params.All("name")) name += (name.empty() ? "" : " ") + word;
  const bool exact = catalogue.FindExact(name).has_value();
  if (const auto function = catalogue.FindFunction(name); function && !exact) {
    return Reply{want == Want::kJson ? Dumped(FunctionJson(catalogue, *function))
                                     : FunctionText(catalogue, *function, look),
                 true};
  }
  if (!exact && !kb::Fold(name).empty()) {
    if (auto reply = FromIndex(base, name, want, look)) return std::move(*reply);
  }
  const auto found = ReadIngredient(catalogue, name, "name");
  if (!found) {
    if (const auto function = NearestFunction(catalogue, name)) {
      if (want == Want::kText) {
        return Reply{fmt::format("Taken for {}.\n", catalogue.function(*function).name) +
                         FunctionText(catalogue, *function, look),
                     true};
      }
      Json document = FunctionJson(catalogue, *function);
      document["taken_for"] = catalogue.function(*function).name;
      return Reply{Dumped(document), true};
    }
    return tl::unexpected(found.error());
  }
  if (want == Want::kText) {
    const std::string text =
        found->corrected ? fmt::format("Taken for {}.\n", catalogue.at(found->ingredient).name) : "";
    return Reply{text + IngredientText(catalogue, found->ingredient, look), true};
  }
  Json document = IngredientJson(catalogue, found->ingredient);
  if (found->corrected) document["taken_for"] = catalogue.at(found->ingredient).name;
  return Reply{Dumped(document), true};
}

}  // namespace query
