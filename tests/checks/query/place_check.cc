// Usual positions against the reference table of phases of addition (trade and teaching sources, one a row), where that table stands
// beside the project. The answer's position, or its second best, must be one that the table names for the ingredient.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "kb/text.h"
#include "query/place_request.h"
#include "tests/query/real_data.h"

namespace query {
namespace {

using testing_data::RealCatalogue;

// The table's words. A cold water phase is met by water held back, or by a slurry of what swells.
const std::map<std::string, std::vector<std::string>>& Words() {
  static const std::map<std::string, std::vector<std::string>> words = {
      {"heated water phase", {"heated-water"}},
      {"heated oil phase", {"heated-oil"}},
      {"cool-down", {"cool-down", "cool-down-water"}},
      {"cold water phase", {"cool-down-water", "slurry"}},
      {"slurry", {"slurry"}},
      {"pre-dispersed in oil", {"disperse-in-oil"}},
      {"pre-dispersed in glycol", {"disperse-in-glycol"}},
      {"after neutralising", {}},
  };
  return words;
}

std::vector<std::string> Expected(const std::string& usual) {
  std::vector<std::string> out;
  std::string rest = usual;
  while (!rest.empty()) {
    const std::size_t end = rest.find(" or ");
    const auto found = Words().find(rest.substr(0, end));
    EXPECT_NE(found, Words().end()) << usual;
    if (found != Words().end()) out.insert(out.end(), found->second.begin(), found->second.end());
    rest = end == std::string::npos ? "" : rest.substr(end + 4);
  }
  return out;
}

bool Holds(const std::vector<std::string>& list, std::string_view item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

TEST(PhaseOfAddition, AgreesWithTheReferenceTable) {
  std::ifstream file(STILLROOM_SOURCE_DIR "/../shared/reference/phase_of_addition.tsv");
  if (!file) GTEST_SKIP() << "no ../shared/reference/phase_of_addition.tsv here";
  std::string line;
  std::getline(file, line);
  int rows = 0, first = 0;
  while (std::getline(file, line)) {
    const std::vector<std::string> cells = kb::SplitTrimmed(line, '\t');
    ASSERT_GT(cells.size(), 4U) << line;
    // The table has starch boiled to a paste; the record is the dry-feel powder, which must stay below its gelling temperature.
    if (cells[0] == "ZEA MAYS STARCH") continue;
    // Names that stand for several of our records are asked for by the record that the row means.
    static const std::map<std::string, std::string> kMeant = {{"PANTHENOL", "panthenol"},
                                                              {"TITANIUM DIOXIDE", "titanium-dioxide"},
                                                              {"SILICA", "silica-microspheres"},
                                                              {"PARFUM", "fragrance"},
                                                              {"CARRAGEENAN", "carrageenan-kappa"}};
    const auto meant = kMeant.find(cells[0]);
    const auto asked = ReadPlaceQuestion(
        RealCatalogue(), Params{{{"name", meant == kMeant.end() ? cells[0] : meant->second}}, {}, {}});
    ASSERT_TRUE(asked) << cells[0];
    const Placement answer = Place(RealCatalogue(), asked->question);
    const std::vector<std::string> expected = Expected(cells[2]);
    const bool exact = Holds(expected, PositionId(answer.position));
    const bool second = !answer.second.empty() && Holds(expected, PositionId(answer.second.front().position));
    EXPECT_TRUE(exact || second) << cells[0] << " goes into " << PositionId(answer.position)
                                 << "; the table has " << cells[2];
    ++rows;
    first += exact ? 1 : 0;
    // A maximum in the table is one for the position that it names.
    if (!cells[4].empty() && exact) {
      EXPECT_LE(answer.min_c, std::stod(cells[4])) << cells[0];
    }
  }
  EXPECT_GE(rows, 90);
  EXPECT_GE(first, 0.9 * rows);
}

}  // namespace
}  // namespace query
