#include "indexer/read_inventory.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <optional>
#include <system_error>
#include <utility>

#include "indexer/data_folder.h"
#include "kb/registry_number.h"
#include "kb/text.h"

namespace indexer {
namespace {

// A quoted cell longer than this has lost its closing quote: the longest description of the inventory has some 2,000 bytes.
constexpr std::size_t kLongestCell = 20'000;
constexpr std::size_t kHeaderWithin = 40;  // records before the header, at most
constexpr std::size_t kMostComplaints = 200;

class CsvReader {
 public:
  CsvReader(std::string_view text, char separator) : text_(text), separator_(separator) {}

  bool AtEnd() const { return at_ >= text_.size(); }
  std::uint32_t line() const { return line_; }

  // The next record. `broken` says that a quote was not closed; the record is then its first line, taken as it stands.
  std::vector<std::string> Next(bool& broken) {
    const std::size_t begin = at_;
    const std::uint32_t line = line_;
    broken = false;
    if (auto cells = Record(true)) return std::move(*cells);
    broken = true;
    at_ = begin;
    line_ = line;
    return *Record(false);
  }

 private:
  std::optional<std::vector<std::string>> Record(bool quotes) {
    std::vector<std::string> cells(1);
    while (!AtEnd()) {
      if (quotes && kb::Trim(cells.back()).empty() && text_[at_] == '"') {
        cells.back().clear();
        if (!Quoted(cells.back())) return std::nullopt;
        continue;
      }
      const char c = text_[at_++];
      if (c == separator_) {
        cells.emplace_back();
      } else if (c == '\n') {
        ++line_;
        return cells;
      } else if (c != '\r') {
        cells.back() += c;
      }
    }
    return cells;
  }

  bool Quoted(std::string& cell) {
    for (++at_; !AtEnd(); ++at_) {
      const char c = text_[at_];
      if (c == '"') {
        if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
          ++at_;
        } else {
          ++at_;
          return true;
        }
      }
      if (c == '\n') ++line_;
      cell += c;
      if (cell.size() > kLongestCell) return false;
    }
    return false;
  }

  std::string_view text_;
  char separator_;
  std::size_t at_ = 0;
  std::uint32_t line_ = 1;
};

std::string Utf8FromLatin1(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80) {
      out += c;
    } else {
      out += static_cast<char>(0xC0U | (byte >> 6U));
      out += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return out;
}

// Without blanks around it, those inside and line breaks as one blank; "-" is nothing.
std::string Clean(std::string_view cell) {
  std::string out;
  for (const char c : kb::Trim(cell)) {
    const bool blank = c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\v' || c == '\f';
    if (!blank) out += c;
    if (blank && !out.empty() && out.back() != ' ') out += ' ';
  }
  if (!kb::IsUtf8(out)) out = Utf8FromLatin1(out);
  return out == "-" ? "" : out;
}

struct Columns {
  std::optional<std::size_t> inci, cas, ec, function;
};

Columns FindColumns(const std::vector<std::string>& cells) {
  Columns out;
  const auto is = [](const std::string& heading, std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), heading) != names.end();
  };
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::string heading = kb::Fold(cells[i]);
    if (is(heading, {"inci name", "inci"})) out.inci = i;
    if (is(heading, {"cas no", "cas number", "cas"})) out.cas = i;
    if (is(heading, {"ec no", "ec number", "einecs number", "einecs elincs no", "ec"})) out.ec = i;
    if (is(heading, {"function", "functions"})) out.function = i;
  }
  return out;
}

// The numbers in a cell: "2040469-40-5, 2422121-34-2 / 123-45-6 (I)".
std::vector<std::string> Numbers(const std::string& cell, bool (*right)(std::string_view),
                                 std::size_t& wrong) {
  std::vector<std::string> out;
  std::string word;
  for (std::size_t i = 0; i <= cell.size(); ++i) {
    const char c = i < cell.size() ? cell[i] : ' ';
    if ((c >= '0' && c <= '9') || c == '-') {
      word += c;
      continue;
    }
    if (std::count(word.begin(), word.end(), '-') == 2) {
      if (!right(word)) {
        ++wrong;
      } else if (std::find(out.begin(), out.end(), word) == out.end()) {
        out.push_back(word);
      }
    }
    word.clear();
  }
  return out;
}

std::vector<std::string> Functions(const std::string& cell) {
  std::vector<std::string> out;
  for (std::string name : kb::SplitTrimmed(cell, ',')) {
    std::transform(name.begin(), name.end(), name.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    if (name.rfind("uv ", 0) == 0) name.replace(0, 2, "UV");
    if (!name.empty() && std::find(out.begin(), out.end(), name) == out.end()) out.push_back(std::move(name));
  }
  return out;
}

class Parser {
 public:
  Parser(InventoryFile& out, std::string_view shown) : out_(out), shown_(shown) {}

  void Parse() {
    std::string_view text = out_.bytes;
    if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
    char separator = ',';
    if (text.substr(0, 4) == "sep=" && text.size() > 4) separator = text[4];
    CsvReader reader(text, separator);
    const Columns columns = Header(reader);
    while (!reader.AtEnd()) {
      const std::uint32_t line = reader.line();
      bool broken = false;
      const std::vector<std::string> cells = reader.Next(broken);
      if (cells.size() == 1 && kb::Trim(cells[0]).empty()) continue;
      ++out_.records;
      if (broken) Complain(line, "a quote is not closed; the line was read as it stands");
      Row(columns, cells, line);
    }
    if (wrong_numbers_ > 0) {
      out_.complaints.push_back(
          fmt::format("{} CAS or EC numbers have a wrong check digit and were left out", wrong_numbers_));
    }
  }

 private:
  Columns Header(CsvReader& reader) {
    for (std::size_t i = 0; i < kHeaderWithin && !reader.AtEnd(); ++i) {
      bool broken = false;
      const Columns columns = FindColumns(reader.Next(broken));
      if (columns.inci) return columns;
    }
    throw IndexerError(
        fmt::format("'{}' has no heading 'INCI name' or 'inci_name' in its first {} records; expected "
                    "the official export or inci_name,cas_number,einecs_number,function",
                    shown_, kHeaderWithin));
  }

  void Row(const Columns& columns, const std::vector<std::string>& cells, std::uint32_t line) {
    const auto cell = [&](const std::optional<std::size_t>& column) {
      return column && *column < cells.size() ? Clean(cells[*column]) : std::string();
    };
    InventoryRow row;
    row.inci = cell(columns.inci);
    row.line = line;
    if (kb::Fold(row.inci).empty()) return Complain(line, "no INCI name; left out");
    row.cas = Numbers(cell(columns.cas), kb::IsCasNumber, wrong_numbers_);
    row.ec = Numbers(cell(columns.ec), kb::IsEcNumber, wrong_numbers_);
    row.functions = Functions(cell(columns.function));
    out_.rows.push_back(std::move(row));
  }

  void Complain(std::uint32_t line, std::string_view what) {
    if (out_.complaints.size() < kMostComplaints)
      out_.complaints.push_back(fmt::format("line {}: {}", line, what));
  }

  InventoryFile& out_;
  std::string_view shown_;
  std::size_t wrong_numbers_ = 0;
};

}  // namespace

InventoryFile ParseInventory(std::string text, std::string_view shown) {
  InventoryFile out;
  out.bytes = std::move(text);
  Parser(out, shown).Parse();
  return out;
}

InventoryFile ReadInventory(const std::filesystem::path& file) {
  std::error_code error;
  const bool regular = std::filesystem::is_regular_file(file, error);
  const std::uintmax_t size = regular ? std::filesystem::file_size(file, error) : 0;
  if (!regular || error)
    throw IndexerError(
        fmt::format("the inventory '{}' is missing, or no file that can be read", file.string()));
  if (size > kMostInventoryBytes)
    throw IndexerError(fmt::format("the inventory '{}' is {} bytes long; expected at most {}", file.string(),
                                   size, kMostInventoryBytes));
  std::string text(size, '\0');
  std::ifstream stream(file, std::ios::binary);
  stream.read(text.data(), static_cast<std::streamsize>(size));
  if (!stream && size > 0)
    throw IndexerError(fmt::format("the inventory '{}' cannot be read", file.string()));
  return ParseInventory(std::move(text), file.string());
}

}  // namespace indexer
