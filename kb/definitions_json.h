// Definitions as JSON text, the form in which the store keeps them: they are read whole and never queried by
// column.
#pragma once

#include <string>
#include <string_view>

#include "kb/definitions.h"

namespace kb {

std::string ToJson(const Property& item);
std::string ToJson(const Source& item);
std::string ToJson(const Function& item);
std::string ToJson(const ChemicalClass& item);
std::string ToJson(const ClaimRule& item);
std::string ToJson(const Limit& item);
std::string ToJson(const Conflict& item);
std::string ToJson(const Placing& item);
std::string ToJson(const SavedFormula& item);
std::string ToJson(const Phrase& item);

// The reverse; throw std::runtime_error where the text was not written by ToJson.
void FromJson(std::string_view text, Property& item);
void FromJson(std::string_view text, Source& item);
void FromJson(std::string_view text, Function& item);
void FromJson(std::string_view text, ChemicalClass& item);
void FromJson(std::string_view text, ClaimRule& item);
void FromJson(std::string_view text, Limit& item);
void FromJson(std::string_view text, Conflict& item);
void FromJson(std::string_view text, Placing& item);
void FromJson(std::string_view text, SavedFormula& item);
void FromJson(std::string_view text, Phrase& item);

}  // namespace kb
