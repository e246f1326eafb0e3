// What a base holds as runs of bytes: read back by walking over them once, with nothing to look up or to parse.
//
// Numbers are unsigned, seven bits a byte, the lowest first, the last byte below 128; reals are IEEE 754 doubles, eight bytes as the
// machine holds them (a base is built where it is read); texts are their length and their bytes; lists their length and their items;
// records their members in the order of pack.cc.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/definitions.h"
#include "kb/ingredient.h"

namespace kb {

// An ingredient without its facts: those are packed apart, so that they can be left packed until somebody asks.
std::string Pack(const Ingredient& item);
std::string Pack(const std::vector<Fact>& facts);
std::string Pack(const std::vector<Property>& list);
std::string Pack(const std::vector<Source>& list);
std::string Pack(const std::vector<Function>& list);
std::string Pack(const std::vector<ChemicalClass>& list);
std::string Pack(const std::vector<ClaimRule>& list);
std::string Pack(const std::vector<Limit>& list);
std::string Pack(const std::vector<Conflict>& list);
std::string Pack(const std::vector<SavedFormula>& list);
std::string Pack(const Phrase& phrase);
std::string Pack(const Placing& placing);

// false where the bytes are not what Pack writes; what was read until then is in `out`, which must come empty.
bool Unpack(std::string_view bytes, Ingredient& out);
bool Unpack(std::string_view bytes, std::vector<Fact>& out);
bool Unpack(std::string_view bytes, std::vector<Property>& out);
bool Unpack(std::string_view bytes, std::vector<Source>& out);
bool Unpack(std::string_view bytes, std::vector<Function>& out);
bool Unpack(std::string_view bytes, std::vector<ChemicalClass>& out);
bool Unpack(std::string_view bytes, std::vector<ClaimRule>& out);
bool Unpack(std::string_view bytes, std::vector<Limit>& out);
bool Unpack(std::string_view bytes, std::vector<Conflict>& out);
bool Unpack(std::string_view bytes, std::vector<SavedFormula>& out);
bool Unpack(std::string_view bytes, Phrase& out);
bool Unpack(std::string_view bytes, Placing& out);

}  // namespace kb
