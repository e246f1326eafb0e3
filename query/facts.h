// What follows from an ingredient's facts alone, whatever the formula.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/catalogue.h"
#include "kb/chemistry/fatty_acids.h"
#include "kb/chemistry/hansen.h"
#include "kb/derived.h"
#include "kb/product.h"

namespace query {

using kb::Catalogue;
using kb::ClaimAnswer;
using kb::ClaimState;
using kb::ClaimStateName;
using kb::IngredientIx;
using kb::Side;
using kb::SideName;
using kb::SideOf;

// Does it go into water (dissolve, swell or disperse)? Into oil? false where unknown.
bool GoesIntoWater(const Catalogue& catalogue, IngredientIx ix);
bool GoesIntoOil(const Catalogue& catalogue, IngredientIx ix);

// Is it made of water for the most part (water, hydrosols, juices, dilute solutions)?
double WaterShare(const Catalogue& catalogue, IngredientIx ix);  // 0..1, by its composition

// Usual level for a function in a kind of product, % of the whole: the claim for that function and use, else that
// function's, else any. nullopt where nothing is known.
std::optional<kb::Range> UsualLevel(const Catalogue& catalogue, IngredientIx ix, std::string_view function,
                                    kb::Kind kind);

// Is it something that an emulsifier has to carry: an oil, butter, wax, ester, silicone, fatty alcohol or acid?
bool IsLipid(const Catalogue& catalogue, IngredientIx ix);

// HLB that it asks for, in an o/w or a w/o emulsion; nullptr where not known.
const kb::Fact* RequiredHlbFact(const Catalogue& catalogue, IngredientIx ix, bool water_in_oil);

// What acts in a gram as sold, 0..1: active_pct, else one less the water in it.
double ActiveShare(const Catalogue& catalogue, IngredientIx ix);

// Its fatty acids, % by mass, as one source gives them: the most trusted profile that is whole (sums to 90 to 101),
// single figures before middles of ranges. Two profiles are never mixed: samples differ, and the mixture would sum to
// more than there is. Only where no source has a whole one are their figures put together, acid by acid, most trusted
// first. nullopt: none known.
std::optional<kb::chemistry::FattyAcidProfile> FattyAcidsOf(const Catalogue& catalogue, IngredientIx ix);

// Its Hansen parameters; nullopt unless all three are known.
std::optional<kb::chemistry::HansenPoint> HansenOf(const Catalogue& catalogue, IngredientIx ix);

// Does a formula keep this claim with it? By the id of the claim; see kb::KeepsClaim.
ClaimAnswer KeepsClaim(const Catalogue& catalogue, IngredientIx ix, std::string_view claim);

// Name for people: the common name; with the label name where they differ.
std::string NameAndInci(const Catalogue& catalogue, IngredientIx ix);

// Label names that it brings (a blend's parts, nested ones too), in falling share.
std::vector<std::string> LabelNames(const Catalogue& catalogue, IngredientIx ix);

}  // namespace query
