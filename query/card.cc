#include "query/card.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "kb/condition.h"
#include "kb/derived.h"
#include "kb/text.h"
#include "query/card_words.h"
#include "query/facts.h"

namespace query {
namespace {

std::string Spaced(std::string_view word) {
  std::string out(word);
  std::replace(out.begin(), out.end(), '-', ' ');
  std::replace(out.begin(), out.end(), '_', ' ');
  return out;
}

bool Holds(const std::vector<std::string>& list, std::string_view item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

bool Names(const kb::Catalogue& catalogue, const kb::ConflictSide& side, kb::IngredientIx ix) {
  const kb::Ingredient& item = catalogue.at(ix);
  if (Holds(side.ingredients, item.id) || Holds(side.classes, catalogue.Choice(ix, "class")) ||
      Holds(side.charges, catalogue.Choice(ix, "charge")))
    return true;
  return std::any_of(item.functions.begin(), item.functions.end(), [&](kb::FunctionIx function) {
    return Holds(side.functions, catalogue.function(function).id);
  });
}

constexpr int kDeepest = 8;  // blends in blends

bool IsOn(const kb::Catalogue& catalogue, const kb::ConflictSide& side, kb::IngredientIx ix, int depth = 0) {
  if (Names(catalogue, side, ix)) return true;
  if (depth == kDeepest) return false;
  const std::vector<kb::Component>& parts = catalogue.at(ix).composition;
  return std::any_of(parts.begin(), parts.end(), [&](const kb::Component& part) {
    return part.ingredient && IsOn(catalogue, side, *part.ingredient, depth + 1);
  });
}

// Do the terms about what an ingredient is hold for it? The others depend on the formula.
bool IsAsAsked(const kb::Catalogue& catalogue, const std::string& condition, kb::IngredientIx ix) {
  const auto terms = kb::ParseCondition(condition);
  if (!terms) return true;
  return std::all_of(terms->begin(), terms->end(), [&](const kb::ConditionTerm& term) {
    const bool is = term.word == kb::ConditionWord::kIs;
    if (!is && term.word != kb::ConditionWord::kNot) return true;
    const bool one = std::any_of(term.values.begin(), term.values.end(), [&](const std::string& value) {
      return catalogue.Says(ix, term.property, value);
    });
    return is ? one : !one && catalogue.Best(ix, term.property) != nullptr;
  });
}

// The terms that depend on the formula alone.
std::string WithoutIs(const std::string& condition) {
  std::vector<std::string> kept;
  for (const std::string& term : kb::SplitTrimmed(condition, ',')) {
    if (!term.empty() && term.rfind("is ", 0) != 0 && term.rfind("not ", 0) != 0) kept.push_back(term);
  }
  return fmt::format("{}", fmt::join(kept, ", "));
}

std::vector<std::string> SideNames(const kb::Catalogue& catalogue, const kb::ConflictSide& side) {
  std::vector<std::string> names;
  for (const std::string& id : side.ingredients) {
    const auto ix = catalogue.FindId(id);
    names.push_back(ix ? catalogue.at(*ix).name : id);
  }
  for (const std::string& id : side.functions) {
    const auto function = catalogue.FindFunction(id);
    names.push_back(function ? catalogue.function(*function).name : id);
  }
  for (const std::string& id : side.classes) names.push_back(Spaced(id));
  for (const std::string& id : side.charges) names.push_back(Spaced(id));
  return names;
}

}  // namespace

std::string FactText(const kb::Catalogue& catalogue, const kb::Fact& fact) {
  const kb::Property& property = catalogue.properties()[fact.property];
  std::string out = fact.key.empty() ? "" : fact.key + " ";
  if (fact.number && property.kind == kb::ValueKind::kNumber) {
    out += PlainRange(*fact.number);
    if (property.unit != "1" && !property.unit.empty()) out += " " + property.unit;
  } else {
    out += property.kind == kb::ValueKind::kChoice ? Spaced(fact.text) : fact.text;
  }
  if (fact.at_c) out += fmt::format(" at {:g} C", *fact.at_c);
  if (!fact.function.empty()) {
    const auto function = catalogue.FindFunction(fact.function);
    out += " as " + (function ? catalogue.function(*function).name : fact.function);
  }
  if (!fact.context.empty()) out += " (" + fact.context + ")";
  return out;
}

std::vector<CardLimit> LimitsOnCard(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  return LimitsOnCard(catalogue, LabelNames(catalogue, ix));
}

std::vector<CardLimit> LimitsOnCard(const kb::Catalogue& catalogue, const std::vector<std::string>& names) {
  std::vector<CardLimit> out;
  for (const std::string& name : names) {
    for (const kb::Limit* limit : catalogue.LimitsOf(name)) out.push_back({limit, name});
  }
  return out;
}

std::string WhereInLaw(const kb::Limit& limit) {
  std::string where = limit.jurisdiction;
  if (!limit.annex.empty()) where += (limit.jurisdiction == "EU" ? " Annex " : " ") + limit.annex;
  return limit.entry.empty() ? where : where + "/" + limit.entry;
}

std::vector<CardConflict> ConflictsOnCard(const kb::Catalogue& catalogue, kb::IngredientIx ix) {
  std::vector<CardConflict> out;
  for (const kb::Conflict& conflict : catalogue.conflicts()) {
    const bool first = IsOn(catalogue, conflict.a, ix);
    if (!first && !IsOn(catalogue, conflict.b, ix)) continue;
    const kb::ConflictSide& own = first ? conflict.a : conflict.b;
    const kb::ConflictSide& other = first ? conflict.b : conflict.a;
    if (!IsAsAsked(catalogue, own.condition, ix)) continue;
    std::string condition = WithoutIs(own.condition);
    if (!other.condition.empty()) condition += (condition.empty() ? "" : "; ") + other.condition;
    out.push_back({&conflict, first, SideNames(catalogue, other), std::move(condition)});
  }
  return out;
}

namespace {

// One cell of the table of members; "" not known.
std::string MemberCell(const kb::Catalogue& catalogue, kb::IngredientIx ix, const std::string& property) {
  if (property == "side") return std::string(kb::SideName(kb::SideOf(catalogue, ix)));
  if (property == "ph_window") {
    const auto window = kb::ProductPh(catalogue, ix);
    return window ? PlainRange(*window) : "";
  }
  const auto id = catalogue.FindProperty(property);
  if (!id || !catalogue.properties()[*id].keys.empty()) return "";
  std::vector<std::string> texts;
  for (const kb::Fact& fact : catalogue.Facts(ix, property)) {
    std::string text = fact.number ? PlainRange(*fact.number) : Spaced(fact.text);
    if (!Holds(texts, text)) texts.push_back(std::move(text));
    if (fact.number) break;  // the most trusted one; second opinions are on the ingredient's own card
  }
  return fmt::format("{}", fmt::join(texts, ", "));
}

}  // namespace

MemberTable CompareMembers(const kb::Catalogue& catalogue, kb::FunctionIx function) {
  constexpr std::size_t kMostColumns = 6;
  constexpr std::size_t kKnownOfOneIn = 5;  // a column that is known of fewer says little
  const auto members = catalogue.Members(function);
  std::vector<kb::Comparison> by_weight = catalogue.function(function).compare;
  std::stable_sort(by_weight.begin(), by_weight.end(),
                   [](const kb::Comparison& a, const kb::Comparison& b) { return a.weight > b.weight; });
  MemberTable table;
  for (const kb::Comparison& compared : by_weight) {
    if (table.columns.size() == kMostColumns) break;
    const auto known = static_cast<std::size_t>(std::count_if(members.begin(), members.end(), [&](auto ix) {
      return !MemberCell(catalogue, ix, compared.property).empty();
    }));
    if (known > 0 && known * kKnownOfOneIn >= members.size()) table.columns.push_back(compared.property);
  }
  for (const kb::IngredientIx ix : members) {
    MemberTable::Row row;
    row.ingredient = ix;
    for (const kb::Fact& fact : catalogue.Facts(ix, "use_pct")) {
      if (row.level.empty() && fact.number && fact.function == catalogue.function(function).id)
        row.level = PlainRange(*fact.number);
    }
    for (const std::string& column : table.columns) row.cells.push_back(MemberCell(catalogue, ix, column));
    table.rows.push_back(std::move(row));
  }
  const auto key = [&](const MemberTable::Row& row) {
    return std::pair(catalogue.FunctionRank(row.ingredient, function).value_or(0) > 0,
                     -catalogue.Number(row.ingredient, "commonness").value_or(kb::Range{}).mid());
  };
  std::stable_sort(table.rows.begin(), table.rows.end(),
                   [&](const MemberTable::Row& a, const MemberTable::Row& b) { return key(a) < key(b); });
  return table;
}

namespace {

ComparedRow::Cell CompareCell(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                              const kb::Property& property, const std::string& key) {
  ComparedRow::Cell cell;
  std::vector<std::string> texts;
  for (const kb::Fact& fact : catalogue.Facts(ix, property.id)) {
    if (fact.key != key) continue;
    kb::Fact shown = fact;
    shown.key.clear();
    std::string text = FactText(catalogue, shown);
    if (cell.fact == nullptr) cell.fact = &fact;
    if (!Holds(texts, text)) texts.push_back(std::move(text));
  }
  cell.text = fmt::format("{}", fmt::join(texts, "; "));
  return cell;
}

// Are these the same words, whatever their order?
std::set<std::string> Set(const std::string& text) {
  const std::vector<std::string> parts = kb::SplitTrimmed(text, ';');
  return {parts.begin(), parts.end()};
}

}  // namespace

SideBySide CompareIngredients(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& items) {
  SideBySide out;
  out.items = items;
  for (const kb::Property& property : catalogue.properties()) {
    if (property.id == "about" || property.id == "tip" || property.id == "look") continue;
    std::set<std::string> keys;
    for (const kb::IngredientIx ix : items) {
      for (const kb::Fact& fact : catalogue.Facts(ix, property.id)) keys.insert(fact.key);
    }
    for (const std::string& key : keys) {
      ComparedRow row{property.id, key, property.group, {}, false, false};
      std::set<std::set<std::string>> seen;
      for (const kb::IngredientIx ix : items) {
        row.cells.push_back(CompareCell(catalogue, ix, property, key));
        if (row.cells.back().text.empty()) {
          row.incomplete = true;
        } else {
          seen.insert(Set(row.cells.back().text));
        }
      }
      row.differs = seen.size() > 1;
      out.rows.push_back(std::move(row));
    }
  }
  return out;
}

}  // namespace query
