#include "query/role_table.h"

#include <algorithm>
#include <cstring>
#include <string>
#include <unordered_map>

namespace query {
namespace {

constexpr double kNearFunction = 0.72;  // a function that can take over less well
constexpr double kRankFall = 0.12;      // a candidate for whom the role is no main function
constexpr double kRare = 0.72;          // of two that are as alike, the one that makers have on the shelf

// Members of the role, and of the functions that can take it over; by the function that suits best, of equals the first.
std::vector<RoleRow> Gather(const Catalogue& catalogue, kb::FunctionIx role) {
  std::map<IngredientIx, RoleRow> found;
  const auto add = [&](kb::FunctionIx function, double factor, std::size_t near) {
    for (const IngredientIx ix : catalogue.Members(function)) {
      RoleRow row;
      row.ingredient = ix;
      row.near = static_cast<std::uint16_t>(near);
      const double rank = static_cast<double>(catalogue.FunctionRank(ix, function).value_or(0));
      row.prior = factor * std::max(0.6, 1 - kRankFall * rank);
      const auto [place, fresh] = found.try_emplace(ix, row);
      if (!fresh && place->second.prior < row.prior) place->second = row;
    }
  };
  add(role, 1, 0);
  const std::vector<std::string>& near = catalogue.function(role).near;
  for (std::size_t i = 0; i < near.size(); ++i) {
    if (const auto function = catalogue.FindFunction(near[i])) add(*function, kNearFunction, i + 1);
  }
  std::vector<RoleRow> rows;
  rows.reserve(found.size());
  for (const auto& [ix, row] : found) rows.push_back(row);
  return rows;
}

// What tells two showings apart, as bytes.
class Signature {
 public:
  template <class T>
  void Add(const T& value) requires std::is_arithmetic_v<T> || std::is_enum_v<T> {
    char raw[sizeof value];
    std::memcpy(raw, &value, sizeof value);
    bytes_.append(raw, sizeof value);
  }
  void Add(std::string_view text) {
    Add(text.size());
    bytes_ += text;
  }
  void Add(const std::optional<kb::Range>& range) {
    Add(range.has_value());
    if (range) Add(range->low), Add(range->high);
  }
  std::string Take() { return std::move(bytes_); }

 private:
  std::string bytes_;
};

std::string SignatureOf(const Showing& showing) {
  Signature out;
  out.Add(showing.possible);
  out.Add(showing.trust);
  out.Add(showing.number);
  out.Add(showing.side);
  out.Add(showing.words.size());
  for (const std::string_view word : showing.words) out.Add(word);
  out.Add(showing.keyed.size());
  for (const auto& [key, number] : showing.keyed) out.Add(key), out.Add(number);
  out.Add(showing.acids.has_value());
  if (showing.acids) {
    for (const auto& [acid, share] : *showing.acids) {
      out.Add(acid.carbons), out.Add(acid.double_bonds), out.Add(acid.omega.value_or(-1));
      out.Add(acid.hydroxyls), out.Add(acid.conjugated), out.Add(acid.trans), out.Add(share);
    }
  }
  out.Add(showing.shares.size());
  for (const auto& [component, share] : showing.shares) out.Add(component), out.Add(share);
  out.Add(showing.hansen.has_value());
  if (showing.hansen) {
    out.Add(showing.hansen->dispersion);
    out.Add(showing.hansen->polar);
    out.Add(showing.hansen->hydrogen_bonding);
  }
  return out.Take();
}

RoleColumn ColumnOf(const Catalogue& catalogue, const kb::Comparison& by, const std::vector<RoleRow>& rows) {
  RoleColumn column;
  column.ruler = RulerFor(catalogue, by);
  std::unordered_map<std::string, std::uint32_t> known;
  column.place.reserve(rows.size());
  for (const RoleRow& row : rows) {
    Showing showing = Show(catalogue, column.ruler, row.ingredient);
    const auto [found, fresh] =
        known.try_emplace(SignatureOf(showing), static_cast<std::uint32_t>(column.showings.size()));
    if (fresh) column.showings.push_back(std::move(showing));
    column.place.push_back(found->second);
  }
  return column;
}

}  // namespace

std::uint64_t LabelHash(std::string_view inci) {
  return std::hash<std::string_view>{}(inci) | 1U;  // 0 stands for a blend
}

RoleTable::RoleTable(const Catalogue& catalogue, kb::FunctionIx role) : rows(Gather(catalogue, role)) {
  const kb::Function& function = catalogue.function(role);
  std::map<std::vector<kb::FunctionIx>, std::uint32_t> lists;
  facts.reserve(rows.size());
  for (std::uint32_t i = 0; i < rows.size(); ++i) {
    RoleRow& row = rows[i];
    const kb::Ingredient& item = catalogue.at(row.ingredient);
    const auto [list, fresh] =
        lists.try_emplace(item.functions, static_cast<std::uint32_t>(functions.size()));
    if (fresh) functions.push_back(item.functions);
    row.functions = list->second;
    const double known = catalogue.Commonness(row.ingredient);
    const double common = known > 0 ? known : 2;
    row.at_hand = kRare + (1 - kRare) * (common - 1) / 4;
    if (item.composition.empty()) {
      row.label = LabelHash(item.inci);
    } else {
      for (const std::string& name : LabelNames(catalogue, row.ingredient))
        parts.emplace_back(LabelHash(name), i);
    }
    facts.push_back(RuleFactsOf(catalogue, function, row.ingredient));
  }
  std::sort(parts.begin(), parts.end());
  for (const kb::Comparison& by : function.compare) columns.push_back(ColumnOf(catalogue, by, rows));
}

std::optional<std::uint32_t> RoleTable::RowOf(IngredientIx ix) const {
  const auto found =
      std::lower_bound(rows.begin(), rows.end(), ix,
                       [](const RoleRow& row, IngredientIx wanted) { return row.ingredient < wanted; });
  if (found == rows.end() || found->ingredient != ix) return std::nullopt;
  return static_cast<std::uint32_t>(found - rows.begin());
}

RoleTables::RoleTables(const Catalogue& catalogue) : places_(catalogue.functions().size()) {}

const RoleTable& RoleTables::Of(const Catalogue& catalogue, kb::FunctionIx role) const {
  Place& place = places_[role];
  std::call_once(place.once, [&] { place.table = std::make_unique<const RoleTable>(catalogue, role); });
  return *place.table;
}

}  // namespace query
