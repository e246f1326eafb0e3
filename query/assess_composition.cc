#include <algorithm>
#include <array>
#include <map>
#include <unordered_map>

#include "kb/chemistry/composition.h"
#include "kb/text.h"
#include "query/assess_parts.h"
#include "query/facts.h"

namespace query::parts {
namespace {

using kb::chemistry::Portion;

// Ingredients and label names numbered as RollUp wants them: only those that this formula touches.
class Numbering {
 public:
  explicit Numbering(const kb::Catalogue& catalogue) : catalogue_(catalogue) {}

  std::size_t OfRecord(kb::IngredientIx ix) {
    const auto [place, fresh] = by_record_.try_emplace(ix, recipes_.size());
    if (!fresh) return place->second;
    const std::size_t number = place->second;
    recipes_.emplace_back();
    records_.emplace_back(ix);
    names_.push_back(catalogue_.at(ix).inci);
    std::vector<Portion> parts;
    for (const kb::Component& part : catalogue_.at(ix).composition) {
      const std::size_t item = part.ingredient ? OfRecord(*part.ingredient) : OfName(part.inci);
      parts.push_back({item, part.pct});
    }
    recipes_[number] = std::move(parts);
    return number;
  }

  std::span<const std::vector<Portion>> recipes() const { return recipes_; }
  const std::string& name(std::size_t number) const { return names_[number]; }
  std::optional<kb::IngredientIx> record(std::size_t number) const { return records_[number]; }

 private:
  std::size_t OfName(const std::string& inci) {
    const auto [place, fresh] = by_name_.try_emplace(inci, recipes_.size());
    if (fresh) {
      recipes_.emplace_back();
      names_.push_back(inci);
      records_.push_back(catalogue_.FindExact(inci));
    }
    return place->second;
  }

  const kb::Catalogue& catalogue_;
  std::vector<std::vector<Portion>> recipes_;
  std::vector<std::string> names_;
  std::vector<std::optional<kb::IngredientIx>> records_;
  std::unordered_map<kb::IngredientIx, std::size_t> by_record_;
  std::map<std::string, std::size_t> by_name_;
};

bool Has(const kb::Catalogue& catalogue, kb::IngredientIx ix,
         std::initializer_list<std::string_view> functions) {
  for (const kb::FunctionIx function : catalogue.at(ix).functions) {
    if (std::find(functions.begin(), functions.end(), catalogue.function(function).id) != functions.end())
      return true;
  }
  return false;
}

void Sort(const kb::Catalogue& catalogue, const Substance& item, Composition& sums) {
  if (!item.record) {
    sums.not_sorted.push_back(item.inci);
    return;
  }
  const kb::IngredientIx ix = *item.record;
  const std::string_view chemical_class = catalogue.Choice(ix, "class");
  const std::string_view family = catalogue.Family(chemical_class);
  if (chemical_class.empty()) sums.not_sorted.push_back(item.inci);
  // A part that is known by its label name alone may lead to a record of its solution; here it stands without the water.
  const bool taken_apart = !catalogue.at(ix).composition.empty();
  if (!taken_apart) sums.water += item.pct * WaterShare(catalogue, ix);
  const bool emulsifier = IsEmulsifier(catalogue, ix);
  if (emulsifier) sums.emulsifiers += item.pct;
  if (IsLipid(catalogue, ix) && !emulsifier) sums.oils += item.pct;
  if (family == "polyols" || Has(catalogue, ix, {"humectant"})) sums.humectants += item.pct;
  if (Has(catalogue, ix, {"surfactant-anionic", "surfactant-amphoteric", "surfactant-nonionic"})) {
    sums.surfactant_active += item.pct * (taken_apart ? 1 : ActiveShare(catalogue, ix));
  }
  if (family == "mineral-salts" || family == "bases" || family == "mineral-acids" ||
      family == "organic-acids" || chemical_class == "hygroscopic-salt") {
    sums.electrolytes += item.pct;
  }
  if (chemical_class == "alcohol") sums.alcohol += item.pct;
  if (chemical_class == "glycol" || chemical_class == "polyol") sums.glycols += item.pct;
  if (catalogue.Choice(ix, "in_water") == "dissolves" &&
      (catalogue.Choice(ix, "form") == "powder" || catalogue.Choice(ix, "form") == "crystals")) {
    sums.solids_dissolved += item.pct;
  }
}

}  // namespace

std::vector<Substance> SubstancesOf(const kb::Catalogue& catalogue, const kb::Formula& formula) {
  Numbering numbering(catalogue);
  std::vector<Portion> lines;
  lines.reserve(formula.lines.size());
  for (const kb::FormulaLine& line : formula.lines)
    lines.push_back({numbering.OfRecord(line.ingredient), line.pct});
  // Substances are what the label names: two forms of one substance are one.
  std::map<std::string, Substance> by_inci;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto parts = kb::chemistry::RollUp(std::span(&lines[i], 1), numbering.recipes());
    if (!parts) continue;  // the indexer refuses such a composition
    for (const Portion& part : *parts) {
      Substance& item = by_inci[numbering.name(part.item)];
      item.inci = numbering.name(part.item);
      if (!item.record) item.record = numbering.record(part.item);
      item.pct += part.amount;
      if (item.lines.empty() || item.lines.back() != i) item.lines.push_back(i);
    }
  }
  std::vector<Substance> out;
  out.reserve(by_inci.size());
  for (auto& [inci, item] : by_inci) out.push_back(std::move(item));
  std::stable_sort(out.begin(), out.end(),
                   [](const Substance& a, const Substance& b) { return a.pct > b.pct; });
  return out;
}

void AddComposition(const Setting& setting, Assessment& out) {
  const kb::Formula& formula = setting.formula;
  for (std::size_t i = 0; i < formula.phases.size(); ++i) {
    PhaseTotal& phase = out.phases.emplace_back();
    phase.phase = formula.phases[i];
    for (const kb::FormulaLine& line : formula.lines) {
      if (line.phase == i) phase.pct += line.pct;
    }
    out.total_pct += phase.pct;
  }
  out.substances = SubstancesOf(setting.catalogue, formula);
  for (const Substance& item : out.substances) Sort(setting.catalogue, item, out.composition);
}

}  // namespace query::parts
