#include "indexer/read_formulas.h"

#include <fmt/format.h>

#include "kb/formula.h"

namespace indexer {
namespace {

constexpr std::string_view kFolder = "formulas/";

bool IsFormula(const DataFile& file) {
  return file.relative.rfind(kFolder, 0) == 0;
}

}  // namespace

std::vector<kb::SavedFormula> Formulas(const DataFolder& folder) {
  std::vector<kb::SavedFormula> out;
  for (const DataFile& file : folder.files) {
    if (!IsFormula(file)) continue;
    const std::size_t start = kFolder.size();
    const std::string kind = file.relative.substr(start, file.relative.find('/', start) - start);
    out.push_back({kind, file.stem, file.text.bytes()});
  }
  return out;
}

void CheckFormulas(const DataFolder& folder, const kb::Catalogue& catalogue, Diagnostics& out) {
  for (const DataFile& file : folder.files) {
    if (!IsFormula(file) || !file.readable) continue;
    const auto formula = kb::ReadFormula(catalogue, file.text.bytes());
    if (formula) continue;
    for (const kb::Complaint& complaint : formula.error()) {
      std::string message = complaint.what + "; expected " + complaint.expected;
      if (!complaint.nearest.empty())
        message += fmt::format("; did you mean '{}'?", complaint.nearest.front());
      const Place place = complaint.line == 0 ? Place{}
                                              : file.text.AtByte(static_cast<std::uint32_t>(complaint.line),
                                                                 complaint.column);
      out.Add(file.text, place, std::move(message));
    }
  }
}

}  // namespace indexer
