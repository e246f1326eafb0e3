#include "kb/definitions.h"

#include <array>
#include <utility>

namespace kb {
namespace {

constexpr std::array<std::pair<Standing, std::string_view>, 5> kStandings = {{
    {Standing::kOwn, "own"},
    {Standing::kPublished, "published"},
    {Standing::kCommonPractice, "common practice"},
    {Standing::kEstimate, "estimate"},
    {Standing::kMemory, "memory"},
}};

constexpr std::array<std::pair<std::string_view, Standing>, 10> kKinds = {{
    {"law", Standing::kPublished},
    {"standard", Standing::kPublished},
    {"pharmacopoeia", Standing::kPublished},
    {"journal", Standing::kPublished},
    {"handbook", Standing::kPublished},
    {"dataset", Standing::kPublished},
    {"trade", Standing::kCommonPractice},
    {"teaching", Standing::kCommonPractice},
    {"practice", Standing::kCommonPractice},
    {"memory", Standing::kMemory},
}};

}  // namespace

std::string_view StandingName(Standing standing) {
  for (const auto& [value, name] : kStandings) {
    if (value == standing) return name;
  }
  return "memory";
}

std::optional<Standing> StandingFromName(std::string_view name) {
  for (const auto& [value, known] : kStandings) {
    if (known == name) return value;
  }
  return std::nullopt;
}

std::optional<Standing> StandingOfKind(std::string_view kind) {
  for (const auto& [known, standing] : kKinds) {
    if (known == kind) return standing;
  }
  return std::nullopt;
}

}  // namespace kb
