// CAS and EC numbers: their form and their check digits.
#pragma once

#include <string_view>

namespace kb {

// Is this a CAS registry number whose check digit is right?
//
//   form    2 to 7 digits, a hyphen, 2 digits, a hyphen, the check digit
//   rule    the digits before the check digit, counted from the right, times 1, 2, 3 ...; the sum modulo 10
//   Source  CAS, "Check Digit Verification of CAS Registry Numbers"
bool IsCasNumber(std::string_view text);

// Is this an EC (EINECS, ELINCS, NLP) number whose check digit is right?
//
//   form    3 digits, a hyphen, 3 digits, a hyphen, the check digit
//   rule    the six digits, counted from the left, times 1 ... 6; the sum modulo 11. A remainder of 10 has no
//           digit: such numbers are not given out.
//   Source  Commission communication on EINECS, OJ C 146A, 15.6.1990
bool IsEcNumber(std::string_view text);

}  // namespace kb
