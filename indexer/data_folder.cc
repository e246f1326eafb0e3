#include "indexer/data_folder.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <system_error>
#include <utility>

#include "kb/text.h"

namespace indexer {
namespace {

namespace fs = std::filesystem;

struct Definition {
  const char* name;
  bool needed;
};

constexpr std::array<Definition, 10> kDefinitions = {{
    {"properties.toml", true},
    {"sources.toml", true},
    {"functions.toml", true},
    {"cards.toml", false},
    {"classes.toml", false},
    {"claims.toml", false},
    {"limits.toml", false},
    {"conflicts.toml", false},
    {"placing.toml", false},
    {"vocabulary.toml", false},
}};

std::uint32_t Column(std::string_view line, std::size_t offset) {
  std::uint32_t column = 1;
  for (std::size_t i = 0; i < offset; ++i) {
    if ((static_cast<unsigned char>(line[i]) & 0xC0U) != 0x80U) ++column;
  }
  return column;
}

// Length of the longest beginning that is UTF-8.
std::size_t GoodPrefix(std::string_view line) {
  std::size_t good = 0;
  while (good < line.size()) {
    std::size_t length = 1;
    while (length <= 4 && !kb::IsUtf8(line.substr(good, length))) ++length;
    if (length > 4) return good;
    good += std::min(length, line.size() - good);
  }
  return good;
}

// Where a sign of a registered or claimed trade mark stands. "(R)-" is a chemist's sign for handedness, no
// mark.
std::size_t TradeMark(std::string_view line) {
  for (const std::string_view sign : {"\u00AE", "\u2122", "\u2120", "(TM)", "(tm)", "(R)"}) {
    for (std::size_t at = line.find(sign); at != std::string_view::npos; at = line.find(sign, at + 1)) {
      const std::size_t after = at + sign.size();
      if (sign != "(R)" || after == line.size() || line[after] != '-') return at;
    }
  }
  return std::string_view::npos;
}

void CheckText(DataFile& file, Diagnostics& out) {
  const std::string& bytes = file.text.bytes();
  const bool utf8 = kb::IsUtf8(bytes);
  const auto lines = static_cast<std::uint32_t>(std::count(bytes.begin(), bytes.end(), '\n') + 1);
  for (std::uint32_t number = 1; number <= lines; ++number) {
    const std::string_view line = file.text.Line(number);
    if (!utf8) {
      if (const std::size_t good = GoodPrefix(line); good < line.size()) {
        file.readable = false;
        out.Add(file.text, {number, Column(line, good)},
                fmt::format("byte 0x{:02X} is no UTF-8; expected a file saved as UTF-8",
                            static_cast<unsigned char>(line[good])));
      }
    }
    if (const std::size_t mark = TradeMark(line); mark != std::string_view::npos) {
      out.Add(file.text, {number, Column(line, mark)},
              "trade mark sign; expected INCI and common chemical names only");
    }
  }
}

void ReadOne(const fs::path& root, const std::string& relative, DataFolder& folder, Diagnostics& out) {
  const fs::path path = root / relative;
  std::error_code error;
  const bool regular = fs::is_regular_file(path, error);
  const std::uintmax_t size = regular ? fs::file_size(path, error) : 0;
  std::string bytes;
  std::string trouble;
  if (!regular || error) {
    trouble = "is missing, or no file that can be read";
  } else if (size > kMostBytes) {
    trouble = fmt::format("is {} bytes long; expected at most {}", size, kMostBytes);
  } else {
    std::ifstream stream(path, std::ios::binary);
    bytes.resize(size);
    stream.read(bytes.data(), static_cast<std::streamsize>(size));
    if (!stream || stream.gcount() != static_cast<std::streamsize>(size)) trouble = "cannot be read";
  }
  DataFile& file = folder.files.emplace_back(relative, path.lexically_normal().string(), std::move(bytes));
  if (trouble.empty()) {
    CheckText(file, out);
  } else {
    file.readable = false;
    out.Add(file.text, {}, relative + " " + trouble);
  }
}

}  // namespace

DataFile::DataFile(std::string relative_name, std::string shown, std::string bytes)
    : relative(std::move(relative_name)),
      stem(fs::path(relative).stem().string()),
      text(std::move(shown), std::move(bytes)) {}

const DataFile* DataFolder::Find(std::string_view relative) const {
  const auto found = std::find_if(files.begin(), files.end(),
                                  [&](const DataFile& file) { return file.relative == relative; });
  return found == files.end() ? nullptr : &*found;
}

std::vector<const DataFile*> DataFolder::Ingredients() const {
  std::vector<const DataFile*> out;
  for (const DataFile& file : files) {
    if (file.relative.rfind("ingredients/", 0) == 0) out.push_back(&file);
  }
  return out;
}

namespace {

// Names of the files in a folder that end so, in the order of their stems ("glycerin" before "glycerin-50");
// hidden ones are what editors leave beside a file.
std::vector<std::string> FilesIn(const fs::path& folder, std::string_view ending) {
  std::vector<std::string> names;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const std::string name = it->path().filename().string();
    if (it->path().extension() == ending && name.front() != '.') names.push_back(name);
  }
  if (error && error != std::errc::no_such_file_or_directory) {
    throw IndexerError(fmt::format("cannot list '{}': {}", folder.string(), error.message()));
  }
  std::sort(names.begin(), names.end(), [](const std::string& a, const std::string& b) {
    return fs::path(a).stem().string() < fs::path(b).stem().string();
  });
  return names;
}

}  // namespace

DataFolder ReadDataFolder(const fs::path& root, Diagnostics& out) {
  std::error_code error;
  if (!fs::is_directory(root, error))
    throw IndexerError(fmt::format("no data folder at '{}'", root.string()));
  DataFolder folder;
  folder.root = root;
  for (const Definition& definition : kDefinitions) {
    if (definition.needed || fs::exists(root / definition.name, error))
      ReadOne(root, definition.name, folder, out);
  }
  const std::vector<std::string> ingredients = FilesIn(root / "ingredients", ".toml");
  if (ingredients.empty()) {
    DataFile& none =
        folder.files.emplace_back("ingredients", (root / "ingredients").lexically_normal().string(), "");
    none.readable = false;
    out.Add(none.text, {}, "no ingredient here; expected files named <id>.toml");
  }
  for (const std::string& name : ingredients) ReadOne(root, "ingredients/" + name, folder, out);
  for (const char* kind : {"demo", "typical"}) {
    const fs::path formulas = fs::path("formulas") / kind;
    for (const std::string& name : FilesIn(root / formulas, ".csv"))
      ReadOne(root, (formulas / name).string(), folder, out);
  }
  return folder;
}

}  // namespace indexer
