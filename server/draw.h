// Small charts as SVG, written by hand: they print, and every one has its words beside it for those who do not see it. Colours come from
// the style sheet by class; no style attributes, which the Content-Security-Policy forbids.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace server {

struct Band {
  double low = 0, high = 0;
  std::string kind;  // class of the band: "use", "stable", "mark"
};

// Bands on an axis from `from` to `to` with ticks at both ends; `words` says the same. Values outside are cut off.
std::string DrawAxis(const std::vector<Band>& bands, double from, double to, std::string_view words);

struct PhaseShare {
  std::string phase;
  double pct = 0;
};
// One bar of 100 %, its phases side by side with their letters.
// The class that colours the share at `position` of DrawPhases, from 0.
std::string PhaseColour(std::size_t position);
std::string DrawPhases(const std::vector<PhaseShare>& phases, std::string_view words);

// 0..1 as a bar.
std::string DrawShare(double share, std::string_view words);

// A round number at or above `value`: 1, 2, 5, 10, 20 ...; for the end of an axis.
double RoundUp(double value);

}  // namespace server
