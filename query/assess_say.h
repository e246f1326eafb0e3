// What the rooms of Assess share when they word a finding.
#pragma once

#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "query/assess.h"

namespace query::parts {

// Adds a finding; the rest of it is the caller's to fill in.
Finding& Say(Assessment& out, Severity severity, std::string_view topic, std::string key, std::string text,
             std::string advice = {});

// Three figures, no more digits than that needs: "0.855", "12.3", "5".
std::string Figure(double value);

// "a", "a and b", "a, b and c"
std::string Joined(const std::vector<std::string>& words);

// Common names of the ingredients of these lines, joined.
std::string LineNames(const kb::Catalogue& catalogue, const kb::Formula& formula,
                      std::span<const std::size_t> lines);

// Is one of these among its functions? By id.
bool HasAny(const kb::Catalogue& catalogue, kb::IngredientIx ix,
            std::initializer_list<std::string_view> functions);
// Is one of these the function that it is there for first?
bool IsMainly(const kb::Catalogue& catalogue, kb::IngredientIx ix,
              std::initializer_list<std::string_view> functions);

// Key of a fact's source; "" for nullptr.
std::string SourceOf(const kb::Catalogue& catalogue, const kb::Fact* fact);

// Which side of the batch a phase is (its lines by weight), by the name that AddHeat gave it.
bool IsOilPhase(const PhaseTotal& phase);

}  // namespace query::parts
