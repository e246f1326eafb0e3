#include "query/place_request.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "kb/chemistry/molar_mass.h"
#include "kb/text.h"
#include "query/structure.h"

namespace query {
namespace {

constexpr double kUsualPh = 5.5;  // where the formula has no target
constexpr std::size_t kMostDescribed = 100;

tl::unexpected<Trouble> Bad(std::string what, std::string where, std::string expected,
                            std::vector<std::string> nearest = {}) {
  return tl::unexpected(Trouble{Trouble::Kind::kBadQuestion,
                                std::move(what),
                                std::move(where),
                                std::move(expected),
                                std::move(nearest),
                                {}});
}

bool IsKeyLetter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '-';
}

// "form=powder, melting_c=230 C" holds two facts: a fact begins where a key and its sign follow a separator.
std::vector<std::string> Facts(const std::string& text) {
  std::vector<std::string> out;
  std::size_t begin = 0;
  const auto add = [&](std::size_t end) {
    std::string_view part = kb::Trim(std::string_view(text).substr(begin, end - begin));
    while (!part.empty() && (part.back() == ',' || part.back() == ';'))
      part = kb::Trim(part.substr(0, part.size() - 1));
    if (!part.empty()) out.emplace_back(part);
    begin = end;
  };
  for (std::size_t i = 1; i < text.size(); ++i) {
    const char before = text[i - 1];
    if (before != ' ' && before != ',' && before != ';' && before != '\n' && before != '\t') continue;
    std::size_t end = i;
    while (end < text.size() && IsKeyLetter(text[end])) ++end;
    if (end > i && end < text.size() && text[end] == '=') add(i);
  }
  add(text.size());
  return out;
}

void AddEstimate(PlaceQuestion& question, std::string property, double number) {
  const auto same = [&](const Trait& trait) { return trait.property == property; };
  if (std::any_of(question.described.begin(), question.described.end(), same))
    return;  // a given fact comes first
  question.described.push_back({std::move(property), {}, number, {}, "an estimate from the structure"});
}

Asked<bool> AddStructure(const std::string& smiles, PlaceQuestion& question) {
  const double ph = question.formula.target_ph.value_or(kUsualPh);
  const auto estimate = EstimateFromSmiles(smiles, ph);
  if (!estimate) {
    if (estimate.error().why == StructureTrouble::kNotSmiles)
      return Bad(estimate.error().text, "smiles", "a SMILES, such as OC(=O)c1ccccc1O");
    question.remarks.push_back(estimate.error().text);
    return true;
  }
  AddEstimate(question, "log_p", estimate->log_p);
  AddEstimate(question, "molar_mass", estimate->molar_mass);
  question.remarks.push_back(
      fmt::format("Estimate from the structure: log P {:.1f} (good to about 0.7), molar mass {:.1f} g/mol, "
                  "charge {:+d} at pH {:.1f}. A measured figure "
                  "is better.",
                  estimate->log_p, estimate->molar_mass, estimate->charge, ph));
  const auto charge = [](const Trait& trait) { return trait.property == "charge"; };
  if (estimate->charge != 0 && std::none_of(question.described.begin(), question.described.end(), charge)) {
    question.described.push_back({"charge",
                                  {estimate->charge < 0 ? "anionic" : "cationic"},
                                  {},
                                  {},
                                  "an estimate from the structure"});
  }
  return true;
}

Asked<bool> AddFormulaMass(const std::string& formula, PlaceQuestion& question) {
  const auto mass = kb::chemistry::MolarMass(formula);
  if (!mass)
    return Bad(fmt::format("'{}' is no molecular formula", formula), "formula",
               "element symbols and numbers, such as C7H6O3");
  AddEstimate(question, "molar_mass", *mass);
  question.remarks.push_back(fmt::format(
      "Molar mass {:.1f} g/mol from the formula; log P and charge need a structure (smiles=...).", *mass));
  return true;
}

Asked<bool> AddDescription(const kb::Catalogue& catalogue, const Params& params, PlaceQuestion& question) {
  std::string smiles, formula;
  std::size_t count = 0;
  for (const std::string& text : params.All("described")) {
    for (const std::string& fact : Facts(text)) {
      if (++count > kMostDescribed)
        return Bad("too many facts", "described", fmt::format("at most {}", kMostDescribed));
      const std::string key = kb::Fold(fact.substr(0, fact.find('=')));
      const bool has_value = fact.find('=') != std::string::npos;
      const std::string value = has_value ? std::string(kb::Trim(fact.substr(fact.find('=') + 1))) : "";
      if (has_value && key == "name") {
        question.what = value;
      } else if (has_value && key == "smiles") {
        smiles = value;
      } else if (has_value && key == "formula") {
        formula = value;
      } else {
        auto trait = ReadTrait(catalogue, fact);
        if (!trait) {
          TraitTrouble& trouble = trait.error();
          return Bad(std::move(trouble.what), std::move(trouble.where), std::move(trouble.expected),
                     std::move(trouble.nearest));
        }
        question.described.push_back(std::move(*trait));
      }
    }
  }
  if (!smiles.empty()) return AddStructure(smiles, question);
  if (!formula.empty()) return AddFormulaMass(formula, question);
  return true;
}

// The name as given; else without words of form that people add ("kojic acid powder", "retinol in oil").
Asked<kb::NameMatch> ReadName(const kb::Catalogue& catalogue, std::string_view name) {
  if (const auto exact = catalogue.FindExact(name)) return kb::NameMatch{*exact, std::string(name), false};
  static constexpr std::array<std::string_view, 16> kFormWords = {
      "powder", "powdered", "flakes", "crystals", "pellets", "pastilles", "liquid", "solid",
      "pure",   "raw",      "fine",   "granules", "beads",   "solution",  "the",    "cosmetic"};
  std::string shorter;
  for (const std::string& word : kb::SplitTrimmed(kb::Fold(name), ' ')) {
    if (std::find(kFormWords.begin(), kFormWords.end(), word) == kFormWords.end())
      shorter += (shorter.empty() ? "" : " ") + word;
  }
  if (const auto exact = catalogue.FindExact(shorter); exact && !shorter.empty())
    return kb::NameMatch{*exact, catalogue.at(*exact).name, true};
  return ReadIngredient(catalogue, name, "name");
}

// A typical product that an ingredient is made for, where it is not made for the usual emulsion and does not go there as its
// record says: shampoo surfactants, parts of balms.
std::optional<FormulaAsked> OwnSetting(const kb::Catalogue& catalogue, kb::IngredientIx ix,
                                       const kb::Formula& usual) {
  const kb::Fact* phase = catalogue.Best(ix, "phase");
  if (phase == nullptr || catalogue.Says(ix, "suits", "emulsion-ow")) return std::nullopt;
  const auto goes_as_usual = [&](const kb::Formula& formula) {
    PlaceQuestion question;
    question.ingredient = ix;
    question.formula = formula;
    const Placement answer = Place(catalogue, question, PlaceDepth::kWithoutTests);
    return answer.fits && PositionId(answer.position) == phase->text;
  };
  if (goes_as_usual(usual)) return std::nullopt;
  for (const kb::Fact& suits : catalogue.Facts(ix, "suits")) {
    Params params;
    params.values.emplace_back("kind", "leave-on/" + suits.text);
    auto setting = ReadSetting(catalogue, params);
    if (setting && goes_as_usual(setting->formula)) return std::move(*setting);
  }
  return std::nullopt;
}

}  // namespace

Asked<PlaceAsked> ReadPlaceQuestion(const kb::Catalogue& catalogue, const Params& params) {
  PlaceAsked out;
  const std::string_view name = params.Get("name");
  const bool described = !params.All("described").empty();
  if (name.empty() && !described)
    return Bad("nothing to place", "name", "a name, or facts: --described form=powder water_g_per_l=0.5 ...");
  if (!name.empty()) {
    const auto found = ReadName(catalogue, name);
    if (found) {
      out.question.ingredient = found->ingredient;
      if (found->corrected) out.taken_for = catalogue.at(found->ingredient).name;
    } else if (described) {
      out.question.what = name;  // a stranger may have a name
    } else {
      Trouble trouble = found.error();
      trouble.expected += "; or describe it: --described form=powder water_g_per_l=0.5 ...";
      return tl::unexpected(std::move(trouble));
    }
  }
  auto setting = ReadSetting(catalogue, params);
  if (!setting) return tl::unexpected(setting.error());
  if (out.question.ingredient && setting->typical && params.Get("kind").empty()) {
    if (auto own = OwnSetting(catalogue, *out.question.ingredient, setting->formula))
      setting = std::move(*own);
  }
  const auto level = ReadNumber(params, "level", 0, 100);
  if (!level) return tl::unexpected(level.error());
  out.question.formula = std::move(setting->formula);
  out.question.setting = std::move(setting->setting);
  out.typical = setting->typical;
  out.question.as_it_stands = !setting->typical;
  out.question.level = *level;
  if (const auto added = AddDescription(catalogue, params, out.question); !added)
    return tl::unexpected(added.error());
  return out;
}

}  // namespace query
