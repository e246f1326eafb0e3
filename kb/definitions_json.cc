#include "kb/definitions_json.h"

#include <nlohmann/json.hpp>
#include <stdexcept>

namespace kb {

using Json = nlohmann::json;

NLOHMANN_JSON_SERIALIZE_ENUM(ValueKind, {{ValueKind::kNumber, "number"},
                                         {ValueKind::kChoice, "choice"},
                                         {ValueKind::kText, "text"}})
NLOHMANN_JSON_SERIALIZE_ENUM(Standing, {{Standing::kOwn, "own"},
                                        {Standing::kPublished, "published"},
                                        {Standing::kCommonPractice, "common practice"},
                                        {Standing::kEstimate, "estimate"},
                                        {Standing::kMemory, "memory"}})

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Property, id, kind, group, unit, low, high, choices, ordered, keys,
                                   classes, help, more, less)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Source, key, kind, title, where, year, note, standing)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Comparison, property, weight, scale, ratio, better)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(FunctionCard, what, choose, levels, wrong, sources)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Requirement, property, any, none, in, because)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Function, id, name, group, also, inventory, required, wanted, compare,
                                   requires_, same, near, level_law, swap, swap_note, forms, supply, card)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ChemicalClass, id, family)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ClaimRule, id, text, broken_by_class, broken_by_origin, broken_by_function,
                                   broken_by_inci, kept_by_origin, burden, burden_factor, assume_kept)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ConflictSide, ingredients, functions, classes, charges, condition)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Conflict, id, a, b, severity, text, advice, source)

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlacingTerm, name, sign, values, number)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlacingRule, id, when, terms, weights, out, says, at, method, right, wrong,
                                   watch, source)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(BenchOutcome, sees, sets, share)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(BenchTest, id, fact, when, terms, how, outcomes)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Placing, prior, rules, tests)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SavedFormula, folder, id, text)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Phrase, id, words, ask, filters, wants, functions, look_for, idle)

// By hand, because of the optional maximum: null means a condition without a figure.
static void to_json(Json& json, const Limit& item) {
  json = Json{{"substance", item.substance},
              {"jurisdiction", item.jurisdiction},
              {"annex", item.annex},
              {"entry", item.entry},
              {"expressed_as", item.expressed_as},
              {"factor", item.factor},
              {"scope", item.scope},
              {"uses", item.uses},
              {"forms", item.forms},
              {"conditions", item.conditions},
              {"source", item.source},
              {"at", item.at},
              {"prohibited", item.prohibited}};
  json["max_pct"] = item.max_pct ? Json(*item.max_pct) : Json(nullptr);
}

static void from_json(const Json& json, Limit& item) {
  json.at("substance").get_to(item.substance);
  json.at("jurisdiction").get_to(item.jurisdiction);
  json.at("annex").get_to(item.annex);
  json.at("entry").get_to(item.entry);
  json.at("expressed_as").get_to(item.expressed_as);
  json.at("factor").get_to(item.factor);
  json.at("scope").get_to(item.scope);
  json.at("uses").get_to(item.uses);
  json.at("forms").get_to(item.forms);
  json.at("conditions").get_to(item.conditions);
  json.at("source").get_to(item.source);
  json.at("at").get_to(item.at);
  json.at("prohibited").get_to(item.prohibited);
  const Json& most = json.at("max_pct");
  item.max_pct = most.is_null() ? std::nullopt : std::optional(most.get<double>());
}

namespace {

template <class T>
void Read(std::string_view text, T& item) {
  try {
    Json::parse(text).get_to(item);
  } catch (const Json::exception& error) {
    throw std::runtime_error(std::string("definition in the base cannot be read: ") + error.what());
  }
}

}  // namespace

std::string ToJson(const Property& item) {
  return Json(item).dump();
}
std::string ToJson(const Source& item) {
  return Json(item).dump();
}
std::string ToJson(const Function& item) {
  return Json(item).dump();
}
std::string ToJson(const ChemicalClass& item) {
  return Json(item).dump();
}
std::string ToJson(const ClaimRule& item) {
  return Json(item).dump();
}
std::string ToJson(const Limit& item) {
  return Json(item).dump();
}
std::string ToJson(const SavedFormula& item) {
  return Json(item).dump();
}
std::string ToJson(const Phrase& item) {
  return Json(item).dump();
}
std::string ToJson(const Conflict& item) {
  return Json(item).dump();
}
std::string ToJson(const Placing& item) {
  return Json(item).dump();
}

void FromJson(std::string_view text, Property& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Source& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Function& item) {
  Read(text, item);
}
void FromJson(std::string_view text, ChemicalClass& item) {
  Read(text, item);
}
void FromJson(std::string_view text, ClaimRule& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Limit& item) {
  Read(text, item);
}
void FromJson(std::string_view text, SavedFormula& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Phrase& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Conflict& item) {
  Read(text, item);
}
void FromJson(std::string_view text, Placing& item) {
  Read(text, item);
}

}  // namespace kb
