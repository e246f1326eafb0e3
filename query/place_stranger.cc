// What a maker types about a stranger: "form=powder water_g_per_l=0.5@20 melting_c=230 oil=no".
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "kb/text.h"
#include "query/place_parts.h"

namespace query {
namespace {

using Pair = std::pair<std::string_view, std::string_view>;

// Shorter and usual words for our properties, as supplier's sheets and makers write them.
constexpr std::array<Pair, 22> kKeyWords = {{{"oil", "in_oil"},
                                             {"oil_soluble", "in_oil"},
                                             {"water", "in_water"},
                                             {"water_soluble", "in_water"},
                                             {"glycol", "in_glycol"},
                                             {"ethanol", "in_ethanol"},
                                             {"alcohol", "in_ethanol"},
                                             {"solubility", "water_g_per_l"},
                                             {"water_solubility", "water_g_per_l"},
                                             {"solubility_class", "water_class"},
                                             {"melting", "melting_c"},
                                             {"melting_point", "melting_c"},
                                             {"mp", "melting_c"},
                                             {"max_temperature", "max_c"},
                                             {"max_temperature_c", "max_c"},
                                             {"max_temp", "max_c"},
                                             {"needs", "needs_c"},
                                             {"logp", "log_p"},
                                             {"log_kow", "log_p"},
                                             {"mw", "molar_mass"},
                                             {"molecular_weight", "molar_mass"},
                                             {"functions", "function"}}};

constexpr std::array<Pair, 20> kForms = {{{"crystal", "crystals"},
                                          {"crystalline", "crystals"},
                                          {"crystalline-powder", "powder"},
                                          {"fine-powder", "powder"},
                                          {"granules", "powder"},
                                          {"granular", "powder"},
                                          {"pellets", "flakes"},
                                          {"pastilles", "flakes"},
                                          {"beads", "flakes"},
                                          {"flake", "flakes"},
                                          {"wax", "solid"},
                                          {"waxy-solid", "solid"},
                                          {"lump", "solid"},
                                          {"butter", "soft-solid"},
                                          {"gel", "paste"},
                                          {"oil", "liquid"},
                                          {"solution", "liquid"},
                                          {"fluid", "liquid"},
                                          {"syrup", "viscous-liquid"},
                                          {"thick-liquid", "viscous-liquid"}}};

constexpr std::array<Pair, 13> kSolubilities = {{{"yes", "dissolves"},
                                                 {"soluble", "dissolves"},
                                                 {"dissolve", "dissolves"},
                                                 {"miscible", "dissolves"},
                                                 {"no", "insoluble"},
                                                 {"not", "insoluble"},
                                                 {"disperse", "disperses"},
                                                 {"dispersible", "disperses"},
                                                 {"swell", "swells"},
                                                 {"swellable", "swells"},
                                                 {"polar", "polar-oils-only"},
                                                 {"polar-oils", "polar-oils-only"},
                                                 {"partially", "partly"}}};

template <std::size_t kSize>
std::string Translated(const std::array<Pair, kSize>& words, std::string word) {
  const auto found =
      std::find_if(words.begin(), words.end(), [&](const Pair& pair) { return pair.first == word; });
  return found == words.end() ? word : std::string(found->second);
}

// Lower case, blanks and `other` as `joint`.
std::string Normal(std::string_view text, char joint, char other) {
  std::string out(kb::Trim(text));
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == ' ' || c == other) c = joint;
  }
  return out;
}

tl::unexpected<TraitTrouble> Bad(std::string what, std::string where, std::string expected,
                                 std::vector<std::string> nearest = {}) {
  return tl::unexpected(
      TraitTrouble{std::move(what), std::move(where), std::move(expected), std::move(nearest)});
}

// Reads a number off the front.
std::optional<double> TakeNumber(std::string_view& text) {
  text = kb::Trim(text);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

struct Figures {
  double low = 0, high = 0;
  std::optional<double> at_c;
};

// "12", "<0.1", "107-117", "107 to 117 C", "5 g/L @ 25"
std::optional<Figures> ReadFigures(std::string text) {
  std::replace(text.begin(), text.end(), ',', '.');
  std::string_view rest = kb::Trim(text);
  while (!rest.empty() &&
         (rest.front() == '<' || rest.front() == '>' || rest.front() == '~' || rest.front() == '='))
    rest.remove_prefix(1);
  Figures out;
  std::string_view before_at = rest.substr(0, rest.find('@'));
  if (before_at.size() < rest.size()) {
    std::string_view after = rest.substr(before_at.size() + 1);
    out.at_c = TakeNumber(after);
    if (!out.at_c) return std::nullopt;
  }
  const auto low = TakeNumber(before_at);
  if (!low) return std::nullopt;
  out.low = out.high = *low;
  before_at = kb::Trim(before_at);
  if (before_at.starts_with("to ")) before_at.remove_prefix(3);
  if (before_at.starts_with("-")) before_at.remove_prefix(1);
  std::string_view second = before_at;
  if (const auto high = TakeNumber(second)) out.high = *high, before_at = second;
  // What is left may be a unit, no further figures.
  if (before_at.find_first_of("0123456789=") != std::string_view::npos || out.high < out.low)
    return std::nullopt;
  return out;
}

tl::expected<Trait, TraitTrouble> NumberTrait(const kb::Property& property, std::string_view text) {
  const std::string expected =
      fmt::format("a number from {:g} to {:g}{}{}", property.low, property.high,
                  property.unit == "1" ? "" : " ", property.unit == "1" ? "" : property.unit);
  const auto figures = ReadFigures(std::string(text));
  if (!figures || figures->low < property.low || figures->high > property.high)
    return Bad(fmt::format("'{}' is no value for {}", text, property.id), property.id, expected);
  Trait trait{property.id, {}, {}, figures->at_c, "as described"};
  trait.number = property.id == "max_c" ? figures->low : 0.5 * (figures->low + figures->high);
  return trait;
}

tl::expected<Trait, TraitTrouble> ChoiceTrait(const kb::Property& property, std::string_view text) {
  std::string word = Normal(text, '-', '_');
  if (property.id == "form") word = Translated(kForms, word);
  const bool ours =
      std::find(property.choices.begin(), property.choices.end(), word) != property.choices.end();
  if (property.group == "solubility" && !ours) word = Translated(kSolubilities, word);
  if (property.id == "water_class" && word == "insoluble") word = "practically-insoluble";
  if (std::find(property.choices.begin(), property.choices.end(), word) == property.choices.end()) {
    return Bad(fmt::format("'{}' is no {}", text, property.id), property.id,
               fmt::format("one of {}", fmt::join(property.choices, ", ")),
               kb::Nearest(word, property.choices, 3));
  }
  return Trait{property.id, {word}, {}, {}, "as described"};
}

tl::expected<Trait, TraitTrouble> FunctionTrait(const kb::Catalogue& catalogue, std::string_view text) {
  if (const auto found = catalogue.FindFunction(text))
    return Trait{"function", {catalogue.function(*found).id}, {}, {}, "as described"};
  std::vector<std::string> ids;
  for (const kb::Function& function : catalogue.functions()) ids.push_back(function.id);
  return Bad(fmt::format("no function named '{}'", text), "function",
             "a function's id or name, such as humectant or preservative", kb::Nearest(text, ids, 3));
}

bool IsDescribable(const kb::Property& property) {
  return property.kind != kb::ValueKind::kText && property.keys.empty();
}

}  // namespace

std::vector<std::string> DescriptionKeys(const kb::Catalogue& catalogue) {
  std::vector<std::string> keys = {"form",     "water",     "water_g_per_l", "water_class", "oil",
                                   "glycol",   "melting_c", "needs_c",       "max_c",       "log_p",
                                   "function", "class",     "charge",        "lumps",       "liquid",
                                   "polymer",  "smiles",    "formula",       "name"};
  for (const kb::Property& property : catalogue.properties()) {
    if (IsDescribable(property) && std::find(keys.begin(), keys.end(), property.id) == keys.end())
      keys.push_back(property.id);
  }
  return keys;
}

tl::expected<Trait, TraitTrouble> ReadTrait(const kb::Catalogue& catalogue, std::string_view text) {
  const std::size_t sign = text.find('=');
  if (sign == std::string_view::npos) {
    return Bad(fmt::format("'{}' is no fact", text), "described",
               "key=value, such as form=powder or water_g_per_l=0.5");
  }
  const std::string written = Normal(text.substr(0, sign), '_', '-');
  const std::string key = Translated(kKeyWords, written);
  const std::string_view value = kb::Trim(text.substr(sign + 1));
  if (value.empty())
    return Bad(fmt::format("{} has no value", written), written, "key=value; leave out what is not known");
  if (key == "function") return FunctionTrait(catalogue, value);
  if (key == "liquid" || key == "polymer") {
    const std::string word = Normal(value, '-', '_');
    if (word != "yes" && word != "no")
      return Bad(fmt::format("'{}' is no value for {}", value, key), key, "yes or no");
    if (key == "polymer") return Trait{"polymer", {word}, {}, {}, "as described"};
    if (word == "no")
      return Bad("liquid=no does not say what it is", "liquid", "form=powder, crystals, flakes, solid ...");
    return Trait{"form", {"liquid"}, {}, {}, "as described"};
  }
  const auto property = catalogue.FindProperty(key);
  if (!property || !IsDescribable(catalogue.properties()[*property])) {
    std::vector<std::string> keys = DescriptionKeys(catalogue);
    std::vector<std::string> nearest = kb::Nearest(written, keys, 3);
    keys.resize(std::min<std::size_t>(keys.size(), 19));
    return Bad(fmt::format("'{}' is nothing that describes an ingredient here", written), "described",
               fmt::format("{} ..., or another property of data/properties.toml", fmt::join(keys, ", ")),
               std::move(nearest));
  }
  const kb::Property& known = catalogue.properties()[*property];
  return known.kind == kb::ValueKind::kNumber ? NumberTrait(known, value) : ChoiceTrait(known, value);
}

}  // namespace query
