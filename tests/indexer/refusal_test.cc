// Every complaint, one a row: what is changed in a right data folder, and where the complaint must point
// ('|').
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <ostream>
#include <string>

#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

struct Refusal {
  const char* name;
  const char* file;
  const char* old_text;
  const char* new_text;  // with '|' before the character that the complaint points to
  const char* complaint;
  friend void PrintTo(const Refusal& row, std::ostream* out) { *out << row.name; }
};

constexpr const char* kGlycerin = "ingredients/glycerin.toml";
constexpr const char* kSolution = "ingredients/glycerin-50.toml";
constexpr const char* kWater = "ingredients/water.toml";

const Refusal kIngredients[] = {
    {"Syntax", kGlycerin, "cas = [\"56-81-5\"]", "cas = [|}", "Error while parsing"},
    {"SyntaxOfTheBareAccent", kGlycerin, "[value]", "[|é]", "expected bare key"},
    {"SyntaxOfTheComma", kGlycerin, "[value]", "[|,]", "expected bare key"},
    {"SameKeyTwice", kGlycerin, "name = \"glycerin\"", "name = \"glycerin\"\nname = |\"glycerin\"",
     "redefine"},
    {"UnknownKey", kGlycerin, "also = [", "|alos = [", "unknown key 'alos'; did you mean 'also'?"},
    {"UnknownProperty", kGlycerin, "molar_mass = [", "|molar_mas = [",
     "unknown property 'molar_mas'; did you mean 'molar_mass'?"},
    {"UnknownKeyOfAClaim", kGlycerin, "ctx = \"leave-on\"", "|ctxt = \"leave-on\"",
     "unknown key 'ctxt'; did you mean 'ctx'?"},
    {"UnknownSource", kGlycerin, "src = \"table\", at", "src = |\"tabel\", at",
     "source 'tabel' is not in sources.toml; did you mean 'table'?"},
    {"NoSource", kGlycerin, "{ is = 150, src = \"memory\" }", "|{ is = 150 }", "claim without a source"},
    {"NoValue", kGlycerin, "{ is = 150, src", "|{ src", "'is' is missing"},
    {"TextForANumber", kGlycerin, "is = 150", "is = |\"150\"",
     "'max_c' is text; expected a number or [low, high] in C"},
    {"TruthForANumber", kGlycerin, "is = 150", "is = |true", "'max_c' is true or false; expected a number"},
    {"DateForANumber", kGlycerin, "is = 150", "is = |1979-05-27", "'max_c' is a date; expected a number"},
    {"ThreeNumbers", kGlycerin, "is = 150", "is = |[1, 2, 3]", "'max_c' is no pair of numbers"},
    {"NumberForAChoice", kGlycerin, "is = \"polyol\"", "is = |7",
     "'class' is a number; expected text in quotes"},
    {"NumberForAText", kGlycerin, "is = \"A sweet, syrupy triol.\"", "is = |7",
     "'about' is a number; expected text in quotes"},
    {"EmptyText", kGlycerin, "is = \"A sweet, syrupy triol.\"", "is = |\"\"",
     "'about' is empty; expected text in quotes"},
    {"ClaimsNotInAList", kGlycerin, "[{ is = 150, src = \"memory\" }]", "|{ is = 150, src = \"memory\" }",
     "'max_c' is a table; expected a list of tables"},
    {"ClaimNotATable", kGlycerin, "[{ is = 150, src = \"memory\" }]", "[|150]",
     "'max_c' is a number; expected a table"},
    {"AboveTheBounds", kGlycerin, "is = 150", "is = |1500.5", "'max_c' is 1500.5; expected 0 to 1000 C"},
    {"BelowTheBounds", kGlycerin, "is = 150", "is = |-1", "'max_c' is -1; expected 0 to 1000 C"},
    {"RangeAboveTheBounds", kGlycerin, "[2, 10.0]", "[2, |110]", "'use_pct' is 110; expected 0 to 100 %"},
    {"NotANumber", kGlycerin, "is = 150", "is = |nan", "'max_c' is nan; expected 0 to 1000 C"},
    {"Infinite", kGlycerin, "is = 150", "is = |inf", "'max_c' is inf; expected 0 to 1000 C"},
    {"RangeUpsideDown", kGlycerin, "[2, 10.0]", "[|12, 10.0]",
     "range with low above high (12 to 10.0); expected [low, high]"},
    {"NoSuchChoice", kGlycerin, "\"viscous-liquid\"", "|\"viscous-liqiud\"",
     "'viscous-liqiud' is no choice of 'form'; did you mean 'viscous-liquid'?"},
    {"NoChoiceNear", kGlycerin, "\"viscous-liquid\"", "|\"sparkling\"",
     "'sparkling' is no choice of 'form'; expected one of liquid, viscous-liquid, powder"},
    {"KeyMissing", kGlycerin, "{ key = \"vegan\", is", "|{ is",
     "'claim' needs 'key'; expected one of vegan, peg-free"},
    {"AnyKeyMissing", kGlycerin, "{ key = \"50\", is", "|{ is", "'uptake_pct' needs 'key'"},
    {"KeyNotAllowed", kGlycerin, "{ is = 150,", "{ is = 150, key = |\"hot\",", "'max_c' has no keys"},
    {"KeyUnknown", kGlycerin, "key = \"vegan\"", "key = |\"vegn\"",
     "'vegn' is no key of 'claim'; did you mean 'vegan'?"},
    {"KeyNotAText", kGlycerin, "{ key = \"50\"", "{ key = |50", "'key' is a number; expected text in quotes"},
    {"FunctionUnknown", kGlycerin, "\"humectant\", \"solvent\"", "\"humectant\", |\"solvant\"",
     "unknown function 'solvant'; did you mean 'solvent'?"},
    {"FunctionTwice", kGlycerin, "\"humectant\", \"solvent\"", "\"humectant\", |\"humectant\"",
     "function 'humectant' is named twice"},
    {"FunctionOfAClaimUnknown", kGlycerin, "fn = \"humectant\"", "fn = |\"humectants\"",
     "unknown function 'humectants'; did you mean 'humectant'?"},
    {"StandingUnknown", kGlycerin, "standing = \"memory\"", "standing = |\"hearsay\"",
     "'hearsay' is no standing; expected one of published, common practice, estimate, memory"},
    {"StandingOwn", kGlycerin, "standing = \"memory\"", "standing = |\"own\"", "'own' is no standing"},
    {"StandingTooHigh", kGlycerin, "{ is = 150, src = \"memory\"",
     "{ is = 150, src = \"memory\", standing = |\"published\"",
     "standing 'published' is higher than a source of kind 'memory' earns; expected at most 'memory'"},
    {"TooCold", kGlycerin, "at_c = 25", "at_c = |-300", "'at_c' is -300; expected -273.15 to 3000"},
    {"CasCheckDigit", kGlycerin, "\"56-81-5\"", "|\"56-81-4\"", "'56-81-4' is no CAS number"},
    {"EcCheckDigit", kGlycerin, "\"200-289-5\"", "|\"200-289-6\"", "'200-289-6' is no EC number"},
    {"CasForm", kGlycerin, "\"56-81-5\"", "|\"56815\"", "'56815' is no CAS number"},
    {"CasNotAList", kGlycerin, "[\"56-81-5\"]", "|\"56-81-5\"", "'cas' is text; expected a list of texts"},
    {"SameCas", kWater, "\"7732-18-5\"", "|\"56-81-5\"",
     "CAS number '56-81-5' is taken: 'glycerin' has it at"},
    {"SameName", kWater, "name = \"water\"", "name = |\"Glycerol\"",
     "name 'Glycerol' is taken: 'glycerin' has it at"},
    {"SameNameButForAccents", kWater, "cas = [\"7732-18-5\"]", "also = [\"H2O\", |\"GLYCERINE\"]",
     "name 'GLYCERINE' is taken: 'glycerin' has it at"},
    {"NameIsAnotherId", kWater, "name = \"water\"", "name = |\"glycerin 50\"",
     "name 'glycerin 50' is taken: 'glycerin-50' has it at"},
    {"IdMissing", kWater, "id = \"water\"\n", "|", "'id' is missing"},
    {"InciMissing", kGlycerin, "id = \"glycerin\"\ninci = \"GLYCERIN\"", "|id = \"glycerin\"",
     "'inci' is missing"},
    {"NameMissing", kGlycerin, "id = \"glycerin\"\ninci = \"GLYCERIN\"\nname = \"glycerin\"\n",
     "|id = \"glycerin\"\ninci = \"GLYCERIN\"\n", "'name' is missing"},
    {"FunctionsEmpty", kWater, "[\"water-base\"]", "|[]", "'functions' is empty"},
    {"IdIsNotTheFile", kWater, "id = \"water\"", "id = |\"wasser\"",
     "id 'wasser' differs from the file's name; expected 'water'"},
    {"PartUnknown", kSolution, "of = \"glycerin\"", "of = |\"glycerol\"",
     "no ingredient 'glycerol'; did you mean 'glycerin'?"},
    {"PartsShort", kSolution, "[\n  { of = \"glycerin\", pct = 50.25",
     "|[\n  { of = \"glycerin\", pct = 50.23", "the parts sum to 99.98 %; expected 100"},
    {"PartTooLarge", kSolution, "pct = 50.25", "pct = |150.25", "'pct' is 150.25; expected 0 to 100"},
    {"PartNegative", kSolution, "pct = 50.25", "pct = |-0.5", "'pct' is -0.5; expected 0 to 100"},
    {"PartZero", kSolution, "{ of = \"water\", pct = 49.75", "{ of = \"water\", pct = |0", "a part of 0 %"},
    {"PartWithoutAName", kSolution, "{ of = \"water\", pct", "|{ pct", "expected either of = "},
    {"PartWithTwoNames", kSolution, "{ of = \"water\", pct", "|{ of = \"water\", inci = \"AQUA\", pct",
     "expected either of = "},
    {"PartWithoutASource", kSolution, "{ of = \"water\", pct = 49.75, src = \"practice\" }",
     "|{ of = \"water\", pct = 49.75 }", "'src' is missing"},
    {"PartOfItself", kSolution, "[\n  { of = \"glycerin\", pct", "|[\n  { of = \"glycerin-50\", pct",
     "the composition runs in a circle: glycerin-50 -> glycerin-50"},
    {"PartOfAPart", kWater, "functions = [\"water-base\"]",
     "functions = [\"water-base\"]\ncomposition = [{ of = \"glycerin-50\", pct = 100, src = \"practice\" }]",
     "the composition runs in a circle: glycerin-50 -> water -> glycerin-50"},
    {"PartnerUnknown", kSolution, "is = \"glycerin\"", "is = |\"glycerine\"",
     "no ingredient 'glycerine'; did you mean 'glycerin'?"},
    {"BadUtf8", kGlycerin, "glycérine", "glyc|\xE9rine", "byte 0xE9 is no UTF-8"},
    {"BadUtf8Overlong", kGlycerin, "glycérine", "glyc|\xC0\xAFrine", "byte 0xC0 is no UTF-8"},
    {"TradeMark", kGlycerin, "A sweet, syrupy triol.", "A sweet triol|™.", "trade mark sign"},
    {"RegisteredMark", kGlycerin, "A sweet, syrupy triol.", "A sweet triol|(R).", "trade mark sign"},
};

const Refusal kDefinitions[] = {
    {"PropertyKind", "properties.toml", "[form]\nkind = \"choice\"", "[form]\nkind = |\"chioce\"",
     "'chioce' is no kind; did you mean 'choice'?"},
    {"PropertyWithoutBounds", "properties.toml",
     "[log_p]\nkind = \"number\"\ngroup = \"solubility\"\nunit = \"1\"\nlow = -12\n",
     "[|log_p]\nkind = \"number\"\ngroup = \"solubility\"\nunit = \"1\"\n",
     "a number needs 'low' and 'high'"},
    {"PropertyWithoutUnit", "properties.toml",
     "[log_p]\nkind = \"number\"\ngroup = \"solubility\"\nunit = \"1\"\n",
     "[|log_p]\nkind = \"number\"\ngroup = \"solubility\"\n", "a number needs a unit"},
    {"PropertyBoundsUpsideDown", "properties.toml", "low = -12", "low = |30",
     "'low' is above 'high' (30 > 25)"},
    {"PropertyChoiceWithoutChoices", "properties.toml",
     "[polarity]\nkind = \"choice\"\ngroup = \"oil\"\nchoices = [\"polar\", \"nonpolar\"]",
     "[|polarity]\nkind = \"choice\"\ngroup = \"oil\"", "a choice needs 'choices'"},
    {"PropertyTextWithAUnit", "properties.toml", "[about]\nkind = \"text\"",
     "[|about]\nkind = \"text\"\nunit = \"1\"", "belong to numbers"},
    {"PropertyId", "properties.toml", "[log_p]", "[|Log-P]", "'Log-P' is no id; expected a-z, 0-9 and '_'"},
    {"PropertyNotATable", "properties.toml", "\n[about]", "|extra = 1\n[about]",
     "'extra' is a number; expected a table"},
    {"SourceKind", "sources.toml", "kind = \"dataset\"", "kind = |\"datasets\"",
     "'datasets' is no kind; did you mean 'dataset'?"},
    {"SourceYear", "sources.toml", "year = 2020", "year = |20200", "'year' is 20200; expected 1500 to 2200"},
    {"SourceTitle", "sources.toml", "[memory]\nkind = \"memory\"\ntitle = \"Recalled\"",
     "[|memory]\nkind = \"memory\"", "'title' is missing"},
    {"FunctionRequires", "functions.toml", "required = [\"in_water\", \"use_pct\"]",
     "required = [\"in_water\", |\"use_pc\"]", "unknown property 'use_pc'; did you mean 'use_pct'?"},
    {"FunctionCompares", "functions.toml", "{ property = \"side\", weight", "{ property = |\"sides\", weight",
     "unknown property 'sides'; did you mean 'side'?"},
    {"FunctionWeight", "functions.toml", "{ property = \"side\", weight = 1 }", "|{ property = \"side\" }",
     "'weight' is missing"},
    {"FunctionRequirement", "functions.toml", "any = [\"dissolves\"]", "any = [|\"disolves\"]",
     "'disolves' is no choice of 'in_water'; did you mean 'dissolves'?"},
    {"FunctionRequirementForm", "functions.toml", "in = [\"gel\"]", "in = [|\"jel\"]",
     "'jel' is no choice of 'suits'"},
    {"FunctionNear", "functions.toml", "near = [\"solvent\"]", "near = [|\"solvents\"]",
     "unknown function 'solvents'; did you mean 'solvent'?"},
    {"FunctionLevel", "functions.toml", "level = \"active-matter\"", "level = |\"active-mater\"",
     "'active-mater' is no level; did you mean 'active-matter'?"},
    {"FunctionSwapWithoutAWord", "functions.toml",
     "swap = \"rework\"\nswap_note = \"Another grade is the same substance.\"", "swap = |\"rework\"",
     "swap = \"rework\" without 'swap_note'"},
    {"FunctionCardSource", "functions.toml", "src = [\"practice\"]", "src = [|\"practise\"]",
     "source 'practise' is not in sources.toml; did you mean 'practice'?"},
    {"FunctionNameTwice", "functions.toml", "name = \"emollient\"", "name = |\"Moisture Binder\"",
     "'Moisture Binder' is a name of function 'humectant' already"},
    {"FunctionSupply", "functions.toml", "name = \"emollient\"", "name = \"emollient\"\nsupply = |2",
     "'supply' is 2; expected 0 to 1"},
    {"ClassUnknown", "classes.toml", "\"glycol\"]", "|\"glycols\"]",
     "'glycols' is no choice of 'class'; did you mean 'glycol'?"},
    {"ClassTwice", "classes.toml", "\"glycol\"]", "|\"water\"]",
     "class 'water' is in family 'aqueous' already"},
    {"ClaimUnknown", "claims.toml", "[vegan]", "[vegan]\ntext = \"x\"\n[|vegans]",
     "'vegans' is no key of property 'claim'; did you mean 'vegan'?"},
    {"ClaimOrigin", "claims.toml", "broken_by_origin = [\"animal\"]", "broken_by_origin = [|\"animals\"]",
     "'animals' is no choice of 'origin'; did you mean 'animal'?"},
    {"LimitSource", "limits.toml", "src = \"table\"", "src = |\"tables\"",
     "source 'tables' is not in sources.toml; did you mean 'table'?"},
    {"LimitForm", "limits.toml", "forms = [\"gel\"]", "forms = [|\"gels\"]",
     "'gels' is no choice of 'suits'"},
    {"LimitUse", "limits.toml", "uses = [\"leave-on\"]", "uses = [|\"leave-no\"]",
     "use 'leave-no'; did you mean 'leave-on'?"},
    {"LimitTooHigh", "limits.toml", "max_pct = 25", "max_pct = |250", "'max_pct' is 250; expected 0 to 100"},
    {"LimitNone", "limits.toml", "\n[[limit]]\n",
     "\n|[[limit]]\nsubstance = \"X\"\njurisdiction = \"EU\"\nsrc = \"table\"\n[[limit]]\n",
     "a limit without a limit"},
    {"LimitProhibitedWithAFigure", "limits.toml", "max_pct = 25", "prohibited = true\nmax_pct = |25",
     "a prohibited substance has no 'max_pct'"},
    {"ConflictIngredient", "conflicts.toml", "ingredients = [\"glycerin\"]", "ingredients = [|\"glycerine\"]",
     "no ingredient 'glycerine'; did you mean 'glycerin'?"},
    {"ConflictFunction", "conflicts.toml", "functions = [\"emollient\"]", "functions = [|\"emolient\"]",
     "unknown function 'emolient'; did you mean 'emollient'?"},
    {"ConflictClass", "conflicts.toml", "classes = [\"water\"]", "classes = [|\"waters\"]",
     "'waters' is no choice of 'class'; did you mean 'water'?"},
    {"ConflictCharge", "conflicts.toml", "charges = [\"cationic\"]", "charges = [|\"catonic\"]",
     "'catonic' is no choice of 'charge'; did you mean 'cationic'?"},
    {"ConflictSeverity", "conflicts.toml", "severity = \"note\"", "severity = |\"notes\"",
     "'notes' is no severity; did you mean 'note'?"},
    {"ConflictEmptySide", "conflicts.toml", "a = { ingredients = [\"glycerin\"] }", "a = |{ }",
     "this side of the conflict names nothing"},
};

struct At {
  std::uint32_t line = 1, column = 1;
};

// Takes the '|' out of the text and says where it stood, as an editor counts.
At TakeMark(std::string& text) {
  const std::size_t mark = text.find('|');
  if (mark == std::string::npos) return {0, 0};
  text.erase(mark, 1);
  At at;
  for (std::size_t i = 0; i < mark; ++i) {
    const bool continues = (static_cast<unsigned char>(text[i]) & 0xC0U) == 0x80U;
    if (text[i] == '\n') {
      ++at.line, at.column = 1;
    } else if (!continues) {
      ++at.column;
    }
  }
  return at;
}

class Refuses : public testing::TestWithParam<Refusal> {};

TEST_P(Refuses, AndPointsToIt) {
  const Refusal& row = GetParam();
  const DataFixture data;
  ASSERT_EQ(data.Complaints(), "");
  ASSERT_NO_FATAL_FAILURE(data.Replace(row.file, row.old_text, row.new_text));
  std::string text = data.Read(row.file);
  const At at = TakeMark(text);
  data.Write(row.file, text);
  const std::string said = data.Complaints();
  EXPECT_NE(said.find(row.complaint), std::string::npos) << said;
  if (at.line != 0) {
    const std::string where = (data.root() / row.file).string() + ":" + std::to_string(at.line) + ":" +
                              std::to_string(at.column) + ": error: ";
    EXPECT_NE(said.find(where), std::string::npos) << "expected " << where << "\n" << said;
  }
  EXPECT_NE(said.find("\nstillroom-index: 1 error in 1 file"), std::string::npos) << said;
}

std::string Name(const testing::TestParamInfo<Refusal>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Ingredient, Refuses, testing::ValuesIn(kIngredients), Name);
INSTANTIATE_TEST_SUITE_P(Definition, Refuses, testing::ValuesIn(kDefinitions), Name);

}  // namespace
}  // namespace indexer_test
