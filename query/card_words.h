// The words of the data as a maker says them, for cards on a screen.
#pragma once

#include <string>
#include <string_view>

#include "kb/catalogue.h"

namespace query {

// "melting_c" is "melts at", "use_pct" "usual level". Properties without words of their own lose their unit: it stands beside the value.
std::string PropertyLabel(std::string_view property);

// "pct > 1; form anhydrous, water > 1" (kb/condition.h) is "above 1 % in anhydrous products with more than 1 % water".
std::string ConditionText(const kb::Catalogue& catalogue, std::string_view condition);

// Where a fact comes from, short: "[published: key, table 2]", "[common practice]".
std::string SourceTag(const kb::Catalogue& catalogue, const kb::Fact& fact);

// A number without an exponent where it has one: 1800000, 0.05, 1.2613.
std::string PlainNumber(double number);
std::string PlainRange(const kb::Range& range);

}  // namespace query
