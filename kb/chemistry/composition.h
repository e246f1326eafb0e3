// From ingredient lines to the substances that they bring.
//
// A blend is a list of parts with their shares; a part may itself be a blend. Rolling up multiplies the
// shares down to what has no parts of its own and adds up what is the same:
//
//   mass of a substance = sum over lines of (mass of the line * product of the shares on the way down)
//
// units     masses in any one unit (here % of the formula), shares as mass fractions 0..1
// balance   the masses that come out add up to the masses that went in, to 1e-9 of the total, when each
// blend's shares
//           add up to 1; a blend whose shares do not is scaled so that they do (print rounds: 24.9 + 75.0)
// errors    CompositionError names the blend that contains itself, or the share that cannot be
// trust     exact arithmetic; the shares are the supplier's
// Source    conservation of mass; no model
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <tl/expected.hpp>
#include <vector>

namespace kb::chemistry {

struct Portion {
  std::size_t item = 0;  // index of a substance or blend
  double amount = 0;     // mass of a line, or share of a part
};

struct CompositionError {
  std::string what;
  std::size_t item = 0;
};

// `recipes[item]` are the parts of an item; empty where it is one substance. Returns one portion a substance,
// in the order of item indices.
tl::expected<std::vector<Portion>, CompositionError> RollUp(std::span<const Portion> lines,
                                                            std::span<const std::vector<Portion>> recipes);

}  // namespace kb::chemistry
