// `check`, `label` and `weigh`: what follows from a formula.
#include "query/assess.h"
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

}  // namespace

Asked<Reply> AnswerCheck(const Base& base, const Params& params, Want want, const Look& look) {
  const auto formula = ReadGivenFormula(base.catalogue, params);
  if (!formula) return tl::unexpected(formula.error());
  const Assessment assessment = Assess(base.catalogue, *formula);
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
