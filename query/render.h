// Text for a screen of so many columns.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace query {

// The text broken at blanks so that no line is longer than `width`, each line indented by `indent`, following ones by two more;
// ends with a new line. A word longer than the line stays whole.
std::string Wrapped(std::string_view text, std::size_t width, std::size_t indent);

// One row of a table: each cell broken inside its column (one blank to the next), so that nothing is cut; indented, without blanks at the end.
std::string TableLine(const std::vector<std::string>& cells, const std::vector<std::size_t>& widths,
                      std::size_t indent);

// For HTML, in text and in attributes between either kind of quotes.
std::string Escaped(std::string_view text);

}  // namespace query
