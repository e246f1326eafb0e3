#include "tests/query/real_data.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <iterator>

#include "indexer/data_folder.h"
#include "indexer/read_catalogue.h"

namespace testing_data {
namespace {

kb::Catalogue Read() {
  indexer::Diagnostics complaints;
  const indexer::DataFolder folder = indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", complaints);
  kb::CatalogueParts parts = indexer::ReadCatalogue(folder, complaints);
  if (!complaints.empty()) {
    std::cerr << complaints.Render() << '\n';
    std::abort();
  }
  return kb::Catalogue(std::move(parts));
}

}  // namespace

const kb::Catalogue& RealCatalogue() {
  static const kb::Catalogue catalogue = Read();
  return catalogue;
}

kb::IngredientIx Of(std::string_view id) {
  const auto found = RealCatalogue().FindId(id);
  EXPECT_TRUE(found) << "data/ingredients holds no " << id;
  return found.value_or(0);
}

kb::Formula FormulaOf(std::string_view text) {
  auto formula = kb::ReadFormula(RealCatalogue(), text);
  if (!formula) {
    for (const kb::Complaint& complaint : formula.error()) {
      ADD_FAILURE() << complaint.line << ':' << complaint.column << ": " << complaint.what;
    }
    return {};
  }
  return std::move(*formula);
}

kb::Formula DemoFormula(const std::string& name) {
  std::ifstream file(STILLROOM_SOURCE_DIR "/data/formulas/demo/" + name + ".csv");
  const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
  return FormulaOf(text);
}

}  // namespace testing_data
