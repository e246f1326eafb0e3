#include "kb/product.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "kb/text.h"

namespace kb {
namespace {

struct FormWords {
  Form form;
  std::string_view name, words;
};

constexpr std::array<FormWords, 9> kNames = {{
    {Form::kEmulsionOw, "emulsion-ow", "emulsion o/w"},
    {Form::kEmulsionWo, "emulsion-wo", "emulsion w/o"},
    {Form::kAnhydrous, "anhydrous", "anhydrous"},
    {Form::kGel, "gel", "gel"},
    {Form::kWater, "water", "water-based"},
    {Form::kSurfactant, "surfactant", "surfactant cleanser"},
    {Form::kConditioner, "conditioner", "conditioner"},
    {Form::kPowder, "powder", "powder"},
    {Form::kSunscreen, "sunscreen", "sunscreen"},
}};

// Words that say the form, longest first where one holds another.
constexpr std::array<std::pair<std::string_view, Form>, 20> kFormWords = {{
    {"emulsion wo", Form::kEmulsionWo},
    {"emulsion w o", Form::kEmulsionWo},
    {"w o", Form::kEmulsionWo},
    {"emulsion ow", Form::kEmulsionOw},
    {"emulsion o w", Form::kEmulsionOw},
    {"o w", Form::kEmulsionOw},
    {"sunscreen", Form::kSunscreen},
    {"conditioner", Form::kConditioner},
    {"shampoo", Form::kSurfactant},
    {"surfactant", Form::kSurfactant},
    {"cleanser", Form::kSurfactant},
    {"anhydrous", Form::kAnhydrous},
    {"balm", Form::kAnhydrous},
    {"powder", Form::kPowder},
    {"gel", Form::kGel},
    {"water", Form::kWater},
    {"toner", Form::kWater},
    {"lotion", Form::kEmulsionOw},
    {"cream", Form::kEmulsionOw},
    {"emulsion", Form::kEmulsionOw},
}};

bool HasWords(const std::string& folded, std::string_view words) {
  const std::string padded = " " + folded + " ";
  return padded.find(" " + std::string(words) + " ") != std::string::npos;
}

}  // namespace

std::string_view UseName(Use use) {
  return use == Use::kLeaveOn ? "leave-on" : "rinse-off";
}

std::string_view FormName(Form form) {
  for (const FormWords& item : kNames) {
    if (item.form == form) return item.name;
  }
  return "emulsion-ow";
}

std::string KindName(Kind kind) {
  return std::string(UseName(kind.use)) + "/" + std::string(FormName(kind.form));
}

std::string KindWords(Kind kind) {
  for (const FormWords& item : kNames) {
    if (item.form == kind.form) return std::string(UseName(kind.use)) + " " + std::string(item.words);
  }
  return KindName(kind);
}

std::optional<Kind> ReadKind(std::string_view text) {
  const std::string folded = Fold(text);
  std::optional<Form> form;
  for (const auto& [words, value] : kFormWords) {
    if (HasWords(folded, words)) {
      form = value;
      break;
    }
  }
  if (!form) return std::nullopt;
  if (HasWords(folded, "leave on")) return Kind{Use::kLeaveOn, *form};
  if (HasWords(folded, "rinse off")) return Kind{Use::kRinseOff, *form};
  if (*form == Form::kSunscreen) return Kind{Use::kLeaveOn, *form};
  if (*form == Form::kSurfactant || *form == Form::kConditioner) return Kind{Use::kRinseOff, *form};
  return std::nullopt;
}

std::string KindsExpected() {
  std::string out = "leave-on or rinse-off, and one of ";
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (i > 0) out += i + 1 == kNames.size() ? " or " : ", ";
    out += kNames[i].name;
  }
  return out;
}

bool IsEmulsion(Form form) {
  return form == Form::kEmulsionOw || form == Form::kEmulsionWo || form == Form::kConditioner ||
         form == Form::kSunscreen;
}

bool HoldsWater(Form form) {
  return form != Form::kAnhydrous && form != Form::kPowder;
}

}  // namespace kb
