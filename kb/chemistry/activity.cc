#include "kb/chemistry/activity.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace kb::chemistry {

double DaviesBracket(double ionic_strength) {
  if (!(ionic_strength > 0)) return 0;
  const double held = std::min(ionic_strength, kDaviesLimit);
  const double root = std::sqrt(held);
  return root / (1 + root) - 0.3 * held;
}

double DaviesLogGamma(int charge, double ionic_strength) {
  const int held = std::clamp(charge, -kDaviesGreatestCharge, kDaviesGreatestCharge);
  return -kDebyeHueckelSlope * held * held * DaviesBracket(ionic_strength);
}

double DaviesTrust(double ionic_strength) {
  if (!(ionic_strength > 0)) return 0.0024;
  return std::min(0.0024 + 0.062 * ionic_strength, 0.3);
}

}  // namespace kb::chemistry
