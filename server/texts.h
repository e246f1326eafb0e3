// The pages, the styles, the scripts and the description of the interface, built into the program: nothing is looked for on disk, so
// that nothing on disk can be asked for.
#pragma once

#include <string>
#include <string_view>

namespace server {

// By file name: "find.mustache", "style.css". Throws std::out_of_range for a name that was not built in.
std::string Text(std::string_view name);
bool HasText(std::string_view name);

}  // namespace server
