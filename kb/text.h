// Words: folding names so that they can be compared, and finding the nearest right one.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace kb {

// The form in which names are compared: lower case, Latin letters without their marks, every run of other
// characters than letters, digits, '%' and '+' one space, none at the ends. "Caprylic/Capric  Triglycéride"
// becomes "caprylic capric triglyceride". Bytes that are no UTF-8 are treated as separators. Never fails.
std::string Fold(std::string_view text);

// Folded, and then without the spaces: "propane diol" and "propanediol" meet here.
std::string FoldTight(std::string_view text);

// Number of edits (insert, delete, replace, swap of neighbours: optimal string alignment) between two byte
// strings, or limit + 1 as soon as it is certain to be more than `limit`.
std::size_t EditDistance(std::string_view a, std::string_view b, std::size_t limit);

// How many edits a word of this length may be away and still be taken for a slip: 0 up to three letters,
// 1 up to five, 2 up to nine, then 3.
std::size_t SlipsAllowed(std::size_t length);

// The nearest of `known` to `word` after folding, nearest first, at most `most`, none further than the slips
// that the length allows.
std::vector<std::string> Nearest(std::string_view word, const std::vector<std::string>& known,
                                 std::size_t most);

// Text split at `separator`, each part trimmed of blanks; empty parts stay.
std::vector<std::string> SplitTrimmed(std::string_view text, char separator);

std::string_view Trim(std::string_view text);

// Is every byte part of well-formed UTF-8 (no overlong forms, no surrogates)?
bool IsUtf8(std::string_view text);

}  // namespace kb
