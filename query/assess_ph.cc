#include <fmt/format.h>

#include <cmath>

#include "kb/chemistry/acid_base.h"
#include "query/assess_parts.h"
#include "query/facts.h"
#include "query/solutes.h"

namespace query::parts {

void AddPh(const Setting& setting, Assessment& out) {
  PhEstimate& ph = out.ph;
  if (setting.formula.target_ph) {
    ph.used = setting.formula.target_ph;
    ph.from_target = true;
  }
  if (out.composition.water < 5) {
    ph.because = "too little water for a pH to mean anything";
    ph.used.reset();
    return;
  }
  const SoluteList list = SolutesOf(setting.catalogue, out.substances, out.composition.water);
  ph.missing = list.missing;
  if (list.solutes.empty()) {
    ph.because = "nothing in it whose acid constants are known";
    return;
  }
  const auto solved = kb::chemistry::SolvePh(list.solutes);
  if (!solved) {
    ph.because = solved.error().what;
    return;
  }
  ph.estimate = solved->ph;
  ph.low = solved->ph_low;
  ph.high = solved->ph_high;
  ph.ionic_strength = solved->ionic_strength;
  ph.buffer_capacity = solved->buffer_capacity;
  for (const kb::chemistry::Driver& driver : solved->drivers) {
    ph.drivers.push_back({driver.name, driver.buffer_share, solved->ph - driver.ph_without});
  }
  ph.because = "charge balance over the acids, bases and salts in the water, 25 C";
  if (!ph.used) ph.used = ph.estimate;
}

}  // namespace query::parts
