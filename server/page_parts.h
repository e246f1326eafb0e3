// What the pages share. Includes the JSON library: for .cc files only.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "query/card_words.h"
#include "server/app.h"
#include "server/draw.h"
#include "server/view.h"

namespace server {

// A command's answer as JSON; the contract's error document and its status where there is none.
struct Told {
  Json document;
  int status = 200;
  bool ok() const { return status == 200; }
};
Told Tell(const Context& context, std::string_view command, const query::Params& params);

// Registers a page and its twin. A page gives its JSON first and makes a page of it only where one is wanted.
using PageHandler = std::function<Answer(const Context&, const Question&, const std::string& word)>;
void AddPage(App& app, const std::string& path, PageHandler page);

// The error document; App makes a page of it for those who read pages.
Answer Failed(const Told& told);

using query::PropertyLabel;
// "heated-oil" -> "heated oil"
std::string Words(std::string text);
// "peg-free" -> "PEG-free"
std::string ClaimWords(std::string id);
// What a formula of the base's own calls itself.
std::string FormulaName(const kb::SavedFormula& formula);
// "do-not-swap" -> "Do not swap"
std::string VerdictWords(std::string_view verdict);
// "heated-water" -> "heated water phase"
std::string PositionWords(std::string_view position);
// A fact of `show` as a person writes it: "2-10 %", "49.3 C at 25 C".
std::string FactValue(const Json& fact);
std::string UnitWords(std::string unit);

// One line of what matters of an ingredient beside others: level, pH, solubility, and what its role compares.
Json ShortFacts(const kb::Catalogue& catalogue, kb::IngredientIx ix, std::string_view function);

// Choices for selects, the chosen one marked.
Json KindChoices(std::string_view chosen);
Json ClaimChoices(const kb::Catalogue& catalogue, const std::vector<std::string>& chosen);
Json FunctionChoices(const kb::Catalogue& catalogue, std::string_view chosen);
Json ChoicesOf(const kb::Catalogue& catalogue, std::string_view property, std::string_view chosen);

// Bars before and after from a stand-in's or a swap's changes.
Json PhaseBars(const Json& changes);
// Prepares a stand-in of `swap` for the template _stand_in.
Json StandInView(const Json& stand_in);
Json ChangesView(const Json& changes);
// Prepares what a rebalancing says for the template _rebalanced.
Json RebalancedView(const Json& rebalanced);

}  // namespace server
