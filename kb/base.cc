#include "kb/base.h"

#include <cstdlib>
#include <system_error>

#include "kb/store.h"

namespace kb {

BaseFiles CurrentBase(const std::filesystem::path& root) {
  std::error_code error;
  std::filesystem::path folder = std::filesystem::canonical(root / "current", error);
  if (error) {
    throw StoreError("no base at '" + root.string() + "': build one with ./run, or stillroom-index --base " +
                     root.string());
  }
  return BaseFiles{folder, folder.filename().string()};
}

std::filesystem::path DefaultBaseRoot() {
  if (const char* told = std::getenv("STILLROOM_BASE"); told != nullptr && *told != '\0') return told;
  std::error_code error;
  if (std::filesystem::exists("base/current", error)) return "base";
#ifdef STILLROOM_DEFAULT_BASE
  return STILLROOM_DEFAULT_BASE;
#else
  return "base";
#endif
}

}  // namespace kb
