#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "kb/chemistry/out_of_range.h"

// The hydrophile-lipophile balance (HLB), Griffin's scale of 0 to 20.
//
// Trust   A guide to which emulsifiers to try first, not a measurement. Published lists mix analysed and
//         computed values, and Griffin never showed that required values add up (pasquali-2008, Int. J.
//         Pharm. 356, 44-51). A difference below 0.5 means nothing; HLB says nothing of how much emulsifier
//         is needed, nor of stability.
// Pure    no I/O, no globals; safe from any thread.

namespace kb::chemistry {

constexpr double kLeastHlb = 0;
constexpr double kGreatestHlb =
    20;  // griffin-1949: all hydrophile; soaps at 18 to 40 stand outside this scale

// HLB of a polyol fatty-acid ester from two titrations.
//
//   HLB = 20 * (1 - S / A)
//
// saponification  S of the ester,            mg KOH/g, 0 < S <= A
// acid            A of the recovered acid,   mg KOH/g, 100 <= A <= 400 (ours: C10 has 326, C22 has 165)
// returns         dimensionless, 0..20
// error           names the first input out of range, NaN included
//
// Holds for       non-ionic esters that can be saponified. Not for beeswax or wool-wax derivatives
//                 (they saponify badly: use EthoxylateHlb), ionic surfactants, silicones.
// Trust           within 0.1 of print where S and A are printed as whole numbers
// Source          griffin-1954, J. Soc. Cosmet. Chem. 5, 249-256, as textbooks quote it (the paper was not at
//                 hand)
tl::expected<double, OutOfRange> EsterHlb(double saponification, double acid);

// HLB of an ethoxylate, or of an ethoxylate whose hydrophile also holds a polyol (sorbitan, glycerol).
//
//   HLB = E / 5        HLB = (E + P) / 5
//
// oxyethylene     E, mass % of the molecule, 0..100
// polyol          P, mass % of the molecule, 0..100, E + P <= 100
// returns         dimensionless, 0..20
// error           names the first input out of range, NaN included
//
// Holds for       non-ionic ethoxylates. Not where oxypropylene or oxybutylene is present (poloxamers, PPG
//                 ethers), nor nitrogen or sulfur: Griffin says so himself.
// Source          griffin-1954, as above
tl::expected<double, OutOfRange> EthoxylateHlb(double oxyethylene);
tl::expected<double, OutOfRange> EthoxylateHlb(double oxyethylene, double polyol);

// Mass % of oxyethylene in a molecule of n oxyethylene units on a starting molecule (an alcohol or an acid).
//
//   E = 100 * n * 44.053 / (M + n * 44.053)
//
// units           n, mean number of units, 0 < n <= 500
// start           M of the alcohol or acid before ethoxylation, g/mol, 30..5000
// Trust           the name gives a mean; the free alcohol and the free polyglycol of the real thing are not
// seen Source          pasquali-2008, Int. J. Pharm. 356, 44-51: Griffin's own values for the ethers follow
// from it
tl::expected<double, OutOfRange> OxyethyleneShare(double units, double start);

// What an emulsifier stabilises by. HLB was made for the first kind only.
enum class EmulsifierKind { kNonionic, kAnionic, kCationic, kAmphoteric, kPolymeric, kLamellar, kSilicone };

// Why HLB means nothing for this kind, as one sentence; nullopt where it does mean something.
// Source  griffin-1949, J. Soc. Cosmet. Chem. 1, 311-326 (the scale is for non-ionics); for lamellar phases
//         eccleston-1997, Colloids Surf. A 123-124, 169-182 (from memory)
std::optional<std::string_view> WhyHlbFails(EmulsifierKind kind);

struct Emulsifier {
  std::string_view name;
  double mass;                // any unit, the same in all rows; >= 0
  std::optional<double> hlb;  // 0..20; nullopt when not known
  EmulsifierKind kind = EmulsifierKind::kNonionic;
};

struct HlbNotCounted {
  std::string name;
  std::string because;
};

struct ProvidedHlb {
  std::optional<double> hlb;  // of the non-ionic emulsifiers of known HLB; nullopt when there are none
  double share_counted = 0;   // mass share of all the emulsifiers that hlb rests on, 0..1
  bool applies = false;       // true when hlb speaks for the whole system: nothing was left out
  std::vector<HlbNotCounted> not_counted;
};

// HLB that a set of emulsifiers provides, mean by mass over those for which HLB means something.
//
//   HLB = sum(m_i * HLB_i) / sum(m_i)
//
// returns         also when nothing counts: then hlb is empty and not_counted says why
// error           empty list; a mass NaN or negative; masses that sum to zero; a non-ionic's HLB outside
// 0..20 Trust           one part of an ionic, polymeric, lamellar or silicone emulsifier decides the emulsion
// more
//                 than its mass says: then applies is false, and hlb describes the non-ionic part alone
// Source          griffin-1949, J. Soc. Cosmet. Chem. 1, 311-326
tl::expected<ProvidedHlb, OutOfRange> BlendHlb(std::span<const Emulsifier> emulsifiers);

struct Lipid {
  std::string_view name;
  double mass;  // any unit, the same in all rows; >= 0
  std::optional<double>
      required;  // required HLB for the emulsion type in hand, 0..20; nullopt when not known
};

struct OilPhaseHlb {
  double required;                       // mean by mass over the lipids whose value is known
  double share_covered;                  // mass share of the oil phase that it rests on, 0 < share <= 1
  std::vector<std::string> not_covered;  // lipids of mass > 0 whose value is not known, in input order
};

// Required HLB of an oil phase.
//
//   HLB_required = sum(m_i * HLB_i) / sum(m_i)    over the lipids i whose value is known
//
// error           empty list; a mass NaN or negative; masses that sum to zero; a value outside 0..20; no
// lipid
//                 of known value
// Trust           about 1 unit: printed values for one oil differ by that much, and by 4 for beeswax. With
//                 share_covered below about 0.8 (ours) show it as a hint only
// Source          griffin-1949, J. Soc. Cosmet. Chem. 1, 311-326
tl::expected<OilPhaseHlb, OutOfRange> RequiredHlb(std::span<const Lipid> oil_phase);

struct EmulsifierSplit {
  double first;   // mass share of the first emulsifier in the pair, 0..1
  double second;  // 1 - first
};

// Shares of two emulsifiers that give a required HLB.
//
//   first = (required - HLB_second) / (HLB_first - HLB_second)
//
// error           an HLB that is NaN or outside 0..20; a pair of equal HLB (less than 0.01 apart: every split
//                 gives the same); a required HLB outside the pair, named with the pair's range
// Holds for       two non-ionics: see WhyHlbFails
// Source          griffin-1949, J. Soc. Cosmet. Chem. 1, 311-326
tl::expected<EmulsifierSplit, OutOfRange> SplitForHlb(double required, double first_hlb, double second_hlb);

}  // namespace kb::chemistry
