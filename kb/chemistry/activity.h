#pragma once

// Activity coefficients of ions in water at 25 C after Davies.
//
//   log10 gamma = -A z^2 (sqrt(I) / (1 + sqrt(I)) - 0.3 I)
//
// A       0.509 (kg/mol)^0.5, the Debye-Hueckel slope of water at 25 C
// I       ionic strength, mol per kg water; gamma on the same molal scale
// Holds   to I = 0.5 mol/kg. Above that the coefficient stays at its value for I = 0.5: the formula's own
//         term 0.3 I would turn it round and let it grow without bound, while measured coefficients of 1:1
//         salts stay nearly level between 0.5 and 2 mol/kg.
// Charge  ions of more than four charges get the coefficient of four: the formula was made for small ions,
//         and z^2 of a twelvefold anion (phytate) gives nonsense where real ones hold counter-ions close.
// Trust   2 % of gamma at 0.1 mol/kg and 8 % at 0.5 for 1:1 salts (DaviesTrust), more where ions pair
//         (citrate and phosphate with sodium).
// Source  Davies, Ion Association, Butterworths 1962, p. 41, slope 0.3 (J. Chem. Soc. 1938, 2093 had 0.2).
//         The book was not seen; a university's equilibrium programs, seen, give the formula with A = 0.509
//         and slope 0.3 and both citations. The 2 % at 0.1 mol/kg: an open encyclopaedia, seen; the 8 % at
//         0.5 mol/kg: memory.
// Pure    no I/O, no globals; safe from any thread.

namespace kb::chemistry {

constexpr double kDebyeHueckelSlope = 0.509;
constexpr double kDaviesLimit = 0.5;      // mol/kg
constexpr int kDaviesGreatestCharge = 4;  // ours, see above

// -log10 of the ion product of water, 25 C and 0.1 MPa, at zero ionic strength.
// Source  IAPWS R11-07 (Bandura and Lvov, J. Phys. Chem. Ref. Data 35, 2006, 15-30); the figure as the
//         CRC Handbook prints it, seen.
constexpr double kPkw = 13.995;

// The bracket sqrt(I) / (1 + sqrt(I)) - 0.3 I, with I held between 0 and kDaviesLimit. NaN counts as 0.
double DaviesBracket(double ionic_strength);

// log10 gamma of an ion of this charge; 0 for a neutral one (salting out is left out).
double DaviesLogGamma(int charge, double ionic_strength);

// How far log10 gamma of a singly charged ion may be off, as a number to add or take away (scales with z^2).
//
//   e = 0.0024 + 0.062 I, at most 0.3
//
// which is the line through 2 % at 0.1 and 8 % at 0.5 mol/kg. Beyond 0.5 the line goes on: a guess, ours.
double DaviesTrust(double ionic_strength);

}  // namespace kb::chemistry
