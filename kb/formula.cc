#include "kb/formula.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>
#include <utility>

#include "kb/text.h"

namespace kb {
namespace {

struct Cell {
  std::string text;
  std::size_t column = 1;
};

// Cells of one line; quotes as spreadsheets write them ("" inside quotes is one quote).
std::vector<Cell> Cells(std::string_view line, char separator) {
  std::vector<Cell> cells;
  std::size_t i = 0;
  for (;;) {
    Cell cell;
    while (i < line.size() && line[i] == ' ') ++i;
    cell.column = i + 1;
    if (i < line.size() && line[i] == '"') {
      for (++i; i < line.size(); ++i) {
        if (line[i] != '"') {
          cell.text += line[i];
        } else if (i + 1 < line.size() && line[i + 1] == '"') {
          cell.text += line[i++];
        } else {
          ++i;
          break;
        }
      }
    }
    while (i < line.size() && line[i] != separator) cell.text += line[i++];
    cell.text = Trim(cell.text);
    cells.push_back(std::move(cell));
    if (i >= line.size()) return cells;
    ++i;
  }
}

enum class Column { kPhase, kIngredient, kPercent, kOther };

Column ColumnOf(std::string_view title) {
  const std::string word = Fold(title);
  const auto is = [&](std::initializer_list<std::string_view> words) {
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  if (is({"phase", "ph"})) return Column::kPhase;
  if (is({"ingredient", "ingredients", "inci", "name", "raw material", "material"}))
    return Column::kIngredient;
  if (is({"percent", "%", "% w w", "w w", "% w", "pct", "amount", "amount %", "level", "share",
          "percentage"})) {
    return Column::kPercent;
  }
  return Column::kOther;
}

struct Layout {
  char separator = ',';
  std::size_t phase = 0, ingredient = 1, percent = 2;
  std::size_t columns = 3;
};

// The layout that a line of titles gives; nullopt where it is no line of titles.
std::optional<Layout> ReadTitles(std::string_view line) {
  for (const char separator : {';', '\t', ','}) {
    const std::vector<Cell> cells = Cells(line, separator);
    Layout layout{separator, cells.size(), cells.size(), cells.size(), cells.size()};
    for (std::size_t i = 0; i < cells.size(); ++i) {
      std::size_t* place = nullptr;
      switch (ColumnOf(cells[i].text)) {
        case Column::kPhase:
          place = &layout.phase;
          break;
        case Column::kIngredient:
          place = &layout.ingredient;
          break;
        case Column::kPercent:
          place = &layout.percent;
          break;
        case Column::kOther:
          break;
      }
      if (place != nullptr && *place == cells.size()) *place = i;
    }
    if (layout.phase < cells.size() && layout.ingredient < cells.size() && layout.percent < cells.size()) {
      return layout;
    }
  }
  return std::nullopt;
}

struct Amount {
  double pct = 0;
  bool rest = false;
};

std::optional<Amount> ReadAmount(std::string_view text) {
  std::string word;
  for (const char c : text) {
    if (c != ' ' && c != '%') word += c == ',' ? '.' : c;
  }
  std::string folded = FoldTight(word);
  if (folded == "qs" || folded == "qsto100" || folded == "qsp" || folded == "to100" || folded == "ad100" ||
      folded == "balance" || folded == "rest") {
    return Amount{0, true};
  }
  if (word.empty() || word.find_first_not_of("+-.0123456789eE") != std::string::npos) return std::nullopt;
  char* end = nullptr;
  const double value = std::strtod(word.c_str(), &end);
  if (end != word.c_str() + word.size() || !std::isfinite(value)) return std::nullopt;
  return Amount{value, false};
}

// One pass over the text; complaints collect in `complaints`.
class Reader {
 public:
  Reader(const Catalogue& catalogue, std::string_view text) : catalogue_(catalogue), text_(text) {}

  void Read() {
    std::size_t number = 0;
    while (!text_.empty()) {
      const std::size_t end = text_.find('\n');
      std::string_view line = text_.substr(0, end);
      text_.remove_prefix(end == std::string_view::npos ? text_.size() : end + 1);
      if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
      ++number;
      const std::string_view bare = Trim(line);
      if (bare.empty()) continue;
      if (bare.front() == '#') {
        ReadNote(number, line);
      } else if (!layout_) {
        ReadFirstRow(number, line);
      } else {
        ReadRow(number, line);
      }
    }
  }

  void Finish(std::optional<Kind> fallback_kind) {
    if (!kind_ && !bad_kind_) kind_ = fallback_kind;
    if (!kind_ && !bad_kind_) {
      Complain(0, 0, "the file does not say what kind of product it is",
               "a line such as '# kind: leave-on emulsion o/w'");
    }
    if (kind_) formula.kind = *kind_;
    if (formula.lines.empty() && rows_ == 0) {
      Complain(0, 0, "there are no ingredients in it",
               "a line 'phase,ingredient,percent' and then one line an ingredient");
    }
    if (!complaints.empty()) return;
    CheckTotal();
  }

  Formula formula;
  std::vector<Complaint> complaints;

 private:
  void Complain(std::size_t line, std::size_t column, std::string what, std::string expected,
                std::vector<std::string> nearest = {}, std::string_view shown = {}) {
    complaints.push_back(
        {line, column, std::move(what), std::move(expected), std::move(nearest), std::string(shown)});
  }

  void ReadNote(std::size_t number, std::string_view line) {
    const std::size_t start = line.find('#') + 1;
    const std::size_t colon = line.find(':', start);
    if (colon == std::string_view::npos) return;  // a remark
    const std::string key = Fold(line.substr(start, colon - start));
    const std::string_view value = Trim(line.substr(colon + 1));
    const std::size_t column = colon + 2;
    if (key == "name") {
      formula.name = value;
    } else if (key == "used as") {
      formula.used_as = value;
    } else if (key == "kind") {
      kind_ = ReadKind(value);
      bad_kind_ = !kind_;
      if (!kind_)
        Complain(number, column, fmt::format("'{}' is no kind of product", value), KindsExpected(), {}, line);
    } else if (key == "target ph" || key == "ph") {
      const auto amount = ReadAmount(value);
      if (!amount || amount->rest || amount->pct < 0 || amount->pct > 14) {
        Complain(number, column, fmt::format("'{}' is no pH", value), "a number from 0 to 14", {}, line);
      } else {
        formula.target_ph = amount->pct;
      }
    } else if (key == "keep") {
      ReadKeep(number, column, line, value);
    }
  }

  void ReadKeep(std::size_t number, std::size_t column, std::string_view line, std::string_view value) {
    std::vector<std::string> known;
    for (const ClaimRule& rule : catalogue_.claims()) known.push_back(rule.id);
    for (const std::string& claim : SplitTrimmed(value, ',')) {
      if (std::find(known.begin(), known.end(), claim) != known.end()) {
        formula.keep.push_back(claim);
      } else {
        Complain(number, column, fmt::format("'{}' is no claim we know", claim), "claims separated by commas",
                 Nearest(claim, known, 3), line);
      }
    }
  }

  void ReadFirstRow(std::size_t number, std::string_view line) {
    layout_ = ReadTitles(line);
    if (layout_) return;
    // No titles: three columns in the usual order will do.
    for (const char separator : {';', '\t', ','}) {
      const std::vector<Cell> cells = Cells(line, separator);
      if (cells.size() >= 3 && ReadAmount(cells[2].text)) {
        layout_ = Layout{separator, 0, 1, 2, 3};
        ReadRow(number, line);
        return;
      }
    }
    layout_ = Layout{};
    Complain(number, 1, "this line names no columns", "a line 'phase,ingredient,percent'", {}, line);
  }

  void ReadRow(std::size_t number, std::string_view line) {
    ++rows_;
    const std::vector<Cell> cells = Cells(line, layout_->separator);
    const std::size_t least = std::max({layout_->phase, layout_->ingredient, layout_->percent}) + 1;
    if (std::all_of(cells.begin(), cells.end(), [](const Cell& cell) { return cell.text.empty(); })) return;
    if (cells.size() < least) {
      Complain(number, 1, fmt::format("{} cells where {} are needed", cells.size(), least),
               "phase, ingredient and percent, as in the line of titles", {}, line);
      return;
    }
    if (layout_->separator == ',' && layout_->columns == 3 && cells.size() == 4 && layout_->percent == 2 &&
        ReadAmount(cells[3].text) && ReadAmount(cells[2].text)) {
      Complain(number, cells[2].column, "a decimal comma between commas",
               fmt::format("{}.{} or \"{},{}\", or semicolons between the cells", cells[2].text,
                           cells[3].text, cells[2].text, cells[3].text),
               {}, line);
      return;
    }
    const Cell& phase = cells[layout_->phase];
    const Cell& name = cells[layout_->ingredient];
    const Cell& percent = cells[layout_->percent];
    if (name.text.empty() && (Fold(phase.text) == "total" || Fold(phase.text) == "sum")) return;
    if (Fold(name.text) == "total" || Fold(name.text) == "sum") return;
    FormulaLine item;
    const bool placed = ReadPhase(number, line, phase, item);
    const bool found = ReadName(number, line, name, item);
    const bool weighed = ReadPercent(number, line, percent, item);
    if (placed && found && weighed) formula.lines.push_back(std::move(item));
  }

  bool ReadPhase(std::size_t number, std::string_view line, const Cell& cell, FormulaLine& item) {
    if (cell.text.empty() && formula.phases.empty()) {
      Complain(number, cell.column, "the phase is missing", "a letter such as A, or the name of a phase", {},
               line);
      return false;
    }
    if (cell.text.empty()) {  // spreadsheets often name a phase in its first row only
      item.phase = formula.phases.size() - 1;
      return true;
    }
    const auto known = std::find(formula.phases.begin(), formula.phases.end(), cell.text);
    if (known != formula.phases.end()) {
      item.phase = static_cast<std::size_t>(known - formula.phases.begin());
      if (item.phase + 1 == formula.phases.size()) return true;
      Complain(number, cell.column,
               fmt::format("phase {} comes back after phase {}", cell.text, formula.phases.back()),
               "the lines of a phase together, phases in the order in which they are made", {}, line);
      return false;
    }
    const bool letters =
        cell.text.size() == 1 && !formula.phases.empty() && formula.phases.back().size() == 1;
    if (letters && cell.text < formula.phases.back()) {
      Complain(number, cell.column,
               fmt::format("phase {} stands after phase {}", cell.text, formula.phases.back()),
               "phases in the order in which they are made", {}, line);
      return false;
    }
    formula.phases.push_back(cell.text);
    item.phase = formula.phases.size() - 1;
    return true;
  }

  bool ReadName(std::size_t number, std::string_view line, const Cell& cell, FormulaLine& item) {
    if (cell.text.empty()) {
      Complain(number, cell.column, "the ingredient is missing", "a name: INCI, common name, CAS", {}, line);
      return false;
    }
    const auto found = catalogue_.FindExact(cell.text);
    if (!found) {
      Complain(number, cell.column, fmt::format("no ingredient named '{}'", cell.text),
               "a name that the base knows: INCI, common name, abbreviation, CAS or EC number",
               catalogue_.NearestNames(cell.text, 3), line);
      return false;
    }
    item.ingredient = *found;
    item.written = cell.text;
    return true;
  }

  bool ReadPercent(std::size_t number, std::string_view line, const Cell& cell, FormulaLine& item) {
    const auto amount = ReadAmount(cell.text);
    if (!amount) {
      Complain(number, cell.column, fmt::format("'{}' is no percentage", cell.text),
               "a number such as 2.5 or 2,5, or q.s. on one line", {}, line);
      return false;
    }
    if (amount->pct < 0 || amount->pct > 100) {
      Complain(number, cell.column, fmt::format("{} % cannot be", cell.text), "a percentage from 0 to 100",
               {}, line);
      return false;
    }
    if (amount->rest && rest_line_ != 0) {
      Complain(number, cell.column, fmt::format("a second q.s.; the first is in line {}", rest_line_),
               "at most one line that fills up to 100", {}, line);
      return false;
    }
    if (amount->rest) rest_line_ = number;
    item.pct = amount->pct;
    item.rest = amount->rest;
    return true;
  }

  void CheckTotal() {
    double total = 0;
    FormulaLine* rest = nullptr;
    for (FormulaLine& line : formula.lines) {
      total += line.pct;
      if (line.rest) rest = &line;
    }
    if (rest != nullptr) {
      if (total >= 100) {
        Complain(rest_line_, 1, fmt::format("the other lines already make {:.3f} %", total),
                 "less than 100 %, so that something is left for q.s.");
        return;
      }
      rest->pct = 100 - total;
    } else if (std::abs(total - 100) > kTotalTolerance) {
      Complain(0, 0, fmt::format("the lines add up to {:.3f} %, not 100", total),
               "100 %, or one line q.s. (usually the water)");
    }
  }

  const Catalogue& catalogue_;
  std::string_view text_;
  std::optional<Layout> layout_;
  std::optional<Kind> kind_;
  bool bad_kind_ = false;
  std::size_t rows_ = 0;
  std::size_t rest_line_ = 0;
};

std::string Quoted(const std::string& text) {
  if (text.find_first_of(",;\t\"") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

}  // namespace

std::optional<std::size_t> Formula::BalanceLine(const Catalogue& catalogue) const {
  std::optional<std::size_t> best;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].rest) return i;
    const bool water = catalogue.Choice(lines[i].ingredient, "class") == "water";
    if (water && (!best || lines[i].pct > lines[*best].pct)) best = i;
  }
  return best;
}

tl::expected<Formula, std::vector<Complaint>> ReadFormula(const Catalogue& catalogue, std::string_view text,
                                                          std::optional<Kind> fallback_kind) {
  const auto whole = [](std::string what, std::string expected) {
    return tl::unexpected(std::vector<Complaint>{{0, 0, std::move(what), std::move(expected), {}, {}}});
  };
  if (text.size() > kLargestFormulaFile) {
    return whole(fmt::format("{:.1f} MB is no formula", static_cast<double>(text.size()) / 1e6),
                 "a text file below 1 MB");
  }
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  if (text.find('\0') != std::string_view::npos) {
    return whole("this is no text file", "comma-separated text, as a spreadsheet saves it");
  }
  if (!IsUtf8(text)) return whole("the text is not UTF-8", "the file saved as CSV in UTF-8");
  if (Trim(text).empty()) {
    return whole("the file is empty", "a line 'phase,ingredient,percent' and then one line an ingredient");
  }
  Reader reader(catalogue, text);
  reader.Read();
  reader.Finish(fallback_kind);
  if (!reader.complaints.empty()) return tl::unexpected(std::move(reader.complaints));
  return std::move(reader.formula);
}

std::string WriteFormula(const Catalogue& catalogue, const Formula& formula) {
  std::string out;
  if (!formula.name.empty()) out += fmt::format("# name: {}\n", formula.name);
  out += fmt::format("# kind: {}\n", KindWords(formula.kind));
  if (!formula.used_as.empty()) out += fmt::format("# used as: {}\n", formula.used_as);
  if (formula.target_ph) out += fmt::format("# target pH: {:g}\n", *formula.target_ph);
  if (!formula.keep.empty()) out += fmt::format("# keep: {}\n", fmt::join(formula.keep, ", "));
  out += "phase,ingredient,percent\n";
  for (const FormulaLine& line : formula.lines) {
    const std::string amount = line.rest ? "q.s." : fmt::format("{:.6g}", line.pct);
    out += fmt::format("{},{},{}\n", Quoted(formula.phases[line.phase]),
                       Quoted(catalogue.at(line.ingredient).name), amount);
  }
  return out;
}

}  // namespace kb
