// Who has to come along: the partner of an emulsifier that is no complete system, the second half of a preservative pair.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "query/swap_pass.h"

namespace query {

// Partners for the stand-ins of one question. Keeps the references.
class Company {
 public:
  Company(const RuleSetting& setting, const CandidatePass& pass) : setting_(setting), pass_(pass) {}

  // Partners that a stand-in needs beside it in this formula, with their levels; empty where it needs none or one is there
  // already (then the partner has level 0 and says so). May lower the stand-in's own level where the two share it.
  std::vector<Partner> For(IngredientIx stand_in, double& level_pct);

 private:
  struct Preservative {
    IngredientIx ingredient = 0;
    std::uint32_t covers = 0;  // a bit a kingdom
    double common = 0;
  };

  std::vector<Partner> PreservativePartners(IngredientIx stand_in);
  void FillPreservatives();

  const RuleSetting& setting_;
  const CandidatePass& pass_;
  std::optional<std::vector<Preservative>>
      preservatives_;  // that fit as they are, by ingredient; nullopt not asked for yet
};

}  // namespace query
