// Questions as they arrive: options of the command line and parameters of an address are the same words. Reading them checks them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

#include "kb/formula.h"
#include "query/swap.h"

namespace query {

// Why a question could not be answered; the contract's {"error": {what, where, expected, nearest}}.
struct Trouble {
  enum class Kind { kNothingFound, kBadQuestion };
  Kind kind = Kind::kBadQuestion;
  std::string what, where, expected;
  std::vector<std::string> nearest;
  std::vector<kb::Complaint>
      complaints;  // of a formula, all of them; what and where are then the first one's
};

// Named values, repeated ones in order, and a formula's text where one came along.
struct Params {
  std::vector<std::pair<std::string, std::string>> values;
  std::optional<std::string> formula_text;
  std::string formula_name;  // file name, for messages

  std::string_view Get(std::string_view name) const;  // "" where absent; the last one where repeated
  std::vector<std::string> All(std::string_view name) const;
};

template <class T>
using Asked = tl::expected<T, Trouble>;

// A number in a range, with the point or the comma; nullopt where the parameter is absent.
Asked<std::optional<double>> ReadNumber(const Params& params, std::string_view name, double low, double high);

// true, 1, false, 0; false where it is absent or empty.
Asked<bool> ReadFlag(const Params& params, std::string_view name);

// The ingredient a name means, misspelt within reason; `corrected` says that it was taken for the nearest.
Asked<kb::NameMatch> ReadIngredient(const kb::Catalogue& catalogue, std::string_view name,
                                    std::string_view where);

// Claims to keep, each one that the base knows.
Asked<std::vector<std::string>> ReadClaims(const kb::Catalogue& catalogue, const Params& params);

// The formula that came along, else one of the base's own by `demo`, else the typical one for `kind`.
struct FormulaAsked {
  kb::Formula formula;
  std::string setting;  // for people
  bool typical = false;
};
Asked<FormulaAsked> ReadSetting(const kb::Catalogue& catalogue, const Params& params);
Asked<kb::Formula> ReadGivenFormula(const kb::Catalogue& catalogue, const Params& params);

// name, kind, level, ph, role, keep..., why_not..., limit, rebalance; with or without a formula. `shelf` are the ingredients in stock.
struct SwapAsked {
  SwapQuestion question;
  std::string taken_for;  // the name that a misspelt one was taken for; "" otherwise
};
Asked<SwapAsked> ReadSwapQuestion(const kb::Catalogue& catalogue, const Params& params,
                                  const std::vector<kb::IngredientIx>& shelf = {});

}  // namespace query
