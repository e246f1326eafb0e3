#pragma once

#include <compare>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

#include "kb/chemistry/out_of_range.h"

// Fatty acids, and what follows from the fatty-acid profile of an oil, butter or fat.
// Pure: no I/O, no globals; safe from any thread.

namespace kb::chemistry {

// One unbranched fatty acid. Positions of double bonds are kept only as the omega class.
struct FattyAcid {
  int carbons = 0;       // 4..36
  int double_bonds = 0;  // 0..6
  // Carbon of the last double bond, counted from the methyl end; nullopt: not said.
  std::optional<int> omega = std::nullopt;
  int hydroxyls = 0;  // 0..2 on the chain; ricinoleic acid has 1
  bool conjugated = false;
  bool trans = false;

  // NOLINTNEXTLINE(modernize-use-nullptr): clang-tidy 14 sees a null pointer in every defaulted <=>
  auto operator<=>(const FattyAcid&) const = default;
};

// Reads the shorthand of fatty acids.
//
//   [C]carbons:double_bonds[marks]    marks, in any order, each at most once, with or without a space, hyphen
//                                     or full stop before: n3, n-3, w3, omega-3 | OH, (OH)2 | conj | cis |
//                                     trans
//
// examples        C18:1   C18:3n3   18:2 n-6   C18:1-OH   C18:3 conj   C18:1 trans
// error           quotes what could not be read, and says why: no such grammar, 4..36 carbons and 0..6 double
//                 bonds left, more double bonds than the chain holds, an omega class without a double bond or
//                 too near the acid end, conjugation with fewer than two double bonds
// Not read        branched chains, rings, epoxides, exact positions (9c,12c): they are errors, never guessed
tl::expected<FattyAcid, OutOfRange> ParseFattyAcid(std::string_view text);

// The shorthand in the one form that we write, e.g. "C18:3n3", "C18:1-OH". ParseFattyAcid reads it back.
std::string ToString(const FattyAcid& acid);

// Molar mass of the free acid, g/mol: C_n H_(2n - 2 db) O_(2 + OH).
// Source  IUPAC standard atomic weights 2021, rounded to three decimals
double MolarMass(const FattyAcid& acid);

// mass % of each acid among all fatty acids
using FattyAcidProfile = std::map<FattyAcid, double>;

// Sum of the profile, mass %: how complete it is. 100 when every acid is listed.
//
// error           an empty profile; a share that is NaN, below 0 or above 100; a sum of 0; a sum above 101
//                 (ours: twenty rows rounded to 0.1 may reach it, more is a mistake)
// The functions below check the same and refuse with the same error.
tl::expected<double, OutOfRange> Completeness(const FattyAcidProfile& profile);

// The profile scaled to a sum of 100, as one does with midpoints of printed ranges.
//
// error           as Completeness, except that the sum may be 50..150 (ours): below, half of the oil is a
// guess
tl::expected<FattyAcidProfile, OutOfRange> Normalized(const FattyAcidProfile& profile);

// Iodine value of a triglyceride oil from its profile, g I2 per 100 g.
//
//   IV = sum over acids of  w * 100 * 3 db * 253.809 / (3 M + 38.049) / 100
//
//   w mass %, db double bonds, M molar mass of the acid; 253.809 = I2; 38.049 = glycerol (92.094) less three
//   water (54.045). This gives the factors that the method prints: C16:1 0.950, C18:1 0.860, C18:2 1.732,
//   C18:3 2.616, C20:1 0.785, C22:1 0.723; and by the same rule those for other acids.
//
// error           as Completeness, and a sum below 90 (ours): an incomplete profile gives too low a value.
// Fill
//                 it or use Normalized knowingly
// Holds for       triglycerides. Not for wax esters (jojoba), nor for free fatty acids (4 to 5 % higher)
// Trust           the method itself says: low where the unsaponifiables exceed 0.5 %. Conjugated bonds are
//                 counted in full but take up less in the titration
// Source          AOCS Recommended Practice Cd 1c-85; extended to further acids as in petursson-2002, J. Am.
// Oil
//                 Chem. Soc. 79, 737
tl::expected<double, OutOfRange> IodineValue(const FattyAcidProfile& profile);

// Saponification value of a triglyceride oil from its profile, mg KOH/g.
//
//   SV = 3 * 56106 / (3 M + 38.049)      M = sum(w) / sum(w / M_i), the mean molar mass of the acids
//
// error           as IodineValue
// Holds for       triglycerides. Not for wax esters, partial glycerides or free acids
// Trust           unsaponifiables lower the measured value in proportion: 8 % in a shea butter makes 8 %
// Source          AOCS Recommended Practice Cd 3a-94 (also ISO 3657 Annex B): the formula is stoichiometry;
// the
//                 text of the standards was not at hand
tl::expected<double, OutOfRange> SaponificationValue(const FattyAcidProfile& profile);

// mass %, not scaled: the three sum to the completeness
struct Saturation {
  double saturated = 0;
  double monounsaturated = 0;
  double polyunsaturated = 0;
};
tl::expected<Saturation, OutOfRange> SaturationOf(const FattyAcidProfile& profile);

struct Oxidizability {
  double value;                    // relative to pure oleic acid = 1
  std::vector<FattyAcid> unrated;  // acids of the profile that have no rate: conjugated ones
};

// How readily the fatty acids take up oxygen, from relative rates of autoxidation.
//
//   value = sum(w * rate) / sum(w)     rate: saturated 0, one double bond 1, two 10, three 20, four 40,
//   doubling
//                                      with each further one; sum over the rated acids
//
// error           as Completeness; a profile in which no acid is rated
// Trust           for ranking only. It does not see antioxidants (tocopherols, sterols, phenols), metals,
// light,
//                 pigments, free acids or the age of the oil: two oils less than a factor of 2 apart are not
//                 ranked by it. Rate ratios in print run from 1:10:20 to 1:40:100 (oleic : linoleic :
//                 linolenic, by method and temperature); the order of oils hardly changes with the choice.
// Source          ratios 1:10:20:40 as taught in food chemistry, usually traced to holman-elmer-1947, J. Am.
// Oil
//                 Chem. Soc. 24, 127-129 (the paper was not at hand); frankel-1991, J. Sci. Food Agric. 54,
//                 495-511 for triglycerides with more linolenic acid oxidising faster
tl::expected<Oxidizability, OutOfRange> OxidizabilityOf(const FattyAcidProfile& profile);

// Indices into profiles, least oxidizable first; equal values keep their order.
//
// error           the first profile that OxidizabilityOf refuses, named by its index
tl::expected<std::vector<std::size_t>, OutOfRange> RankByOxidizability(
    std::span<const FattyAcidProfile> profiles);

// Distance of two profiles: 0 the same acids in the same shares, 1 no acid in common.
//
//   d = 1/2 * sum over acids |a_i - b_i| / 100      both profiles scaled to 100 first
//
// Where one profile says C18:3 and the other C18:3n3, the omega classes are summed before comparing: what is
// not said is not held against either.
//
// error           as Normalized, either profile
// Source          half of the L1 (city-block) distance, in ecology the Bray-Curtis dissimilarity of shares
tl::expected<double, OutOfRange> ProfileDistance(const FattyAcidProfile& a, const FattyAcidProfile& b);

// A profile scaled to 100 and laid out for many comparisons: acids that differ by their omega class alone stand together.
struct ReadyProfile {
  struct Kin {
    std::uint32_t key = 0;  // chain, double bonds and marks, without the omega class; rising
    bool unsaid = false;    // one of them does not say its omega class
    double sum = 0;         // mass % of them all
    std::uint32_t first = 0, count = 0;
  };
  std::vector<Kin> kin;
  std::vector<std::pair<int, double>> shares;  // omega class, -1 unsaid, rising in its kin; mass %
};

// error           as Normalized
tl::expected<ReadyProfile, OutOfRange> MakeReady(const FattyAcidProfile& profile);

// As ProfileDistance of the profiles that they were made from, 0..1.
double DistanceOf(const ReadyProfile& a, const ReadyProfile& b);

// What in a profile makes a fat hard. An index to compare fats by, never a temperature: the melting of a fat
// is decided by its triglycerides and crystal forms, which a profile does not hold.
struct MeltingTendency {
  double index;         // mass % of saturated acids of C16 and longer, of the rated sum scaled to 100: 0..100
  double long_chain;    // part of index of C20 and longer: these seed crystals and raise the melting most
  double medium_chain;  // mass % of saturated C8 to C14, not in index: coconut and palm-kernel melt near 25 C
  double trans;         // mass % of trans acids, not in index: they harden like saturated ones
};

// error           as Completeness, and a sum below 90
// Source          our own index; that melting rises with chain length and saturation is textbook knowledge
tl::expected<MeltingTendency, OutOfRange> MeltingTendencyOf(const FattyAcidProfile& profile);

}  // namespace kb::chemistry
