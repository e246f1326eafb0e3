// An ingredient as one run of bytes, for the base: read back by walking over it once, with nothing to look up or to parse.
//
// Numbers are unsigned, seven bits a byte, the lowest first, the last byte below 128; reals are IEEE 754 doubles, eight bytes as the
// machine holds them (a base is built where it is read); texts are their length and their bytes.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "kb/ingredient.h"

namespace kb {

std::string Pack(const Ingredient& item);

// nullopt where the bytes are not what Pack writes.
std::optional<Ingredient> Unpack(std::string_view bytes);

}  // namespace kb
