// Small helpers for the files that write JSON. Includes the JSON library: for .cc files only.
#pragma once

#include <cmath>
#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "kb/catalogue.h"
#include "kb/formula.h"

namespace query {

using Json = nlohmann::json;

// Percentages, temperatures and pH to six digits behind the point: enough for parts per million, and none of the noise behind.
inline Json Number(double value) {
  return std::round(value * 1e6) / 1e6;
}

// null where nothing is known.
inline Json Maybe(const std::optional<double>& value) {
  return value ? Number(*value) : Json(nullptr);
}

inline Json Ids(const kb::Catalogue& catalogue, const std::vector<kb::IngredientIx>& ingredients) {
  Json out = Json::array();
  for (const kb::IngredientIx ix : ingredients) out.push_back(catalogue.at(ix).id);
  return out;
}

inline Json LineIds(const kb::Catalogue& catalogue, const kb::Formula& formula,
                    const std::vector<std::size_t>& lines) {
  Json out = Json::array();
  for (const std::size_t line : lines) out.push_back(catalogue.at(formula.lines[line].ingredient).id);
  return out;
}

// Never throws for bytes that are no UTF-8.
inline std::string Dumped(const Json& document) {
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace query
