// The claims of the data: what somebody wrote and gave a source, each once.
#pragma once

#include <cstddef>
#include <vector>

#include "kb/catalogue.h"

namespace indexer {

struct Claim {
  const kb::Fact* fact = nullptr;
  std::size_t serves =
      1;  // ingredients that hold it: more than one where it is a rule of a class or a function
};

// Facts of records, and rules of classes and functions once, however many members they serve. What is computed from other
// claims is none. In the order of the ingredients; pointers into `parts`.
std::vector<Claim> ClaimsOf(const kb::CatalogueParts& parts);

// Facts that are computed from others.
std::size_t Computed(const kb::CatalogueParts& parts);

}  // namespace indexer
