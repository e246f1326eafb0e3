// A sheet of stand-ins as text, as Markdown and as a page to print. Names come from a maker's file and may hold any sign.
#pragma once

#include <string>
#include <string_view>

#include "query/sheet.h"

namespace query {

inline constexpr std::string_view kSheetCaution =
    "Start with a small batch. Measure the pH, and have a changed formula that holds water challenge-tested "
    "before sale "
    "(ISO 11930). Sun protection cannot be swapped. Limits differ by country: check the local code.";

std::string SheetText(const Catalogue& catalogue, const Sheet& sheet, std::size_t width);
std::string SheetMarkdown(const Catalogue& catalogue, const Sheet& sheet);
std::string SheetHtml(const Catalogue& catalogue, const Sheet& sheet);

}  // namespace query
