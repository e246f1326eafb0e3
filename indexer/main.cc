#include <fmt/format.h>

#include "indexer/read_catalogue.h"
int main(int argc, char** argv) {
  indexer::Diagnostics out;
  std::string data = "data";
  for (int i = 1; i + 1 < argc; ++i)
    if (std::string(argv[i]) == "--data") data = argv[i + 1];
  const indexer::DataFolder folder = indexer::ReadDataFolder(data, out);
  const auto parts = indexer::ReadCatalogue(folder, out);
  if (!out.empty()) {
    fmt::print(stderr, "{}; nothing was built\n", out.Render());
    return 2;
  }
  fmt::print("stillroom-index: {} ingredients, {} functions: nothing wrong\n", parts.ingredients.size(),
             parts.functions.size());
}
