// The kind of product that a formula makes: how it is used, and what it is.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace kb {

enum class Use : std::uint8_t { kLeaveOn, kRinseOff };

enum class Form : std::uint8_t {
  kEmulsionOw,
  kEmulsionWo,
  kAnhydrous,
  kGel,
  kWater,
  kSurfactant,
  kConditioner,
  kPowder,
  kSunscreen,
};

inline constexpr std::array<Form, 9> kForms = {Form::kEmulsionOw,  Form::kEmulsionWo, Form::kAnhydrous,
                                               Form::kGel,         Form::kWater,      Form::kSurfactant,
                                               Form::kConditioner, Form::kPowder,     Form::kSunscreen};

struct Kind {
  Use use = Use::kLeaveOn;
  Form form = Form::kEmulsionOw;
  friend bool operator==(const Kind&, const Kind&) = default;
};

std::string_view UseName(Use use);     // "leave-on", "rinse-off"
std::string_view FormName(Form form);  // "emulsion-ow", "anhydrous" ...
std::string KindName(Kind kind);       // "leave-on/emulsion-ow"
std::string KindWords(Kind kind);      // "leave-on emulsion o/w", for people

// Reads "leave-on/emulsion-ow", "rinse-off surfactant", "leave-on emulsion o/w", "leave on o/w cream" and the
// like: one word group for the use and one for the form, in any case. nullopt where either is missing; the
// use may be left out of "sunscreen" (leave-on), "surfactant" and "conditioner" (rinse-off).
std::optional<Kind> ReadKind(std::string_view text);

// What ReadKind takes, for messages.
std::string KindsExpected();

bool IsEmulsion(Form form);  // o/w, w/o, conditioner, sunscreen
bool HoldsWater(Form form);  // all but anhydrous and powder

}  // namespace kb
