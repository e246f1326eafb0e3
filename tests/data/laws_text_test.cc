// Laws on what is written: whole sentences, nothing cut off, no two records under nearly one name, no trade names.
#include <array>
#include <cctype>
#include <fstream>
#include <map>
#include <set>

#include "kb/text.h"
#include "laws.h"

namespace laws {
namespace {

// One text and whose it is.
struct Text {
  std::string who;
  std::string_view text;
  bool sentence = false;  // meant to be whole sentences; else a remark
};

void FactTexts(const kb::Catalogue& data, std::vector<Text>& out) {
  for (const kb::Ingredient& item : data.ingredients()) {
    for (const kb::Fact& fact : item.facts) {
      const kb::Property& property = data.properties()[fact.property];
      const std::string who = item.id + "." + property.id;
      const bool sentence = property.id == "about" || property.id == "tip";
      if (property.kind == kb::ValueKind::kText && property.id != "formula" && property.id != "partner")
        out.push_back({who, fact.text, sentence});
      if (!fact.note.empty()) out.push_back({who + " note", fact.note, false});
      if (!fact.at.empty()) out.push_back({who + " at", fact.at, false});
    }
  }
}

std::vector<Text> AllTexts(const kb::Catalogue& data) {
  std::vector<Text> out;
  FactTexts(data, out);
  for (const kb::Conflict& conflict : data.conflicts()) {
    out.push_back({conflict.id + ".text", conflict.text, true});
    if (!conflict.advice.empty()) out.push_back({conflict.id + ".advice", conflict.advice, true});
  }
  for (const kb::Function& function : data.functions()) {
    const kb::FunctionCard& card = function.card;
    for (const std::string* text : {&card.what, &card.choose, &card.levels, &card.wrong})
      out.push_back({function.id + " card", *text, true});
    if (!function.swap_note.empty()) out.push_back({function.id + ".swap_note", function.swap_note, true});
  }
  for (const kb::Limit& limit : data.limits()) {
    if (!limit.scope.empty()) out.push_back({limit.substance + ".scope", limit.scope, false});
    if (!limit.conditions.empty()) out.push_back({limit.substance + ".conditions", limit.conditions, false});
  }
  for (const kb::Property& property : data.properties())
    out.push_back({property.id + ".help", property.help, false});
  return out;
}

bool IsLetter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0;
}
bool IsUpper(char c) {
  return std::isupper(static_cast<unsigned char>(c)) != 0;
}
bool IsDigit(char c) {
  return std::isdigit(static_cast<unsigned char>(c)) != 0;
}
bool IsMark(char c) {
  return c == '.' || c == '?' || c == '!';
}

TEST(Law, SentencesBeginAndEndAsSuch) {
  Broken broken;
  std::size_t looked_at = 0;
  for (const auto& [who, text, sentence] : AllTexts(Data())) {
    if (!sentence) continue;
    ++looked_at;
    const std::size_t first = text.find_first_not_of("'\"(");
    const bool begins = first != std::string_view::npos &&
                        (IsUpper(text[first]) || IsDigit(text[first]) || text.substr(first, 3) == "pH ");
    const std::size_t last = text.find_last_not_of("'\")");
    if (!begins || !IsMark(text[last])) broken.Add(who, text);
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

TEST(Law, NoTextIsTooShortOrUntidy) {
  constexpr std::size_t kShortest = 3;
  Broken broken;
  const std::vector<Text> texts = AllTexts(Data());
  for (const auto& [who, text, sentence] : texts) {
    if (text.size() < kShortest) broken.Add(who, fmt::format("too short: '{}'", text));
    if (kb::Trim(text) != text || Holds(text, "  ")) broken.Add(who, fmt::format("spare blanks: '{}'", text));
    if (!kb::IsUtf8(text)) broken.Add(who, "no UTF-8");
    if (Holds(text, " ,") || Holds(text, " . ") || Holds(text, ",,") || Holds(text, " ;"))
      broken.Add(who, fmt::format("stray signs: '{}'", text));
  }
  EXPECT_TRUE(broken.Nobody(texts.size()));
}

std::string LastWord(std::string_view text) {
  std::size_t from = text.size();
  while (from > 0 && IsLetter(text[from - 1])) --from;
  std::string word(text.substr(from));
  for (char& c : word) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return word;
}

// A text that was cut at some width ends in the middle of a bracket, after a sign that wants more, or within a word. A last word
// is taken for a piece where it stands nowhere else and is the beginning of one that does.
TEST(Law, NoTextIsCutOff) {
  constexpr std::size_t kNarrowestCut = 40;  // nobody cuts narrower
  constexpr std::size_t kShortestPiece = 3;
  constexpr std::size_t kLeastMissing = 2;  // one letter more is the plural or the past
  const std::vector<Text> texts = AllTexts(Data());
  std::multiset<std::string> words;
  for (const Text& one : texts) {
    std::string word;
    for (const char c : std::string(one.text) + ' ') {
      if (IsLetter(c)) {
        word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
      } else if (!word.empty()) {
        words.insert(std::move(word));
        word.clear();
      }
    }
  }
  Broken broken;
  for (const auto& [who, text, sentence] : texts) {
    const auto open = std::count(text.begin(), text.end(), '(');
    if (open != std::count(text.begin(), text.end(), ')'))
      broken.Add(who, fmt::format("half a bracket: '{}'", text));
    if (Holds(",;:-(/&+", text.substr(text.size() - 1)))
      broken.Add(who, fmt::format("wants more: '{}'", text));
    const std::string word = LastWord(text);
    if (text.size() < kNarrowestCut || word.size() < kShortestPiece) continue;
    if (words.count(word) > 1) continue;
    for (auto longer = words.upper_bound(word); longer != words.end() && longer->starts_with(word);
         ++longer) {
      if (longer->size() < word.size() + kLeastMissing) continue;
      broken.Add(who, fmt::format("'{}' may be a piece of '{}': '{}'", word, *longer, text));
      break;
    }
  }
  EXPECT_TRUE(broken.Nobody(texts.size()));
}

// --- names ---

std::string WithoutDigits(std::string text) {
  std::erase_if(text, IsDigit);
  return text;
}

// Different substances whose names differ by one letter.
constexpr std::array<std::pair<std::string_view, std::string_view>, 13> kOneLetterApart = {{
    {"camelina-oil", "camellia-oil"},
    {"ceramide-ap", "ceramide-np"},
    {"ceramide-ng", "ceramide-np"},
    {"cocamide-dea", "cocamide-mea"},
    {"dimethicone", "simethicone"},
    {"ethylcellulose", "methylcellulose"},
    {"dl-panthenol", "panthenol"},
    {"hydrolyzed-milk-protein", "hydrolyzed-silk"},
    {"palm-kernel-oil", "plum-kernel-oil"},
    {"sodium-sulfate", "sodium-sulfite"},
    {"squalane", "squalene"},
    {"ethylparaben", "methylparaben"},
    {"grapeseed-oil", "rapeseed-oil"},
}};

TEST(Law, NoTwoRecordsBearNearlyOneName) {
  constexpr std::size_t kLongEnough = 8;  // short names are near to one another by chance
  const kb::Catalogue& data = Data();
  std::vector<std::string> names;
  for (const kb::Ingredient& item : data.ingredients()) names.push_back(kb::FoldTight(item.name));
  Broken broken;
  for (std::size_t i = 0; i < names.size(); ++i) {
    for (std::size_t j = i + 1; j < names.size(); ++j) {
      if (std::min(names[i].size(), names[j].size()) < kLongEnough) continue;
      if (names[i].front() != names[j].front() && names[i].back() != names[j].back()) continue;
      if (kb::EditDistance(names[i], names[j], 1) > 1 || WithoutDigits(names[i]) == WithoutDigits(names[j]))
        continue;
      const std::pair<std::string_view, std::string_view> pair = {data.ingredients()[i].id,
                                                                  data.ingredients()[j].id};
      if (std::find(kOneLetterApart.begin(), kOneLetterApart.end(), pair) == kOneLetterApart.end())
        broken.Add(pair.first, fmt::format("nearly the name of {}", pair.second));
    }
  }
  EXPECT_TRUE(broken.Nobody(names.size()));
}

TEST(Law, NoTwoRecordsBearTheSameWordsInAnotherOrder) {
  const kb::Catalogue& data = Data();
  std::map<std::vector<std::string>, std::string> held;
  Broken broken;
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : data.ingredients()) {
    std::vector<std::string> names = item.also;
    names.push_back(item.name);
    for (const std::string& name : names) {
      ++looked_at;
      std::vector<std::string> words = kb::SplitTrimmed(kb::Fold(name), ' ');
      if (words.size() < 2) continue;
      std::sort(words.begin(), words.end());
      const auto [place, fresh] = held.emplace(words, item.id);
      if (!fresh && place->second != item.id)
        broken.Add(item.id, fmt::format("'{}' is the name of {} in another order", name, place->second));
    }
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

// --- trade names ---

std::set<std::string> Lines(const std::string& path) {
  std::ifstream file(path);
  std::set<std::string> lines;
  for (std::string line; std::getline(file, line);) {
    if (!line.empty() && line.front() != '#') lines.insert(line);
  }
  return lines;
}

class TradeNames {
 public:
  explicit TradeNames(const kb::Catalogue& data)
      : known_(Lines(STILLROOM_SOURCE_DIR "/tests/data/capitalised_words.txt")) {
    for (const kb::Ingredient& item : data.ingredients()) {
      for (const std::string& word : kb::SplitTrimmed(kb::Fold(item.inci), ' ')) inci_words_.insert(word);
    }
  }

  bool HasAny() const { return !known_.empty(); }

  // `named`: a name, where the first word counts too; else a text, where it begins a sentence.
  void Look(std::string_view who, std::string_view text, bool named, Broken& broken) {
    for (const char* sign : {"\u00AE", "\u2122", "\u00A9", "(R)", "(TM)", " TM ", "(C)"}) {
      if (Holds(text, sign)) broken.Add(who, fmt::format("'{}' in '{}'", sign, text));
    }
    bool begins = !named;
    for (std::size_t i = 0; i < text.size();) {
      if (!IsLetter(text[i])) {
        begins = begins ? (text[i] == ' ' || text[i] == '\'' || text[i] == '"' || text[i] == '(')
                        : (IsMark(text[i]) || text[i] == ':');
        ++i;
        continue;
      }
      std::size_t end = i;
      while (end < text.size() && IsLetter(text[end])) ++end;
      const std::string word(text.substr(i, end - i));
      if (!begins && IsUnknown(word)) broken.Add(who, fmt::format("'{}' in '{}'", word, text));
      begins = false;
      i = end;
    }
  }

 private:
  // A capital and then at least two letters, not all capitals (INCI names and abbreviations are).
  bool IsUnknown(const std::string& word) const {
    if (word.size() < 3 || !IsUpper(word.front())) return false;
    if (std::all_of(word.begin(), word.end(), IsUpper)) return false;
    return !known_.contains(word) && !inci_words_.contains(kb::Fold(word));
  }

  std::set<std::string> known_, inci_words_;
};

// A capital within a sentence is a proper name. Places, peoples, persons of science and the like are listed in
// capitalised_words.txt; whatever else is written so may be a trade name.
TEST(Law, NoTradeNames) {
  const kb::Catalogue& data = Data();
  TradeNames names(data);
  ASSERT_TRUE(names.HasAny());
  Broken broken;
  std::size_t looked_at = 0;
  for (const kb::Ingredient& item : data.ingredients()) {
    ++looked_at;
    names.Look(item.id, item.name, true, broken);
    for (const std::string& name : item.also) names.Look(item.id, name, true, broken);
  }
  for (const auto& [who, text, sentence] : AllTexts(data)) {
    if (who.ends_with(" at")) continue;  // where a source says it: journals, tables and methods have names
    ++looked_at;
    names.Look(who, text, false, broken);
  }
  EXPECT_TRUE(broken.Nobody(looked_at));
}

}  // namespace
}  // namespace laws
