// What the law allows, data/limits.toml held against the formula.
//
// A row is as narrow as its narrowest word: all products, then leave-on or rinse-off, a form of product or a duty, then a use
// such as a body lotion. Of one entry the narrowest rows that fit take the place of the wider ones: a rinse-off hair product may
// hold 3 % salicylic acid where other products may hold 2 %. A narrow row that may fit, because the formula does not say what it
// is used as, never stops: both figures are said.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include "kb/text.h"
#include "query/assess_parts.h"
#include "query/assess_say.h"

namespace query::parts {
namespace {

// What the product is used as, by the words of its `used as` line or its name. The words on the right are those of
// data/limits.toml; one that no row has still tells that it is none of the others.
struct NarrowUse {
  std::string_view words;
  std::string_view use;
};
constexpr std::array<NarrowUse, 52> kNarrowUses = {{
    {"body lotion", "body-lotion"},
    {"body cream", "body-lotion"},
    {"body butter", "body-lotion"},
    {"body milk", "body-lotion"},
    {"body lotion", "body-leave-on"},
    {"body cream", "body-leave-on"},
    {"body oil", "body-leave-on"},
    {"body lotion", "body"},
    {"body cream", "body"},
    {"hand cream", "hand-leave-on-products"},
    {"hand lotion", "hand-leave-on-products"},
    {"hand wash", "hand-wash"},
    {"foot cream", "foot"},
    {"foot balm", "foot"},
    {"callus", "foot"},
    {"face cream", "face"},
    {"face serum", "face"},
    {"face lotion", "face"},
    {"day cream", "face"},
    {"night cream", "face"},
    {"face wash", "face"},
    {"cleanser", "face"},
    {"toner", "face"},
    {"lip", "lip"},
    {"lipstick", "lip"},
    {"lip", "lip-products"},
    {"lipstick", "lip-products"},
    {"eye", "eye"},
    {"eye shadow", "eye-shadow"},
    {"eyeliner", "eye"},
    {"eyeliner", "eyeliner"},
    {"mascara", "eye"},
    {"mascara", "mascara"},
    {"eyelash", "eyelash"},
    {"deodorant", "deodorant"},
    {"antiperspirant", "deodorant"},
    {"spray", "spray"},
    {"mist", "spray"},
    {"toothpaste", "toothpaste"},
    {"toothpaste", "oral"},
    {"mouthwash", "mouthwash"},
    {"mouthwash", "oral"},
    {"shampoo", "hair"},
    {"hair", "hair"},
    {"hair mask", "hair"},
    {"conditioner", "hair"},
    {"shower gel", "shower-gel"},
    {"body wash", "shower-gel"},
    {"soap", "soap"},
    {"nail", "nail"},
    {"hair dye", "hair-dye"},
    {"self tan", "self-tan"},
}};

// Countries whose rows count only where they are named.
constexpr std::array<std::string_view, 2> kSoldIn = {"japan", "usa"};

bool IsCountry(std::string_view word) {
  return std::find(kSoldIn.begin(), kSoldIn.end(), word) != kSoldIn.end();
}

// Uses that a product of this kind may well be put to though nobody said so.
struct MayBe {
  std::string_view use;
  bool leave_on, rinse_off;
};
constexpr std::array<MayBe, 12> kMayBe = {{
    {"body-lotion", true, false},
    {"body-leave-on", true, false},
    {"body", true, false},
    {"lip", true, false},
    {"lip-products", true, false},
    {"eye", true, true},
    {"deodorant", true, false},
    {"spray", true, false},
    {"hair", true, true},
    {"hand-wash", false, true},
    {"shower-gel", false, true},
    {"soap", false, true},
}};

enum class Standing { kNot, kMayFit, kFits };

struct Fit {
  Standing standing = Standing::kFits;
  int narrowness = 0;  // 0 all products, 1 a kind, a form or a duty, 2 a narrower use
};

class Purpose {
 public:
  explicit Purpose(const kb::Formula& formula) : kind_(formula.kind) {
    for (const std::string& word : kb::SplitTrimmed(kb::Fold(formula.used_as), ' ')) {
      if (IsCountry(word)) {
        sold_in_.push_back(word);
      } else if (!word.empty()) {
        words_ += " " + word;
      }
    }
    if (words_.empty()) words_ = " " + kb::Fold(formula.name);
    words_ += " ";
    for (const NarrowUse& narrow : kNarrowUses) {
      if (HoldsFolded(narrow.words)) said_.push_back(narrow.use);
    }
  }

  bool IsSaid(std::string_view words) const { return HoldsFolded(kb::Fold(words)); }

  Fit Of(const kb::Limit& limit, bool preservative) const {
    Fit fit;
    if (!limit.forms.empty()) {
      fit.narrowness = 1;
      const std::string_view form = kb::FormName(kind_.form);
      if (std::find(limit.forms.begin(), limit.forms.end(), form) == limit.forms.end())
        return {Standing::kNot, 1};
    }
    if (limit.uses.empty()) return fit;
    Fit best{Standing::kNot, 0};
    for (const std::string& use : limit.uses) {
      const Fit one = OfUse(use, preservative);
      if (one.standing > best.standing) best = one;
    }
    best.narrowness = std::max(best.narrowness, fit.narrowness);
    return best;
  }

 private:
  // Whole words, folded.
  bool HoldsFolded(std::string_view words) const {
    for (std::size_t at = words_.find(words); at != std::string::npos; at = words_.find(words, at + 1)) {
      if (at > 0 && words_[at - 1] == ' ' && words_[at + words.size()] == ' ') return true;
    }
    return false;
  }

  // "hair", or several words that all have to fit: "rinse-off hair".
  Fit OfUse(const std::string& use, bool preservative) const {
    Fit all;
    for (const std::string& word : kb::SplitTrimmed(use, ' ')) {
      const Fit one = OfWord(word, preservative);
      all.standing = std::min(all.standing, one.standing);
      all.narrowness = std::max(all.narrowness, one.narrowness);
    }
    return all;
  }

  Fit OfWord(std::string_view word, bool preservative) const {
    const auto kind = [](bool fits) { return Fit{fits ? Standing::kFits : Standing::kNot, 1}; };
    if (word == kb::UseName(kb::Use::kLeaveOn) || word == kb::UseName(kb::Use::kRinseOff))
      return kind(word == kb::UseName(kind_.use));
    if (word == "as-preservative") return kind(preservative);
    if (word == "not-as-preservative") return kind(!preservative);
    if (IsCountry(word)) {
      const bool named = std::find(sold_in_.begin(), sold_in_.end(), word) != sold_in_.end();
      return {named ? Standing::kFits : Standing::kNot, 0};
    }
    std::string spoken(word);
    std::replace(spoken.begin(), spoken.end(), '-', ' ');
    if (std::find(said_.begin(), said_.end(), word) != said_.end() || IsSaid(spoken))
      return {Standing::kFits, 2};
    if (!said_.empty()) return {Standing::kNot, 2};
    if (word == "hair" && kind_.form == kb::Form::kConditioner) return {Standing::kFits, 2};
    const bool may = std::any_of(kMayBe.begin(), kMayBe.end(), [&](const MayBe& one) {
      return one.use == word && (kind_.use == kb::Use::kLeaveOn ? one.leave_on : one.rinse_off);
    });
    return {may ? Standing::kMayFit : Standing::kNot, 2};
  }

  kb::Kind kind_;
  std::string words_;
  std::vector<std::string> sold_in_;
  std::vector<std::string_view> said_;
};

// One row of the law as it counts here, and who brings it.
struct Counted {
  LimitUse use;
  std::string entry;  // of the law: rows of one are read together
  std::vector<kb::IngredientIx> who;
  double raw_pct = 0;  // of the substances as they are, not as the limit counts them

  double allowed() const { return use.prohibited ? 0 : use.max_pct.value_or(100); }
  bool breaks() const { return use.over || use.prohibited; }
};

// An entry without a number is its own.
std::string EntryOf(const kb::Limit& limit, const std::string& inci) {
  return fmt::format("{}/{}/{}", limit.jurisdiction, limit.annex,
                     limit.entry.empty() ? kb::Fold(inci) : limit.entry);
}

struct Row {
  const kb::Limit* limit = nullptr;
  Fit fit;
};

// Of each entry the rows that fit, the narrowest of them only, and the narrower ones that may fit.
std::vector<Row> RowsFor(const Setting& setting, const Purpose& purpose, const Substance& item) {
  const bool preservative = item.record && IsMainly(setting.catalogue, *item.record, {"preservative"});
  std::vector<Row> rows;
  std::map<std::string, int> narrowest;
  for (const kb::Limit* limit : setting.catalogue.LimitsOf(item.inci)) {
    const Fit fit = purpose.Of(*limit, preservative);
    if (fit.standing == Standing::kNot) continue;
    rows.push_back({limit, fit});
    if (fit.standing != Standing::kFits) continue;
    int& most = narrowest.try_emplace(EntryOf(*limit, item.inci), 0).first->second;
    most = std::max(most, fit.narrowness);
  }
  std::erase_if(rows, [&](const Row& row) {
    const auto found = narrowest.find(EntryOf(*row.limit, item.inci));
    return found != narrowest.end() && row.fit.narrowness < found->second;
  });
  return rows;
}

std::vector<Counted> CountLimits(const Setting& setting, const Assessment& out) {
  constexpr double kRounding =
      1e-6;  // a formula at the limit, typed with rounded figures, is at it and not over
  // Substances of one entry share its maximum: sodium benzoate and benzoic acid count together, both as acid.
  std::vector<Counted> list;
  std::map<std::tuple<std::string, std::string, std::string, double>, std::size_t> place;
  const Purpose purpose(setting.formula);
  for (const Substance& item : out.substances) {
    if (item.pct <= 0) continue;
    for (const auto& [limit, fit] : RowsFor(setting, purpose, item)) {
      const std::string entry = EntryOf(*limit, item.inci);
      const auto key = std::tuple(entry, limit->scope, limit->expressed_as, limit->max_pct.value_or(-1));
      const auto [found, fresh] = place.try_emplace(key, list.size());
      if (fresh) {
        Counted& counted = list.emplace_back();
        counted.use = {item.inci,           0,
                       limit->expressed_as, limit->max_pct,
                       limit->jurisdiction, limit->annex,
                       limit->entry,        limit->scope,
                       limit->conditions,   limit->source,
                       limit->at,           false,
                       limit->prohibited,   false};
        counted.entry = entry;
      } else if (list[found->second].use.substance.find(item.inci) == std::string::npos) {
        list[found->second].use.substance += " + " + item.inci;
      }
      Counted& counted = list[found->second];
      counted.use.binds = counted.use.binds || fit.standing == Standing::kFits;
      counted.use.pct += item.pct * limit->factor;
      counted.use.over = counted.use.max_pct && counted.use.pct > *counted.use.max_pct + kRounding;
      counted.raw_pct += item.pct;
      if (item.record) counted.who.push_back(*item.record);
    }
  }
  return list;
}

std::string Where(const LimitUse& use) {
  std::string where =
      fmt::format("{}{} {}", use.jurisdiction, use.jurisdiction == "EU" ? " Annex" : "", use.annex);
  if (!use.entry.empty()) where += fmt::format(", entry {}", use.entry);
  return where;
}

// "2 % in rinse-off hair products", "none in body lotion and body cream"
std::string Allowed(const LimitUse& use) {
  const std::string scope = use.scope.empty() ? "general" : use.scope;
  if (use.prohibited) return fmt::format("prohibited ({})", scope);
  return fmt::format("{} % ({})", Figure(use.max_pct.value_or(100)), scope);
}

std::string Amount(const LimitUse& use) {
  return fmt::format("{} {} %{}", use.substance, Figure(use.pct),
                     use.expressed_as.empty() ? "" : " " + use.expressed_as);
}

void SayBroken(const Counted& counted, Assessment& out) {
  const LimitUse& use = counted.use;
  std::string text;
  std::string advice = "leave it out";
  if (use.prohibited) {
    text = fmt::format("{} is prohibited ({}{})", use.substance, Where(use),
                       use.scope.empty() ? "" : ": " + use.scope);
  } else {
    text = fmt::format("{}, above the {} % allowed ({}{})", Amount(use), Figure(*use.max_pct), Where(use),
                       use.scope.empty() ? "" : ": " + use.scope);
    // Rounded down, so that what is weighed by it meets the limit.
    const double allowed = counted.raw_pct * *use.max_pct / use.pct;
    const double step = allowed > 0 ? std::pow(10, std::floor(std::log10(allowed)) - 2) : 1;
    advice = fmt::format("bring it to {:g} % or less, and check the code of the country where it is sold",
                         std::floor(allowed / step + 1e-9) * step);
  }
  Finding& finding = Say(out, Severity::kStop, "limit", fmt::format("limit:{}:{}", counted.entry, use.scope),
                         std::move(text), std::move(advice));
  finding.ingredients = counted.who;
  finding.sources = {use.source};
}

// Which of the rows holds is not known: over one of them, within another.
void SayDepends(const Counted& broken, const Counted& other, Assessment& out) {
  const LimitUse& use = broken.use;
  Finding& finding =
      Say(out, use.binds ? Severity::kWarn : Severity::kNote, "limit",
          fmt::format("limit:{}:{}", broken.entry, use.scope),
          fmt::format("{}: allowed is {}, and {} ({})", Amount(use), Allowed(use), Allowed(other.use),
                      Where(use)),
          "say what it is used as in a line '# used as: ...', and keep to the lower figure until then");
  finding.ingredients = broken.who;
  finding.sources = {use.source};
}

void SayMayBreak(const Counted& counted, Assessment& out) {
  const LimitUse& use = counted.use;
  const bool advice = use.annex == "advice";
  const std::string key = fmt::format("limit:{}:{}", counted.entry, use.scope);
  Finding& finding =
      advice ? Say(out, Severity::kNote, "limit", key,
                   fmt::format("{}, above the {} % of an expert advice without force of law ({})",
                               Amount(use), Figure(*use.max_pct), use.jurisdiction),
                   "make sure that it is meant, and that its pH and the instructions to the user fit")
             : Say(out, Severity::kNote, "limit", key,
                   use.prohibited ? fmt::format("{} is prohibited in some products ({}: {})", use.substance,
                                                Where(use), use.scope)
                                  : fmt::format("{}, above the {} % allowed in some products ({}: {})",
                                                Amount(use), Figure(*use.max_pct), Where(use), use.scope),
                   "mind it where the product is one of these; say what it is in a line '# used as: ...'");
  finding.ingredients = counted.who;
  finding.sources = {use.source};
}

// One finding an entry: the worst.
void SayEntry(const std::vector<const Counted*>& rows, Assessment& out) {
  const Counted* widest = nullptr;     // the most generous row that fits or may fit, and is kept to
  const Counted* strictest = nullptr;  // the strictest that fits and is broken
  const Counted* may = nullptr;        // the strictest that may fit and is broken
  for (const Counted* row : rows) {
    if (!row->use.max_pct && !row->use.prohibited) continue;  // a condition only
    if (!row->breaks()) {
      if (widest == nullptr || row->allowed() > widest->allowed()) widest = row;
      continue;
    }
    const Counted*& place = row->use.binds ? strictest : may;
    if (place == nullptr || row->allowed() < place->allowed()) place = row;
  }
  if (strictest != nullptr) {
    widest == nullptr ? SayBroken(*strictest, out) : SayDepends(*strictest, *widest, out);
  } else if (may != nullptr) {
    widest == nullptr || may->use.prohibited ? SayMayBreak(*may, out) : SayDepends(*may, *widest, out);
  }
}

// Advice of experts: for all consumers, or for the product that the formula says it is.
void SayAdvice(const Setting& setting, const Purpose& purpose, Assessment& out) {
  for (const Substance& item : out.substances) {
    if (item.pct <= 0) continue;
    const Counted* strictest = nullptr;
    std::vector<Counted> rows;
    for (const kb::Limit* limit : setting.catalogue.LimitsOf(item.inci)) {
      if (limit->annex != "advice" || !limit->max_pct) continue;
      const std::string scope =
          limit->scope.substr(std::min(limit->scope.find(": ") + 2, limit->scope.size()));
      if (scope.rfind("all", 0) != 0 && !purpose.IsSaid(scope)) continue;
      Counted& counted = rows.emplace_back();
      counted.use.substance = item.inci;
      counted.use.pct = item.pct * limit->factor;
      counted.use.expressed_as = limit->expressed_as;
      counted.use.max_pct = limit->max_pct;
      counted.use.jurisdiction = limit->jurisdiction;
      counted.use.annex = limit->annex;
      counted.use.scope = limit->scope;
      counted.use.source = limit->source;
      counted.use.over = counted.use.pct > *limit->max_pct + 1e-6;
      counted.entry = "advice/" + kb::Fold(item.inci);
      if (item.record) counted.who = {*item.record};
    }
    for (const Counted& row : rows) {
      if (row.use.over && (strictest == nullptr || *row.use.max_pct < *strictest->use.max_pct))
        strictest = &row;
    }
    if (strictest != nullptr) SayMayBreak(*strictest, out);
  }
}

}  // namespace

void AddLimits(const Setting& setting, Assessment& out) {
  const std::vector<Counted> list = CountLimits(setting, out);
  std::vector<std::string> said;
  for (const Counted& counted : list) {
    if (std::find(said.begin(), said.end(), counted.entry) != said.end()) continue;
    said.push_back(counted.entry);
    std::vector<const Counted*> rows;
    for (const Counted& other : list) {
      if (other.entry == counted.entry) rows.push_back(&other);
    }
    SayEntry(rows, out);
  }
  SayAdvice(setting, Purpose(setting.formula), out);
  for (const Counted& counted : list) out.limits.push_back(counted.use);
}

}  // namespace query::parts
