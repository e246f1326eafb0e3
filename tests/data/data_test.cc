// The data that is shipped: nothing in it to complain about, and no formula that names what is not there.
#include <gtest/gtest.h>

#include "indexer/read_catalogue.h"
#include "indexer/read_formulas.h"

namespace {

TEST(Data, HasNothingToComplainAbout) {
  indexer::Diagnostics out;
  const indexer::DataFolder folder = indexer::ReadDataFolder(STILLROOM_SOURCE_DIR "/data", out);
  kb::CatalogueParts parts = indexer::ReadCatalogue(folder, out);
  ASSERT_TRUE(out.empty()) << out.Render();
  const kb::Catalogue catalogue(std::move(parts));
  indexer::CheckFormulas(folder, catalogue, out);
  EXPECT_TRUE(out.empty()) << out.Render();
  EXPECT_GT(catalogue.ingredients().size(), 0U);
  EXPECT_GT(catalogue.functions().size(), 0U);
}

}  // namespace
