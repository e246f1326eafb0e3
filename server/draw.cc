#include "server/draw.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "query/render.h"

namespace server {
namespace {

constexpr double kWidth = 400;       // of a chart, in its own units
constexpr double kLeastBand = 3;     // a single value is drawn so wide
constexpr double kLetterRoom = 16;   // a share narrower than this gets no letter
constexpr std::size_t kColours = 6;  // classes p0 to p5

std::string Open(double height, std::string_view kind, std::string_view words) {
  return fmt::format(R"(<svg class="chart {}" viewBox="0 0 {:g} {:g}" role="img" aria-label="{}">)", kind,
                     kWidth, height, query::Escaped(words));
}

}  // namespace

std::string DrawAxis(const std::vector<Band>& bands, double from, double to, std::string_view words) {
  constexpr double kHeight = 26;
  std::string out = Open(kHeight, "axis", words);
  out += fmt::format(R"(<rect class="track" x="0" y="4" width="{:g}" height="10" rx="2"/>)", kWidth);
  const auto at = [&](double value) { return kWidth * (std::clamp(value, from, to) - from) / (to - from); };
  for (const Band& band : bands) {
    const double width = std::max(kLeastBand, at(band.high) - at(band.low));
    const double x = std::min(at(band.low), kWidth - width);
    out += fmt::format(R"(<rect class="band {}" x="{:.1f}" y="{:g}" width="{:.1f}" height="{:g}" rx="2"/>)",
                       query::Escaped(band.kind), x, band.kind == "mark" ? 1.0 : 4.0, width,
                       band.kind == "mark" ? 16.0 : 10.0);
  }
  out += fmt::format(
      R"(<text x="0" y="25">{:g}</text><text x="{:g}" y="25" text-anchor="end">{:g}</text></svg>)", from,
      kWidth, to);
  return out;
}

std::string PhaseColour(std::size_t position) {
  return fmt::format("p{}", position % kColours);
}

std::string DrawPhases(const std::vector<PhaseShare>& phases, std::string_view words) {
  std::string out = Open(24, "phases", words);
  double total = 0;
  for (const PhaseShare& share : phases) total += std::max(0.0, share.pct);
  const double scale = kWidth / std::max(100.0, total);
  double x = 0;
  for (std::size_t i = 0; i < phases.size(); ++i) {
    const double width = std::max(0.0, phases[i].pct) * scale;
    out += fmt::format(R"(<rect class="p{}" x="{:.2f}" y="0" width="{:.2f}" height="24"/>)", i % kColours, x,
                       width);
    if (width >= kLetterRoom)
      out += fmt::format(R"(<text class="on p{}" x="{:.2f}" y="17" text-anchor="middle">{}</text>)",
                         i % kColours, x + width / 2, query::Escaped(phases[i].phase.substr(0, 12)));
    x += width;
  }
  return out + "</svg>";
}

std::string DrawShare(double share, std::string_view words) {
  constexpr double kHeight = 8;
  return Open(kHeight, "share", words) +
         fmt::format(R"(<rect class="track" x="0" y="0" width="{0:g}" height="{1:g}" rx="2"/>)"
                     R"(<rect class="band use" x="0" y="0" width="{2:.1f}" height="{1:g}" rx="2"/></svg>)",
                     kWidth, kHeight, kWidth * std::clamp(share, 0.0, 1.0));
}

double RoundUp(double value) {
  if (!(value > 0)) return 1;
  const double ten = std::pow(10, std::floor(std::log10(value)));
  for (const double step : {1.0, 2.0, 5.0, 10.0}) {
    if (value <= step * ten * 1.0000001) return step * ten;
  }
  return 10 * ten;
}

}  // namespace server
