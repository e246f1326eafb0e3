#include "query/find_spelling.h"

#include <algorithm>
#include <array>
#include <bit>
#include <tuple>
#include <utility>

#include "kb/edit_distance.h"
#include "kb/text.h"

namespace query {
namespace {

std::uint64_t Letters(std::string_view text) {
  std::uint64_t set = 0;
  for (const char c : text) {
    if (c >= 'a' && c <= 'z') set |= std::uint64_t{1} << static_cast<unsigned>(c - 'a');
    if (c >= '0' && c <= '9') set |= std::uint64_t{1} << static_cast<unsigned>(26 + c - '0');
  }
  return set;
}

// An edit changes at most two letters of the set.
bool TooDifferent(std::uint64_t a, std::uint64_t b, std::size_t slips) {
  return static_cast<std::size_t>(std::popcount(a ^ b)) > 2 * slips;
}

bool Replace(std::string_view rest, std::string& out, std::size_t& used) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 13> kSounds = {{
      {"ph", "f"},
      {"ck", "k"},
      {"qu", "kw"},
      {"th", "t"},
      {"rh", "r"},
      {"ch", "k"},
      {"kh", "k"},
      {"ae", "e"},
      {"oe", "e"},
      {"ce", "se"},
      {"ci", "si"},
      {"cy", "si"},
      {"x", "ks"},
  }};
  for (const auto& [written, heard] : kSounds) {
    if (written.front() == rest.front() && rest.substr(0, written.size()) == written) {
      out += heard;
      used = written.size();
      return true;
    }
  }
  return false;
}

}  // namespace

std::string Sound(std::string_view tight) {
  std::string out;
  if (!tight.empty() && tight.front() == 'x') {
    out = "s";
    tight.remove_prefix(1);
  }
  while (!tight.empty()) {
    std::size_t used = 1;
    if (!Replace(tight, out, used)) {
      const char c = tight.front();
      out += c == 'c' || c == 'q' ? 'k' : c == 'y' ? 'i' : c == 'z' ? 's' : c;
    }
    tight.remove_prefix(used);
  }
  out.erase(std::unique(out.begin(), out.end()), out.end());  // doubled letters sound as one
  return out;
}

NameSpeller::NameSpeller(const kb::Catalogue& catalogue) {
  const auto add = [&](std::string_view name, std::uint32_t thing, int commonness) {
    std::string tight = kb::FoldTight(name);
    constexpr std::size_t kShortest = 4;
    if (tight.size() < kShortest) return;
    if (tight.size() > kLongest + kMostSlips) return;
    std::string sound = Sound(tight);
    const auto number = static_cast<std::uint32_t>(entries_.size());
    by_size_[tight.size()].push_back(number);
    by_sound_size_[std::min(sound.size(), by_sound_size_.size() - 1)].push_back(number);
    entries_.push_back({Letters(tight), Letters(sound), std::move(tight), std::move(sound), std::string(name),
                        thing, commonness});
  };
  for (std::size_t i = 0; i < catalogue.ingredients().size(); ++i) {
    const auto ix = static_cast<kb::IngredientIx>(i);
    const kb::Ingredient& item = catalogue.at(ix);
    const int commonness = static_cast<int>(catalogue.Commonness(ix));
    add(item.name, ix, commonness);
    add(item.inci, ix, commonness);
    for (const std::string& name : item.also) add(name, ix, commonness);
    for (const std::string& name : item.label_names) add(name, ix, commonness);
  }
  const auto first_function = static_cast<std::uint32_t>(catalogue.ingredients().size());
  constexpr int kFunctionsCommon = 5;
  for (std::size_t i = 0; i < catalogue.functions().size(); ++i) {
    const kb::Function& function = catalogue.functions()[i];
    const auto thing = first_function + static_cast<std::uint32_t>(i);
    add(function.name, thing, kFunctionsCommon);
    for (const std::string& name : function.also) add(name, thing, kFunctionsCommon);
  }
}

std::vector<NameSpeller::Near> NameSpeller::Nearest(std::string_view typed, std::size_t most) const {
  const std::string tight = kb::FoldTight(typed);
  const std::size_t slips = kb::SlipsAllowed(tight.size());
  if (slips == 0 || tight.size() > kLongest) return {};
  const std::string sound = Sound(tight);
  const std::uint64_t letters = Letters(tight);
  const std::uint64_t sounds = Letters(sound);
  const kb::EditPattern by_letter(tight);
  const kb::EditPattern by_sound(sound);
  constexpr double kOnlyHeard = 0.5;
  struct Candidate {
    double distance = 0;
    const Entry* entry = nullptr;
  };
  std::vector<Candidate> found;
  const auto weigh = [&](const Entry& entry) {
    if (TooDifferent(letters, entry.letters, slips + 1)) return;
    double distance = static_cast<double>(slips) + 1;
    if (!TooDifferent(letters, entry.letters, slips))
      distance = static_cast<double>(by_letter.Distance(entry.tight, slips));
    // Of a name as heard one slip less is believed: the sound has thrown letters away already.
    if (!TooDifferent(sounds, entry.sounds, slips - 1)) {
      const std::size_t far = by_sound.Distance(entry.sound, slips - 1);
      if (far < slips) distance = std::min(distance, static_cast<double>(far) + kOnlyHeard);
    }
    if (distance > static_cast<double>(slips)) return;
    if (tight.front() != entry.tight.front() && sound.front() != entry.sound.front()) distance += kOnlyHeard;
    found.push_back({distance, &entry});
  };
  // Names of about its length; and those that sound about as long and are not among them.
  const auto as_long = [&](const Entry& entry) {
    return entry.tight.size() + slips >= tight.size() && entry.tight.size() <= tight.size() + slips;
  };
  for (std::size_t size = tight.size() - slips; size <= tight.size() + slips; ++size) {
    for (const std::uint32_t number : by_size_[size]) weigh(entries_[number]);
  }
  for (std::size_t size = sound.size() < slips ? 0 : sound.size() - slips + 1;
       size < std::min(sound.size() + slips, by_sound_size_.size()); ++size) {
    for (const std::uint32_t number : by_sound_size_[size]) {
      if (!as_long(entries_[number])) weigh(entries_[number]);
    }
  }
  std::sort(found.begin(), found.end(), [](const Candidate& a, const Candidate& b) {
    return std::tuple(a.distance, -a.entry->commonness, a.entry) <
           std::tuple(b.distance, -b.entry->commonness, b.entry);
  });
  std::vector<Near> out;
  std::vector<std::uint32_t> seen;
  for (const Candidate& candidate : found) {
    if (out.size() == most) break;
    if (std::find(seen.begin(), seen.end(), candidate.entry->thing) != seen.end()) continue;
    seen.push_back(candidate.entry->thing);
    out.push_back({candidate.entry->name, candidate.distance});
  }
  return out;
}

std::string NearestOf(const std::vector<std::string>& words, std::string_view typed) {
  const std::size_t slips = std::min<std::size_t>(kb::SlipsAllowed(typed.size()), 2);
  std::string best;
  std::size_t least = slips + 1;
  const kb::EditPattern pattern(typed);
  for (const std::string& word : words) {
    const std::size_t distance = pattern.Distance(word, least - 1);
    if (distance < least) {
      least = distance;
      best = word;
    }
    if (least == 0) break;
  }
  return best;
}

}  // namespace query
