// The question that `place` is asked, read from named values: name or described..., kind, level, ph; with or without a formula.
#pragma once

#include <string>

#include "query/place.h"
#include "query/request.h"

namespace query {

struct PlaceAsked {
  PlaceQuestion question;
  std::string taken_for;  // the name that a misspelt or longer one was taken for; "" otherwise
  bool typical = false;   // the formula is a typical one of the base
};

// A name may come with words of form ("kojic acid powder"). Where neither formula nor kind is given, a typical o/w emulsion is the
// setting, or a product that the ingredient is made for. With `described` a name that the base does not know is a stranger's.
// Asks a chemistry toolkit where a `smiles` is described (query/structure.h); everything else is pure.
Asked<PlaceAsked> ReadPlaceQuestion(const kb::Catalogue& catalogue, const Params& params);

}  // namespace query
