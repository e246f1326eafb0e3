#include "indexer/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <numeric>

#include "indexer/claims.h"
#include "indexer/diagnostic.h"

namespace indexer {
namespace {

constexpr std::array<kb::Standing, 5> kStandings = {kb::Standing::kOwn, kb::Standing::kPublished,
                                                    kb::Standing::kCommonPractice, kb::Standing::kEstimate,
                                                    kb::Standing::kMemory};
constexpr std::size_t kMissingShown = 8;  // ids a line; the JSON has them all

void Add(Standings& standings, kb::Standing standing) {
  ++standings.count[static_cast<std::size_t>(standing)];
}

void AddNumber(const kb::Property& property, kb::Standing standing, Report& report) {
  Add(report.numeric, standing);
  Add(report.numbers, standing);
  switch (property.counts_as) {
    case kb::CountsAs::kFigure:
      Add(report.figures.claims, standing);
      Add(report.figures.all, standing);
      return;
    case kb::CountsAs::kAdvice:
      Add(report.advice, standing);
      return;
    case kb::CountsAs::kJudgement:
      Add(report.judgements, standing);
      return;
  }
}

// A limit names its source by key; one that is not in the list (the indexer refuses it) counts as memory.
kb::Standing StandingOf(const kb::Catalogue& catalogue, std::string_view source) {
  for (const kb::Source& one : catalogue.sources()) {
    if (one.key == source) return one.standing;
  }
  return kb::Standing::kMemory;
}

void AddFigure(kb::Standing standing, Standings& kind, Report& report) {
  Add(kind, standing);
  Add(report.figures.all, standing);
  Add(report.numbers, standing);
}

void AddLimitsAndShares(const kb::Catalogue& catalogue, Report& report) {
  for (const kb::Limit& limit : catalogue.limits()) {
    if (limit.max_pct) AddFigure(StandingOf(catalogue, limit.source), report.figures.limits, report);
  }
  for (const kb::Ingredient& item : catalogue.ingredients()) {
    // What a solution is named by defines it ("citric acid 50 % solution"). Of the other shares one follows from the rest,
    // whichever it is: the one that is best known is left out.
    std::vector<kb::Standing> standings;
    for (const kb::Component& part : item.composition) {
      if (item.name.find(fmt::format(" {:g} %", part.pct)) != std::string::npos) {
        ++report.figures.named;
      } else {
        standings.push_back(catalogue.source(part.source).standing);
      }
    }
    std::sort(standings.begin(), standings.end());
    for (std::size_t i = 1; i < standings.size(); ++i)
      AddFigure(standings[i], report.figures.composition, report);
  }
}

void AddClaim(const kb::Catalogue& catalogue, const Claim& claim, Report& report) {
  const kb::Fact& fact = *claim.fact;
  const kb::Property& property = catalogue.properties()[fact.property];
  Add(report.all, fact.standing);
  Add(report.properties[fact.property].claims, fact.standing);
  if (property.kind != kb::ValueKind::kNumber) return;
  AddNumber(property, fact.standing, report);
  const bool from_formula = property.id == "molar_mass" && fact.at == "from the formula";
  if (from_formula && fact.standing == kb::Standing::kPublished) ++report.figures.from_formula;
  if (fact.basis == kb::Basis::kRecord) return;
  ++report.rules.rules;
  report.rules.served += claim.serves;
}

bool SameClaim(const kb::Fact& a, const kb::Fact& b) {
  return a.property == b.property && a.key == b.key && a.text == b.text && a.context == b.context &&
         a.function == b.function && a.source == b.source && a.at_c == b.at_c;
}

Repeats CountRepeats(const kb::Catalogue& catalogue) {
  Repeats out;
  const auto held_by_a_part = [&](const kb::Ingredient& item, const kb::Fact& fact) {
    return std::any_of(item.composition.begin(), item.composition.end(), [&](const kb::Component& part) {
      if (!part.ingredient) return false;
      const std::vector<kb::Fact>& facts = catalogue.at(*part.ingredient).facts;
      return std::any_of(facts.begin(), facts.end(),
                         [&](const kb::Fact& other) { return SameClaim(fact, other); });
    });
  };
  for (const kb::Ingredient& item : catalogue.ingredients()) {
    for (const kb::Fact& fact : item.facts) {
      const bool number = catalogue.properties()[fact.property].kind == kb::ValueKind::kNumber;
      if (!number || fact.basis != kb::Basis::kRecord || !held_by_a_part(item, fact)) continue;
      ++out.claims;
      out.published += fact.standing == kb::Standing::kPublished ? 1U : 0U;
    }
  }
  return out;
}

FunctionReport ReportFunction(const kb::Catalogue& catalogue, kb::FunctionIx ix) {
  const kb::Function& function = catalogue.function(ix);
  FunctionReport out;
  out.id = function.id;
  out.members = catalogue.Members(ix).size();
  for (const kb::IngredientIx member : catalogue.Members(ix)) {
    out.main_for += catalogue.FunctionRank(member, ix) == std::size_t{0} ? 1U : 0U;
  }
  const auto ask = [&](const std::vector<std::string>& properties, bool required) {
    for (const std::string& property : properties) {
      Asked asked{property, required, 0, {}};
      for (const kb::IngredientIx member : catalogue.Members(ix)) {
        if (catalogue.Facts(member, property).empty()) {
          asked.missing.push_back(catalogue.at(member).id);
        } else {
          ++asked.held;
        }
      }
      out.asked.push_back(std::move(asked));
    }
  };
  ask(function.required, true);
  ask(function.wanted, false);
  return out;
}

double WithoutFormulas(const Report& report) {
  const std::size_t all = report.numbers.total() - report.figures.from_formula;
  const std::size_t published =
      report.numbers.count[static_cast<std::size_t>(kb::Standing::kPublished)] - report.figures.from_formula;
  return all == 0 ? 0 : static_cast<double>(published) / static_cast<double>(all);
}

std::string Percent(double share) {
  return fmt::format("{:.1f} %", 100 * share);
}

void WriteStandings(std::string& out, std::string_view what, const Standings& standings) {
  fmt::format_to(std::back_inserter(out), "{} ({})\n", what, standings.total());
  for (const kb::Standing standing : kStandings) {
    const std::size_t count = standings.count[static_cast<std::size_t>(standing)];
    if (count == 0) continue;
    fmt::format_to(std::back_inserter(out), "  {:<16}{:>7}  {:>8}\n", kb::StandingName(standing), count,
                   Percent(standings.share(standing)));
  }
}

void WriteFunction(std::string& out, const FunctionReport& function) {
  fmt::format_to(std::back_inserter(out), "{}: {} member{}, main for {}\n", function.id, function.members,
                 function.members == 1 ? "" : "s", function.main_for);
  for (const Asked& asked : function.asked) {
    fmt::format_to(std::back_inserter(out), "  {:<9} {:<22}{:>4} of {}",
                   asked.required ? "required" : "wanted", asked.property, asked.held, function.members);
    if (!asked.missing.empty()) {
      const std::size_t shown = std::min(kMissingShown, asked.missing.size());
      const std::vector<std::string> first(asked.missing.begin(),
                                           asked.missing.begin() + static_cast<std::ptrdiff_t>(shown));
      out += "; missing: " + Listed(first);
      if (asked.missing.size() > shown)
        fmt::format_to(std::back_inserter(out), " and {} more", asked.missing.size() - shown);
    }
    out += '\n';
  }
}

void WriteNumbers(std::string& out, const Report& report) {
  const auto line = [&](const std::string& text) { out += "  " + text + '\n'; };
  WriteStandings(out, "Numeric claims by standing: figures, advice and judgements", report.numbers);
  line(fmt::format(
      "{} of these are rules of a class or a function: each counts once and gives {} facts to members",
      report.rules.rules, report.rules.served));
  line(fmt::format("{} facts more follow from compositions and formulas: no claims, not counted",
                   report.computed));
  line(fmt::format(
      "{} of the published are molar masses worked out from a formula and published atomic weights; without "
      "them {} are published",
      report.figures.from_formula, Percent(WithoutFormulas(report))));
  line(fmt::format("{} repeat a claim of a part of the blend, {} of them published: counted",
                   report.repeats.claims, report.repeats.published));
  const Figures& figures = report.figures;
  out += '\n';
  WriteStandings(out, "Figures by standing: measured, or defined by law or structure", figures.all);
  line(fmt::format(
      "of these {} of ingredients, {} legal limits, {} shares of blends; {} shares more are in the name of a "
      "solution and define it",
      figures.claims.total(), figures.limits.total(), figures.composition.total(), figures.named));
  out += '\n';
  WriteStandings(out, "Advice by standing: levels, heat, windows of pH", report.advice);
  out += '\n';
  WriteStandings(out, "Judgements of ours by standing", report.judgements);
  out += '\n';
}

}  // namespace

std::size_t Standings::total() const {
  return std::accumulate(count.begin(), count.end(), std::size_t{0});
}

double Standings::share(kb::Standing standing) const {
  const std::size_t all = total();
  return all == 0 ? 0
                  : static_cast<double>(count[static_cast<std::size_t>(standing)]) / static_cast<double>(all);
}

Report MakeReport(const kb::Catalogue& catalogue) {
  Report report;
  report.counts = Count(catalogue.parts());
  for (const kb::Property& property : catalogue.properties()) {
    report.properties.push_back({property.id, property.group, 0, {}});
  }
  for (const Claim& claim : ClaimsOf(catalogue.parts())) AddClaim(catalogue, claim, report);
  report.computed = Computed(catalogue.parts());
  report.repeats = CountRepeats(catalogue);
  for (const kb::Ingredient& item : catalogue.ingredients()) {
    const kb::Fact* before = nullptr;
    for (const kb::Fact& fact : item.facts) {
      // Facts of one property stand together.
      if (before == nullptr || before->property != fact.property)
        ++report.properties[fact.property].ingredients;
      before = &fact;
    }
  }
  AddLimitsAndShares(catalogue, report);
  for (std::size_t ix = 0; ix < catalogue.functions().size(); ++ix) {
    report.functions.push_back(ReportFunction(catalogue, static_cast<kb::FunctionIx>(ix)));
  }
  return report;
}

std::string ReportText(const Report& report) {
  const Counts& c = report.counts;
  std::string out = fmt::format(
      "{} ingredients, {} functions, {} claims ({} numeric), {} properties, {} sources, {} limits, {} "
      "conflicts\n\n",
      c.ingredients, c.functions, c.claims, c.numeric_claims, c.properties, c.sources, c.limits, c.conflicts);
  WriteNumbers(out, report);
  WriteStandings(out, "All claims by standing", report.all);
  out += "\nProperties: ingredients that hold it, claims, share published\n";
  for (const PropertyReport& property : report.properties) {
    fmt::format_to(std::back_inserter(out), "  {:<22}{:>6}{:>7}  {:>8}\n", property.id, property.ingredients,
                   property.claims.total(), Percent(property.claims.share(kb::Standing::kPublished)));
  }
  out += "\nFunctions: facts that their members hold\n";
  for (const FunctionReport& function : report.functions) WriteFunction(out, function);
  return out;
}

}  // namespace indexer
