# Writes OUTPUT, a C++ source that holds the FILES (a list, separated by |) as texts by their names.
string(REPLACE "|" ";" FILES "${FILES}")
set(rows "")
foreach(file IN LISTS FILES)
  file(READ "${file}" text)
  get_filename_component(name "${file}" NAME)
  string(APPEND rows "    {\"${name}\", R\"_text_(${text})_text_\"},\n")
endforeach()
file(WRITE "${OUTPUT}" "#include \"server/texts.h\"

#include <map>
#include <stdexcept>

namespace server {
namespace {

const std::map<std::string_view, std::string_view>& Texts() {
  static const std::map<std::string_view, std::string_view> texts = {
${rows}  };
  return texts;
}

}  // namespace

std::string Text(std::string_view name) {
  return std::string(Texts().at(name));
}

bool HasText(std::string_view name) {
  return Texts().count(name) != 0;
}

}  // namespace server
")
