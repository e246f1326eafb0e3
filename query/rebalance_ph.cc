#include "query/rebalance_ph.h"

#include <algorithm>
#include <cmath>

#include "query/assess_dose.h"
#include "query/assess_parts.h"

namespace query {
namespace {

constexpr double kDoseRange = 5;   // times more or less: beyond that it is another formula
constexpr double kSamePh = 0.005;  // as close as the search goes
constexpr int kMostSteps = 40;

PhEstimate PhOf(const kb::Catalogue& catalogue, const kb::Formula& formula) {
  Assessment out;
  const parts::Setting setting{catalogue, formula, Depth::kForDiff};
  parts::AddComposition(setting, out);
  parts::AddPh(setting, out);
  return std::move(out.ph);
}

// The nearest pH that is as good as the old one: the old one, the target, and what lies between.
double Wanted(const PhQuestion& question, double now) {
  const double was = *question.before.estimate;
  const double target = question.target.value_or(was);
  return std::clamp(now, std::min(was, target), std::max(was, target));
}

class Search {
 public:
  Search(const PhQuestion& question, const kb::Formula& formula, std::optional<std::size_t> balance,
         std::size_t line)
      : question_(question), formula_(formula), balance_(balance), line_(line) {
    wanted_ =
        Wanted(question, PhOf(question.catalogue, formula).estimate.value_or(*question.before.estimate));
  }

  // pH above the wanted one at this dose; nullopt where it cannot be reckoned.
  std::optional<double> Above(double pct) {
    if (balance_) formula_.lines[*balance_].pct -= pct - formula_.lines[line_].pct;
    formula_.lines[line_].pct = pct;
    if (balance_ && formula_.lines[*balance_].pct < 0) return std::nullopt;
    const auto ph = PhOf(question_.catalogue, formula_).estimate;
    return ph ? std::optional(*ph - wanted_) : std::nullopt;
  }

  std::optional<double> Find(double most) {
    const double now = formula_.lines[line_].pct;
    double low = now / kDoseRange;
    double high = std::min(now * kDoseRange, most);
    const auto at_low = Above(low);
    const auto at_high = Above(high);
    if (!at_low || !at_high || *at_low * *at_high > 0) return std::nullopt;
    const bool rises = *at_high > *at_low;
    for (int step = 0; step < kMostSteps; ++step) {
      const double middle = 0.5 * (low + high);
      const auto above = Above(middle);
      if (!above) return std::nullopt;
      if (std::abs(*above) < kSamePh) return middle;
      ((*above > 0) == rises ? high : low) = middle;
    }
    return 0.5 * (low + high);
  }

 private:
  const PhQuestion& question_;
  kb::Formula formula_;
  std::optional<std::size_t> balance_;
  std::size_t line_;
  double wanted_ = 0;
};

}  // namespace

bool PhMoved(const PhQuestion& question, const kb::Formula& formula) {
  if (!question.before.estimate) return false;
  const PhEstimate now = PhOf(question.catalogue, formula);
  if (!now.estimate) return false;
  const double wanted = Wanted(question, *now.estimate);
  return std::abs(*now.estimate - wanted) > question.tolerance &&
         (wanted < now.low.value_or(*now.estimate) || wanted > now.high.value_or(*now.estimate));
}

std::optional<LineDose> DoseInFormula(const PhQuestion& question, const kb::Formula& formula,
                                      std::optional<std::size_t> balance,
                                      const std::vector<DoseLine>& lines) {
  for (const DoseLine& one : lines) {
    if (const auto pct = Search(question, formula, balance, one.line).Find(one.most))
      return LineDose{one.line, *pct};
  }
  return std::nullopt;
}

std::string DoseOutside(const PhQuestion& question, const kb::Formula& formula, const Assessment& now) {
  const auto dose =
      DoseToReach(question.catalogue, formula, now, question.target.value_or(*question.before.estimate));
  return dose ? DoseAdvice(question.catalogue, *dose) : dose.error();
}

}  // namespace query
