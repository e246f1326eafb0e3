#include "tests/indexer/data_fixture.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <utility>

#include "indexer/read_catalogue.h"

namespace indexer_test {
namespace {

constexpr const char* kProperties = R"(
[about]
kind = "text"
group = "identity"
help = "what it is"
[form]
kind = "choice"
group = "identity"
choices = ["liquid", "viscous-liquid", "powder"]
help = "what it looks like"
[class]
kind = "choice"
group = "identity"
choices = ["water", "polyol", "glycol"]
help = "chemical family"
[origin]
kind = "choice"
group = "identity"
choices = ["plant", "animal", "mineral", "synthetic", "water"]
help = "where it comes from"
[commonness]
kind = "number"
counts_as = "judgement"
group = "identity"
unit = "1"
low = 1
high = 5
help = "how common"
[molar_mass]
kind = "number"
group = "identity"
unit = "g/mol"
low = 2
high = 1000
help = "molar mass"
[in_water]
kind = "choice"
group = "solubility"
choices = ["dissolves", "disperses", "swells", "insoluble"]
help = "in water"
[in_oil]
kind = "choice"
group = "solubility"
choices = ["dissolves", "disperses", "insoluble"]
help = "in oils"
[log_p]
kind = "number"
group = "solubility"
unit = "1"
low = -12
high = 25
help = "partition; no record of the fixture holds it"
[polarity]
kind = "choice"
group = "oil"
choices = ["polar", "nonpolar"]
help = "no record of the fixture holds it"
[max_c]
kind = "number"
counts_as = "advice"
group = "heat"
unit = "C"
low = 0
high = 1000
help = "highest temperature"
[use_pct]
kind = "number"
counts_as = "advice"
group = "use"
unit = "%"
low = 0
high = 100
help = "usual level"
[suits]
kind = "choice"
group = "use"
choices = ["gel", "anhydrous"]
help = "kinds of product"
[charge]
kind = "choice"
group = "charge"
choices = ["nonionic", "anionic", "cationic"]
help = "charge"
[partner]
kind = "text"
group = "emulsifier"
help = "id of an ingredient that it needs"
[uptake_pct]
kind = "number"
group = "humectant"
unit = "g/100 g"
low = 0
high = 1000
keys = ["*"]
help = "water taken up"
[claim]
kind = "choice"
group = "claims"
choices = ["yes", "no", "depends"]
keys = ["vegan", "peg-free"]
help = "does it keep this claim?"
)";

constexpr const char* kSources = R"(
[practice]
kind = "practice"
title = "Common practice"
[table]
kind = "dataset"
title = "A table of constants"
in = "open data"
year = 2020
[memory]
kind = "memory"
title = "Recalled"
)";

constexpr const char* kFunctions = R"(
[humectant]
name = "humectant"
group = "water"
also = ["moisture binder"]
inventory = ["Humectant"]
required = ["in_water", "use_pct"]
wanted = ["uptake_pct"]
compare = [
  { property = "class", weight = 2 },
  { property = "side", weight = 1 },
  { property = "molar_mass", weight = 1, scale = 0.7, ratio = true },
]
requires = [{ property = "in_water", any = ["dissolves"], in = ["gel"], because = "it must dissolve" }]
same = ["side"]
near = ["solvent"]
level = "active-matter"
[humectant.card]
what = "Binds water."
src = ["practice"]
[solvent]
name = "solvent"
group = "water"
[water-base]
name = "water phase base"
group = "water"
swap = "rework"
swap_note = "Another grade is the same substance."
[emollient]
name = "emollient"
group = "oil"
)";

constexpr const char* kClasses = R"(
[families]
aqueous = ["water"]
polyols = ["polyol", "glycol"]
)";

constexpr const char* kClaims = R"(
[vegan]
text = "nothing from animals"
broken_by_origin = ["animal"]
kept_by_origin = ["plant", "water", "mineral"]
[peg-free]
text = "no ethoxylated ingredient"
broken_by_inci = ["peg-"]
assume_kept = true
)";

constexpr const char* kLimits = R"(
[[limit]]
substance = "GLYCERIN"
jurisdiction = "EU"
annex = "III"
entry = "0"
max_pct = 25
scope = "for the test alone"
uses = ["leave-on"]
forms = ["gel"]
src = "table"
at = "row 1"
)";

constexpr const char* kConflicts = R"(
[[conflict]]
id = "nothing-real"
a = { ingredients = ["glycerin"] }
b = { functions = ["emollient"], classes = ["water"], charges = ["cationic"] }
severity = "note"
text = "For the test alone."
src = "practice"
)";

constexpr const char* kGlycerin = R"(id = "glycerin"
inci = "GLYCERIN"
name = "glycerin"
also = ["glycerol", "glycérine"]
cas = ["56-81-5"]
ec = ["200-289-5"]
functions = ["humectant", "solvent"]

[value]
about = [{ is = "A sweet, syrupy triol.", src = "practice" }]
form = [{ is = "viscous-liquid", src = "practice" }]
class = [{ is = "polyol", src = "practice" }]
origin = [{ is = "plant", src = "practice" }]
commonness = [{ is = 4, src = "practice" }]
molar_mass = [{ is = 92.090, src = "table", at = "row 12" }]
in_water = [{ is = "dissolves", src = "practice" }]
in_oil = [{ is = "insoluble", src = "practice" }]
max_c = [{ is = 150, src = "memory" }]
use_pct = [
  { is = [2, 10.0], src = "practice", fn = "humectant", ctx = "leave-on", at_c = 25, note = "sticky above" },
]
uptake_pct = [{ key = "50", is = 25, src = "table", standing = "memory" }]
claim = [{ key = "vegan", is = "yes", src = "practice" }]
)";

constexpr const char* kWater = R"(id = "water"
inci = "AQUA"
name = "water"
cas = ["7732-18-5"]
ec = ["231-791-2"]
label_names = ["EAU"]
functions = ["water-base"]

[value]
origin = [{ is = "water", src = "practice" }]
commonness = [{ is = 5, src = "practice" }]
in_water = [{ is = "dissolves", src = "practice" }]
)";

constexpr const char* kSolution = R"(id = "glycerin-50"
inci = "GLYCERIN, AQUA"
name = "glycerin solution"
functions = ["humectant"]
composition = [
  { of = "glycerin", pct = 50.25, src = "practice" },
  { of = "water", pct = 49.75, src = "practice" },
]

[value]
commonness = [{ is = 2, src = "practice" }]
partner = [{ is = "glycerin", src = "practice" }]
)";

}  // namespace

TempFolder::TempFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "stillroom-test-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder to be had");
  path_ = name;
}

TempFolder::~TempFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

DataFixture::DataFixture() {
  Write("properties.toml", kProperties);
  Write("sources.toml", kSources);
  Write("functions.toml", kFunctions);
  Write("classes.toml", kClasses);
  Write("claims.toml", kClaims);
  Write("limits.toml", kLimits);
  Write("conflicts.toml", kConflicts);
  Write("ingredients/glycerin.toml", kGlycerin);
  Write("ingredients/water.toml", kWater);
  Write("ingredients/glycerin-50.toml", kSolution);
}

void DataFixture::Write(const std::string& relative, std::string_view text) const {
  const std::filesystem::path path = root() / relative;
  std::filesystem::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << text;
}

std::string DataFixture::Read(const std::string& relative) const {
  std::ifstream stream(root() / relative, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void DataFixture::Remove(const std::string& relative) const {
  std::filesystem::remove_all(root() / relative);
}

void DataFixture::Replace(const std::string& relative, std::string_view old_text,
                          std::string_view new_text) const {
  std::string text = Read(relative);
  const std::size_t at = text.find(old_text);
  ASSERT_NE(at, std::string::npos) << relative << " does not hold: " << old_text;
  ASSERT_EQ(text.find(old_text, at + 1), std::string::npos) << relative << " holds it twice: " << old_text;
  text.replace(at, old_text.size(), new_text);
  Write(relative, text);
}

std::string DataFixture::Complaints() const {
  indexer::Diagnostics out;
  const indexer::DataFolder folder = indexer::ReadDataFolder(root(), out);
  static_cast<void>(indexer::ReadCatalogue(folder, out));
  return out.Render();
}

kb::Catalogue DataFixture::Catalogue() const {
  indexer::Diagnostics out;
  const indexer::DataFolder folder = indexer::ReadDataFolder(root(), out);
  kb::CatalogueParts parts = indexer::ReadCatalogue(folder, out);
  EXPECT_EQ(out.Render(), "");
  return kb::Catalogue(std::move(parts));
}

}  // namespace indexer_test
