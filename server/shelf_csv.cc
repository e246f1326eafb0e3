#include "server/shelf_csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "kb/text.h"

namespace server {
namespace {

using kb::Complaint;

constexpr double kMost = 1e7;                       // g, or money a kilogram
constexpr std::size_t kLongestText = 200;           // bytes of a lot or a note
constexpr std::string_view kRunByFormula = "=+-@";  // what makes a spreadsheet run a cell

constexpr std::array<std::string_view, 9> kColumns = {
    "number", "ingredient", "amount_g", "cost_per_kg", "lot", "opened", "best_before", "low_below_g", "note"};

struct Row {
  std::size_t line = 1;  // where it begins
  std::vector<std::string> cells;
};

char SeparatorOf(std::string_view text) {
  const std::string_view first = text.substr(0, text.find('\n'));
  char best = ',';
  for (const char c : {';', '\t'}) {
    if (std::count(first.begin(), first.end(), c) > std::count(first.begin(), first.end(), best)) best = c;
  }
  return best;
}

// RFC 4180 with LF or CRLF; a quote that is never closed ends with the text.
std::vector<Row> ReadRows(std::string_view text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const char separator = SeparatorOf(text);
  std::vector<Row> rows;
  Row row;
  std::string cell;
  bool quoted = false;
  std::size_t line = 1;
  const auto end_row = [&] {
    row.cells.emplace_back(kb::Trim(cell));
    cell.clear();
    if (row.cells.size() > 1 || !row.cells.front().empty()) rows.push_back(std::move(row));
    row = {};
    row.line = line;
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (quoted) {
      if (c != '"') {
        cell += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        cell += text[++i];
      } else {
        quoted = false;
      }
    } else if (c == '"' && kb::Trim(cell).empty()) {
      quoted = true;
    } else if (c == separator) {
      row.cells.emplace_back(kb::Trim(cell));
      cell.clear();
    } else if (c == '\n') {
      end_row();
    } else if (c != '\r') {
      cell += c;
    }
  }
  if (!cell.empty() || !row.cells.empty()) end_row();
  return rows;
}

class Reader {
 public:
  Reader(const kb::Catalogue& catalogue, std::vector<Complaint>& complaints)
      : catalogue_(catalogue), complaints_(complaints) {}

  Jar Read(std::size_t line, const Pairs& cells) {
    line_ = line;
    Jar jar;
    bool named = false;
    for (const auto& [column, value] : cells) {
      if (value.size() > kLongestText) Complain(column, value, fmt::format("at most {} bytes", kLongestText));
      if (column == "number" && !value.empty())
        jar.number = static_cast<std::int64_t>(Number(column, value).value_or(0));
      if (column == "ingredient") named = Ingredient(value, jar);
      if (column == "amount_g") jar.amount_g = Number(column, value).value_or(0);
      if (column == "cost_per_kg") jar.cost_per_kg = Number(column, value);
      if (column == "low_below_g") jar.low_below_g = Number(column, value);
      if (column == "lot") jar.lot = Plain(value);
      if (column == "note") jar.note = Plain(value);
      if (column == "opened") jar.opened = Date(column, value);
      if (column == "best_before") jar.best_before = Date(column, value);
    }
    if (!named) Complain("ingredient", "", "the name of an ingredient");
    return jar;
  }

 private:
  void Complain(std::string_view column, std::string_view value, std::string expected,
                std::vector<std::string> nearest = {}) {
    // One complaint a cell: an unknown name is not missing as well.
    if (column == "ingredient" && value.empty() && unknown_) return;
    complaints_.push_back({line_, 0, fmt::format("'{}' is no {}", value.substr(0, 60), column),
                           std::move(expected), std::move(nearest), ""});
  }

  bool Ingredient(const std::string& value, Jar& jar) {
    unknown_ = false;
    if (value.empty()) return false;
    if (const auto found = catalogue_.FindExact(value)) {
      jar.ingredient = catalogue_.at(*found).id;
      return true;
    }
    // The shelf may hold what the base knows no more; what it holds goes out and in again under its id.
    Complain("ingredient", value, "a name that the base knows", catalogue_.NearestNames(value, 3));
    unknown_ = true;
    return false;
  }

  std::optional<double> Number(std::string_view column, std::string text) {
    std::replace(text.begin(), text.end(), ',', '.');
    if (text.empty()) return std::nullopt;
    char* end = nullptr;
    const double value = std::strtod(text.c_str(), &end);
    if (end != text.c_str() + text.size() || !std::isfinite(value) || value < 0 || value > kMost) {
      Complain(column, text, "a number from 0 to 10 000 000");
      return std::nullopt;
    }
    return value;
  }

  std::string Date(std::string_view column, const std::string& text) {
    if (text.empty() || IsDate(text)) return text;
    Complain(column, text, "a day as 2026-08-31");
    return "";
  }

  static std::string Plain(const std::string& text) {
    const bool marked =
        text.size() > 1 && text[0] == '\'' && kRunByFormula.find(text[1]) != std::string_view::npos;
    return marked ? text.substr(1) : text;
  }

  const kb::Catalogue& catalogue_;
  std::vector<Complaint>& complaints_;
  std::size_t line_ = 0;
  bool unknown_ = false;
};

query::Trouble TroubleOf(std::vector<Complaint> complaints) {
  query::Trouble trouble;
  const Complaint& first = complaints.front();
  trouble.what = first.what;
  trouble.where = first.line == 0 ? "shelf" : fmt::format("shelf:{}", first.line);
  trouble.expected = first.expected;
  trouble.nearest = first.nearest;
  trouble.complaints = std::move(complaints);
  return trouble;
}

std::string Cell(std::string text) {
  if (!text.empty() && kRunByFormula.find(text.front()) != std::string_view::npos) text.insert(0, "'");
  if (text.find_first_of(",;\t\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + '"';
}

std::string Maybe(const std::optional<double>& value) {
  return value ? fmt::format("{:.10g}", *value) : "";
}

}  // namespace

tl::expected<std::vector<Jar>, query::Trouble> ReadJars(const kb::Catalogue& catalogue,
                                                        std::string_view text) {
  std::vector<Complaint> complaints;
  const std::vector<Row> rows = ReadRows(text);
  std::vector<std::string> columns;
  if (!rows.empty()) {
    for (const std::string& cell : rows.front().cells) {
      std::string name = kb::Fold(cell);
      std::replace(name.begin(), name.end(), ' ', '_');
      columns.push_back(std::move(name));
    }
  }
  const auto has = [&](std::string_view name) {
    return std::find(columns.begin(), columns.end(), name) != columns.end();
  };
  if (!has("ingredient") || !has("amount_g")) {
    complaints.push_back(
        {1, 0, "no header line with the columns", fmt::format("{}", fmt::join(kColumns, ",")), {}, ""});
    return tl::unexpected(TroubleOf(std::move(complaints)));
  }
  if (rows.size() > kMostJars) {
    complaints.push_back({0, 0, "too many lines", fmt::format("at most {}", kMostJars), {}, ""});
    return tl::unexpected(TroubleOf(std::move(complaints)));
  }
  std::vector<Jar> jars;
  Reader reader(catalogue, complaints);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    Pairs cells;
    for (std::size_t c = 0; c < std::min(columns.size(), rows[i].cells.size()); ++c)
      cells.emplace_back(columns[c], rows[i].cells[c]);
    jars.push_back(reader.Read(rows[i].line, cells));
  }
  if (!complaints.empty()) return tl::unexpected(TroubleOf(std::move(complaints)));
  return jars;
}

tl::expected<Jar, query::Trouble> ReadJar(const kb::Catalogue& catalogue, const Pairs& fields) {
  std::vector<Complaint> complaints;
  Jar jar = Reader(catalogue, complaints).Read(0, fields);
  if (!complaints.empty()) return tl::unexpected(TroubleOf(std::move(complaints)));
  return jar;
}

std::string WriteJars(const kb::Catalogue& catalogue, const std::vector<Jar>& jars) {
  std::string out = fmt::format("{}\r\n", fmt::join(kColumns, ","));
  for (const Jar& jar : jars) {
    const auto known = catalogue.FindExact(jar.ingredient);
    out += fmt::format("{},{},{:.10g},{},{},{},{},{},{}\r\n", jar.number,
                       Cell(known ? catalogue.at(*known).name : jar.ingredient), jar.amount_g,
                       Maybe(jar.cost_per_kg), Cell(jar.lot), jar.opened, jar.best_before,
                       Maybe(jar.low_below_g), Cell(jar.note));
  }
  return out;
}

}  // namespace server
