// The first line of an answer: what an ingredient or a function is, or what was asked about it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"
#include "kb/search_filter.h"
#include "query/text_index.h"

namespace query {

// The text up to the end of its first sentence (an abbreviation or a decimal point does not end one).
std::string FirstSentence(std::string_view text);

// What it is: the first sentence of `about`. With a function: what it is as that, and at what level.
std::string AboutIngredient(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                            std::optional<kb::FunctionIx> as = std::nullopt);
// What it does, and how many members it has.
std::string AboutFunction(const kb::Catalogue& catalogue, kb::FunctionIx function);
// "Named in the EU inventory as humectant; no working data here."
std::string AboutEntry(const kb::Catalogue& catalogue, const InventoryEntry& entry);

// The answer to a question (phase, heat, level, ph, hlb, melts, dissolves, claim) about one ingredient, with the
// standing of the fact; says so where it is not known. `filters`: what a claim question asks for.
std::string AnswerFact(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::string_view ask,
                       const std::vector<kb::SearchFilter>& filters);
// The same for a function: what holds for most of its members.
std::string AnswerForMembers(const kb::Catalogue& catalogue, kb::FunctionIx function, std::string_view ask);

// A filter for people: "vegan", "solubility: oil", "pH below 4".
std::string FilterText(const kb::Catalogue& catalogue, const kb::SearchFilter& filter);

}  // namespace query
