// `check`, `label` and `weigh`: what follows from a formula.
#include "query/assess.h"
#include "query/assess_dose.h"
#include "query/json_assess.h"
#include "query/render_assess.h"
#include "query/service.h"
#include "query/weigh.h"

namespace query {
namespace {

constexpr double kUsualScale = 0.1;  // g: what most kitchen and bench scales show

tl::unexpected<Trouble> Bad(std::string what, std::string where, std::string expected) {
  return tl::unexpected(
      Trouble{Trouble::Kind::kBadQuestion, std::move(what), std::move(where), std::move(expected), {}, {}});
}

Asked<double> ReadMassParam(const Params& params, std::string_view name, std::optional<double> fallback) {
  const std::string text(params.Get(name));
  if (text.empty() && fallback) return *fallback;
  if (text.empty()) return Bad("how much is to be made?", std::string(name), "a mass such as 500g or 1.5 kg");
  const auto grams = ReadMass(text);
  if (!grams)
    return Bad("'" + text + "' is no mass", std::string(name), "a mass such as 500g, 1.5 kg or 10 mg");
  return *grams;
}

// The dose of the acid or base that was asked for in place of the one that the assessment chose.
std::optional<Trouble> AskForDose(const kb::Catalogue& catalogue, const Params& params,
                                  const kb::Formula& formula, Assessment& assessment) {
  const auto with = ReadIngredient(catalogue, params.Get("with"), "with");
  if (!with) return with.error();
  if (!formula.target_ph) {
    return Bad("a dose to which pH?", "to_ph", "--to-ph 5.0, or a line '# target pH: 5.0' in the file")
        .value();
  }
  const auto dose = DoseToReach(catalogue, formula, assessment, *formula.target_ph, with->ingredient);
  if (!dose) {
    return Bad(dose.error(), "with",
               "an acid to lower the pH (citric acid, lactic acid), a base to raise it (sodium hydroxide)")
        .value();
  }
  assessment.ph.adjust =
      PhEstimate::Adjustment{catalogue.at(dose->with).id, dose->pct, DoseWords(catalogue, *dose)};
  for (Finding& finding : assessment.findings) {
    if (finding.key != "ph:adjust") continue;
    finding.advice = DoseAdvice(catalogue, *dose);
    finding.ingredients = {dose->with};
    finding.sources = {dose->source};
  }
  return std::nullopt;
}

}  // namespace

// to_ph: the formula's target; with: the acid or base that is to bring it there.
Asked<Reply> AnswerCheck(const Base& base, const Params& params, Want want, const Look& look) {
  auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const auto to_ph = ReadNumber(params, "to_ph", 0, 14);
  if (!to_ph) return tl::unexpected(to_ph.error());
  if (*to_ph) formula->target_ph = **to_ph;
  Assessment assessment = Assess(base.catalogue, *formula);
  if (!params.Get("with").empty()) {
    if (auto trouble = AskForDose(base.catalogue, params, *formula, assessment))
      return tl::unexpected(std::move(*trouble));
  }
  return Reply{want == Want::kJson
                   ? AssessmentJson(base.catalogue, *formula, assessment)
                   : AssessmentText(base.catalogue, *formula, assessment, look.width, look.bars),
               true};
}

Asked<Reply> AnswerLabel(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const Assessment assessment = Assess(base.catalogue, *formula);
  return Reply{want == Want::kJson ? LabelJson(*formula, assessment) : LabelText(assessment, look.width),
               true};
}

Asked<Reply> AnswerWeigh(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const auto batch = ReadMassParam(params, "batch", std::nullopt);
  if (!batch) return tl::unexpected(batch.error());
  const auto scale = ReadMassParam(params, "scale", kUsualScale);
  if (!scale) return tl::unexpected(scale.error());
  const Assessment assessment = Assess(base.catalogue, *formula);
  const auto sheet = Weigh(base.catalogue, *formula, assessment, *batch, *scale);
  if (!sheet)
    return Bad(sheet.error(), "batch",
               "a batch of 1 g or more, and a scale that shows a twentieth of it or finer");
  return Reply{want == Want::kJson ? WeighJson(base.catalogue, *formula, *sheet)
                                   : WeighText(base.catalogue, *formula, *sheet, look.width),
               true};
}

}  // namespace query
