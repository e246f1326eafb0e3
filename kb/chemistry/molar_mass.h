#pragma once

#include <string_view>
#include <tl/expected.hpp>

#include "kb/chemistry/out_of_range.h"

namespace kb::chemistry {

// Molar mass from a formula text.
//
//   M = sum of (number of atoms) * (standard atomic weight)
//
// formula  element symbols and whole numbers, "C6H8O7"; round or square brackets with a number behind,
//          "Ca(OH)2"; parts joined by a dot, each with a number in front if it is not one,
//          "C6H5Na3O7.2H2O" ("." or the middle dot). A number behind a dot belongs to the part after it:
//          "C1.5H2" is a carbon and five H2, "CaSO4.0.5H2O" half a mole of water. Hill order is not asked
//          for. No spaces, charges or isotopes. Up to 200 characters, brackets up to 8 deep, numbers up
//          to 99999
// returns  g/mol, above 0
// error    names the character that cannot be read and why
//
// Holds for  the elements that cosmetics bring: H Li B C N O F Na Mg Al Si P S Cl K Ca Ti Cr Mn Fe Co Cu
//            Zn Se Br Sr Zr Ag Sn I Ba Ce Au Bi. Polymers have no formula: use the repeat unit.
// Trust      five figures, as the abridged table; natural samples differ in the last (sulfur, boron and
//            lithium most)
// Source     Prohaska et al., Standard atomic weights of the elements 2021, Pure Appl. Chem. 94 (2022)
//            573-600, abridged to five figures. Compared with the commission's full table of 2021 up to
//            iodine (seen); Ba, Ce, Au and Bi from memory.
// Pure       no I/O, no globals; safe from any thread
tl::expected<double, OutOfRange> MolarMass(std::string_view formula);

// Charge of the metal ions that a formula unit of a salt brings.
//
//   z = sum of (number of atoms) * (charge of the ion)
//
// formula  as above
// returns  1 for a sodium salt, 2 for a magnesium salt; 0 where there is none of these metals
// error    as above
//
// Holds for  metals that form one ion in cosmetics: Li Na K 1, Mg Ca Sr Ba Zn 2, Al 3. Not for quaternary salts and
//            hydrochlorides: whether a chlorine is an ion cannot be seen in a formula.
// Source     the groups of the periodic table
// Pure       no I/O, no globals; safe from any thread
tl::expected<int, OutOfRange> MetalCharge(std::string_view formula);

}  // namespace kb::chemistry
