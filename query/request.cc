#include "query/request.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "kb/text.h"

namespace query {
namespace {

constexpr double kMostStandIns = 50;

tl::unexpected<Trouble> Bad(std::string what, std::string where, std::string expected,
                            std::vector<std::string> nearest = {}) {
  return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                std::move(what),
                                std::move(where),
                                std::move(expected),
                                std::move(nearest),
                                {}});
}

std::vector<std::string> FunctionIds(const kb::Catalogue& catalogue) {
  std::vector<std::string> ids;
  for (const kb::Function& function : catalogue.functions()) ids.push_back(function.id);
  return ids;
}

Trouble FormulaTrouble(const std::string& name, std::vector<kb::Complaint> complaints) {
  const kb::Complaint& first = complaints.front();
  Trouble trouble;
  trouble.what = first.what;
  trouble.where = first.line == 0 ? name : fmt::format("{}:{}:{}", name, first.line, first.column);
  trouble.expected = first.expected;
  trouble.nearest = first.nearest;
  trouble.complaints = std::move(complaints);
  return trouble;
}

Asked<std::optional<kb::Kind>> ReadKindParam(const Params& params) {
  const std::string_view text = params.Get("kind");
  if (text.empty()) return std::optional<kb::Kind>();
  const auto kind = kb::ReadKind(text);
  if (!kind) return Bad(fmt::format("'{}' is no kind of product", text), "kind", kb::KindsExpected());
  return kind;
}

}  // namespace

std::string_view Params::Get(std::string_view name) const {
  std::string_view found;
  for (const auto& [key, value] : values) {
    if (key == name) found = value;
  }
  return found;
}

std::vector<std::string> Params::All(std::string_view name) const {
  std::vector<std::string> out;
  for (const auto& [key, value] : values) {
    if (key == name && !value.empty()) out.push_back(value);
  }
  return out;
}

Asked<std::optional<double>> ReadNumber(const Params& params, std::string_view name, double low,
                                        double high) {
  std::string text(kb::Trim(params.Get(name)));
  if (text.empty()) return std::optional<double>();
  std::replace(text.begin(), text.end(), ',', '.');
  if (text.back() == '%') text.pop_back();
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  const bool number = end != text.c_str() && kb::Trim(end).empty() && std::isfinite(value);
  if (!number || value < low || value > high) {
    return Bad(fmt::format("'{}' is no value for {}", params.Get(name), name), std::string(name),
               fmt::format("a number from {:g} to {:g}", low, high));
  }
  return std::optional(value);
}

Asked<bool> ReadFlag(const Params& params, std::string_view name) {
  const std::string_view text = params.Get(name);
  if (text == "true" || text == "1") return true;
  if (text.empty() || text == "false" || text == "0") return false;
  return Bad(fmt::format("'{}' is no value for {}", text, name), std::string(name), "true, 1, false or 0");
}

Asked<kb::NameMatch> ReadIngredient(const kb::Catalogue& catalogue, std::string_view name,
                                    std::string_view where) {
  if (kb::Fold(name).empty())
    return Bad("no name given", std::string(where),
               "a name: INCI, common name, abbreviation, CAS or EC number");
  if (auto found = catalogue.FindName(name)) return *found;
  Trouble trouble;
  trouble.kind = Trouble::Kind::kNothingFound;
  trouble.what = fmt::format("no ingredient named '{}'", name);
  trouble.where = where;
  trouble.expected = "a name that the base knows: INCI, common name, abbreviation, CAS or EC number";
  trouble.nearest = catalogue.NearestNames(name, 3);
  return tl::unexpected(std::move(trouble));
}

Asked<std::vector<std::string>> ReadClaims(const kb::Catalogue& catalogue, const Params& params) {
  std::vector<std::string> known;
  for (const kb::ClaimRule& rule : catalogue.claims()) known.push_back(rule.id);
  std::vector<std::string> out;
  for (const std::string& claim : params.All("keep")) {
    if (std::find(known.begin(), known.end(), claim) == known.end()) {
      return Bad(fmt::format("'{}' is no claim we know", claim), "keep",
                 fmt::format("one of {}", fmt::join(known, ", ")), kb::Nearest(claim, known, 3));
    }
    out.push_back(claim);
  }
  return out;
}

Asked<kb::Formula> ReadGivenFormula(const kb::Catalogue& catalogue, const Params& params) {
  if (!params.formula_text)
    return Bad("no formula given", "formula", "a formula file: phase, ingredient, percent");
  const auto kind = ReadKindParam(params);
  if (!kind) return tl::unexpected(kind.error());
  auto formula = kb::ReadFormula(catalogue, *params.formula_text, *kind);
  if (!formula) return tl::unexpected(FormulaTrouble(params.formula_name, std::move(formula.error())));
  if (formula->name.empty()) formula->name = params.formula_name;
  const auto ph = ReadNumber(params, "ph", 0, 14);
  if (!ph) return tl::unexpected(ph.error());
  if (*ph) formula->target_ph = **ph;
  return std::move(*formula);
}

Asked<FormulaAsked> ReadSetting(const kb::Catalogue& catalogue, const Params& params) {
  if (params.formula_text) {
    auto formula = ReadGivenFormula(catalogue, params);
    if (!formula) return tl::unexpected(formula.error());
    std::string name = formula->name;
    return FormulaAsked{std::move(*formula), std::move(name), false};
  }
  const auto kind = ReadKindParam(params);
  if (!kind) return tl::unexpected(kind.error());
  const kb::Kind wanted = kind->value_or(kb::Kind{});
  const kb::SavedFormula* saved = nullptr;
  // A kind without a typical formula of its own borrows the one for the other use.
  for (const kb::Use use : {wanted.use, kb::Use::kLeaveOn, kb::Use::kRinseOff}) {
    const std::string id = fmt::format("{}-{}", kb::UseName(use), kb::FormName(wanted.form));
    if (saved == nullptr) saved = catalogue.FindFormula("typical", id);
  }
  if (saved == nullptr)
    return Bad("the base holds no typical formula for this kind", "kind", kb::KindsExpected());
  auto formula = kb::ReadFormula(catalogue, saved->text);
  if (!formula) return tl::unexpected(FormulaTrouble(saved->id, std::move(formula.error())));
  formula->kind = wanted;
  const auto ph = ReadNumber(params, "ph", 0, 14);
  if (!ph) return tl::unexpected(ph.error());
  if (*ph) formula->target_ph = **ph;
  return FormulaAsked{std::move(*formula), fmt::format("a typical {}", kb::KindWords(wanted)), true};
}

Asked<SwapAsked> ReadSwapQuestion(const kb::Catalogue& catalogue, const Params& params,
                                  const std::vector<kb::IngredientIx>& shelf) {
  const auto named = ReadIngredient(catalogue, params.Get("name"), "name");
  if (!named) return tl::unexpected(named.error());
  auto setting = ReadSetting(catalogue, params);
  if (!setting) return tl::unexpected(setting.error());
  const auto level = ReadNumber(params, "level", 0, 100);
  if (!level) return tl::unexpected(level.error());
  const auto limit = ReadNumber(params, "limit", 1, kMostStandIns);
  if (!limit) return tl::unexpected(limit.error());
  auto keep = ReadClaims(catalogue, params);
  if (!keep) return tl::unexpected(keep.error());
  const auto rebalance = ReadFlag(params, "rebalance");
  if (!rebalance) return tl::unexpected(rebalance.error());

  SwapAsked out;
  if (named->corrected) out.taken_for = catalogue.at(named->ingredient).name;
  SwapQuestion& question = out.question;
  question.formula = std::move(setting->formula);
  question.setting = std::move(setting->setting);
  question.typical = setting->typical;
  question.keep = std::move(*keep);
  for (const std::string& claim : question.formula.keep) {
    if (std::find(question.keep.begin(), question.keep.end(), claim) == question.keep.end())
      question.keep.push_back(claim);
  }
  if (*limit) question.limit = static_cast<std::size_t>(**limit);
  question.rebalance = *rebalance;
  question.role = params.Get("role");
  if (!question.role.empty() && !catalogue.FindFunction(question.role)) {
    return Bad(fmt::format("no function named '{}'", question.role), "role",
               "a function's id or name: stillroom find FUNCTION",
               kb::Nearest(question.role, FunctionIds(catalogue), 3));
  }
  for (const std::string& name : params.All("why_not")) {
    const auto other = ReadIngredient(catalogue, name, "why_not");
    if (!other) return tl::unexpected(other.error());
    question.why_not.push_back(other->ingredient);
  }
  question.shelf = shelf;
  for (const std::string& id :
       params.All("shelf")) {  // the server's; ids, and some may be gone from the base
    if (const auto stocked = catalogue.FindId(id)) question.shelf.push_back(*stocked);
  }
  question.only_shelf = params.Get("on_shelf") == "true" || params.Get("on_shelf") == "1";
  if (catalogue.at(named->ingredient).functions.empty()) {
    return Bad(fmt::format("{} has no function in the base", catalogue.at(named->ingredient).name), "name",
               "an ingredient with working data");
  }
  const auto& lines = question.formula.lines;
  const auto line = std::find_if(lines.begin(), lines.end(), [&](const kb::FormulaLine& item) {
    return item.ingredient == named->ingredient;
  });
  if (line != lines.end() && !question.typical) {
    question.line = static_cast<std::size_t>(line - lines.begin());
    return out;
  }
  if (!question.typical) {
    std::vector<std::string> there;
    there.reserve(lines.size());
    for (const kb::FormulaLine& item : lines) there.push_back(catalogue.at(item.ingredient).name);
    return Bad(fmt::format("{} is not in the formula", catalogue.at(named->ingredient).name), "name",
               fmt::format("one of its ingredients: {}", fmt::join(there, ", ")));
  }
  question.line = PutIn(catalogue, question.formula, named->ingredient, *level, question.role);
  return out;
}

}  // namespace query
