#include "query/swap_tips.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string_view>

#include "kb/text.h"

namespace query {
namespace {

using kb::Form;

// Words by which makers name a kind of product, longest first where one holds another; singular, folded.
struct ProductWord {
  std::string_view word;
  std::vector<Form> forms;  // none: a product of another trade
};

const std::vector<ProductWord>& ProductWords() {
  static const std::vector<ProductWord> words = {
      {"soap maker", {}},
      {"bath bomb", {Form::kPowder}},
      {"bath fizz", {Form::kPowder}},
      {"shampoo bar", {Form::kPowder}},
      {"shampoo", {Form::kSurfactant}},
      {"body wash", {Form::kSurfactant}},
      {"cleansing oil", {Form::kAnhydrous}},
      {"cleansing balm", {Form::kAnhydrous}},
      {"lipstick", {Form::kAnhydrous}},
      {"lip balm", {Form::kAnhydrous}},
      {"balm", {Form::kAnhydrous}},
      {"salve", {Form::kAnhydrous}},
      {"cream", {Form::kEmulsionOw, Form::kEmulsionWo, Form::kSunscreen, Form::kConditioner}},
      {"lotion", {Form::kEmulsionOw, Form::kEmulsionWo, Form::kSunscreen, Form::kConditioner}},
      {"conditioner", {Form::kConditioner}},
      {"toner", {Form::kWater}},
      {"mist", {Form::kWater}},
      {"sunscreen", {Form::kSunscreen}},
  };
  return words;
}

bool IsLetter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0;
}

// As a whole word, in the plural too.
bool Names(std::string_view text, std::string_view word) {
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    std::size_t end = at + word.size();
    if (end < text.size() && text[end] == 's') ++end;
    if ((at == 0 || !IsLetter(text[at - 1])) && (end == text.size() || !IsLetter(text[end]))) return true;
  }
  return false;
}

enum class About { kOther, kAny, kThis };

About ProductOf(std::string_view tip, Form form) {
  // Folded, a stroke is a space. Which emulsion is meant says more than the word cream beside it.
  const bool wo = Names(tip, "w o");
  if (wo != Names(tip, "o w")) return (form == Form::kEmulsionWo) == wo ? About::kThis : About::kOther;
  About about = About::kAny;
  for (const ProductWord& item : ProductWords()) {
    if (!Names(tip, item.word)) continue;
    if (std::find(item.forms.begin(), item.forms.end(), form) != item.forms.end()) return About::kThis;
    about = About::kOther;
  }
  return about;
}

bool SpeaksOf(const Catalogue& catalogue, std::string_view tip, IngredientIx ix) {
  constexpr std::size_t kShortest = 5;  // shorter names are words of other meaning as well
  const kb::Ingredient& item = catalogue.at(ix);
  const auto named = [&](const std::string& name) {
    return name.size() >= kShortest && Names(tip, kb::Fold(name));
  };
  return named(item.name) || std::any_of(item.also.begin(), item.also.end(), named);
}

}  // namespace

std::vector<std::string> TipsFor(const Catalogue& catalogue, const kb::Formula& after, IngredientIx missing,
                                 IngredientIx stand_in) {
  std::array<std::vector<std::string>, 3> by_point;
  for (const kb::Fact& fact : catalogue.Facts(stand_in, "tip")) {
    const std::string tip = kb::Fold(fact.text);
    if (SpeaksOf(catalogue, tip, missing)) {
      by_point[0].push_back(fact.text);
      continue;
    }
    const About about = ProductOf(tip, after.kind.form);
    if (about == About::kOther) continue;
    const bool in_company =
        std::any_of(after.lines.begin(), after.lines.end(), [&](const kb::FormulaLine& line) {
          return line.ingredient != stand_in && SpeaksOf(catalogue, tip, line.ingredient);
        });
    by_point[about == About::kThis || in_company ? 1 : 2].push_back(fact.text);
  }
  std::vector<std::string> out;
  for (std::vector<std::string>& tips : by_point) out.insert(out.end(), tips.begin(), tips.end());
  return out;
}

}  // namespace query
