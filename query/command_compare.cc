// `compare`: two to five side by side.
#include <fmt/format.h>

#include <algorithm>

#include "query/card.h"
#include "query/card_words.h"
#include "query/facts.h"
#include "query/json_common.h"
#include "query/render.h"
#include "query/service.h"

namespace query {
namespace {

tl::unexpected<Trouble> Bad(std::string what, std::string expected) {
  return tl::unexpected(
      Trouble{Trouble::Kind::kBadQuestion, std::move(what), "name", std::move(expected), {}, {}});
}

struct CompareAsked {
  std::vector<kb::IngredientIx> items;
  std::vector<std::string> taken_for;  // beside items; "" where the name was right
};

Asked<CompareAsked> ReadCompare(const kb::Catalogue& catalogue, const Params& params) {
  const std::vector<std::string> names = params.All("name");
  if (names.size() < 2 || names.size() > kMostCompared) {
    return Bad(fmt::format("{} name{} to compare", names.size(), names.size() == 1 ? "" : "s"),
               fmt::format("two to {} names; quote those of several words", kMostCompared));
  }
  CompareAsked out;
  for (const std::string& name : names) {
    const auto found = ReadIngredient(catalogue, name, "name");
    if (!found) return tl::unexpected(found.error());
    if (std::find(out.items.begin(), out.items.end(), found->ingredient) != out.items.end())
      return Bad(fmt::format("'{}' is there twice", name), "different ingredients");
    out.items.push_back(found->ingredient);
    out.taken_for.push_back(found->corrected ? catalogue.at(found->ingredient).name : "");
  }
  return out;
}

std::string Label(const ComparedRow& row) {
  const std::string out = PropertyLabel(row.property);
  return row.key.empty() ? out : out + " " + row.key;
}

std::string CompareJson(const kb::Catalogue& catalogue, const SideBySide& table, const CompareAsked& asked) {
  Json items = Json::array();
  for (std::size_t i = 0; i < table.items.size(); ++i) {
    const kb::Ingredient& item = catalogue.at(table.items[i]);
    Json functions = Json::array();
    for (const kb::FunctionIx function : item.functions) functions.push_back(catalogue.function(function).id);
    items.push_back({{"id", item.id}, {"inci", item.inci}, {"name", item.name}, {"functions", functions}});
    if (!asked.taken_for[i].empty()) items.back()["taken_for"] = asked.taken_for[i];
  }
  Json rows = Json::array();
  for (const ComparedRow& row : table.rows) {
    Json cells = Json::array();
    for (const ComparedRow::Cell& cell : row.cells) {
      if (cell.fact == nullptr) {
        cells.push_back(nullptr);
        continue;
      }
      cells.push_back({{"text", cell.text},
                       {"standing", kb::StandingName(cell.fact->standing)},
                       {"source", catalogue.source(cell.fact->source).key}});
    }
    rows.push_back({{"property", row.property},
                    {"key", row.key},
                    {"group", row.group},
                    {"values", std::move(cells)},
                    {"differs", row.differs},
                    {"incomplete", row.incomplete}});
  }
  return Dumped({{"items", std::move(items)}, {"rows", std::move(rows)}});
}

std::string CompareText(const kb::Catalogue& catalogue, const SideBySide& table, const CompareAsked& asked,
                        const Look& look) {
  constexpr std::size_t kLabel = 22;
  constexpr std::size_t kNarrowest = 14;
  const std::size_t width = std::max(kNarrowest, (look.width - kLabel - 2) / table.items.size());
  std::string out;
  for (const auto& taken : asked.taken_for) {
    if (!taken.empty()) out += fmt::format("Taken for {}.\n", taken);
  }
  std::vector<std::size_t> widths = {2, kLabel};
  for (std::size_t i = 0; i < table.items.size(); ++i) widths.push_back(width);
  const auto line = [&](std::string_view mark, const std::string& label, std::vector<std::string> cells) {
    cells.insert(cells.begin(), {std::string(mark), label});
    out += TableLine(cells, widths, 0);
  };
  std::vector<std::string> names;
  for (const kb::IngredientIx ix : table.items) names.push_back(catalogue.at(ix).name);
  line("", "", names);
  std::string_view group;
  for (const ComparedRow& row : table.rows) {
    if (row.group != group) out += "\n";
    group = row.group;
    std::vector<std::string> cells;
    for (const ComparedRow::Cell& cell : row.cells)
      cells.push_back(cell.text.empty() ? "not known" : cell.text);
    line(row.differs ? "*" : row.incomplete ? "?" : "", Label(row), cells);
  }
  return out + "\n* differs   ? not known of all\n";
}

}  // namespace

Asked<Reply> AnswerCompare(const Base& base, const Params& params, Want want, const Look& look) {
  const auto asked = ReadCompare(base.catalogue, params);
  if (!asked) return tl::unexpected(asked.error());
  const SideBySide table = CompareIngredients(base.catalogue, asked->items);
  return Reply{want == Want::kJson ? CompareJson(base.catalogue, table, *asked)
                                   : CompareText(base.catalogue, table, *asked, look),
               true};
}

}  // namespace query
