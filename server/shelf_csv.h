// The shelf as a spreadsheet writes and reads it: comma-separated, quoted where needed (RFC 4180), a header line with the columns in
// any order. Columns: ingredient (any of its names), amount_g, cost_per_kg, lot, opened, best_before, low_below_g, note; number where a
// jar that is there is to be replaced.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "query/request.h"
#include "server/exchange.h"
#include "server/shelf.h"

namespace server {

inline constexpr std::size_t kMostJars = 10'000;

// Every complaint at once; nothing is taken where there is one.
tl::expected<std::vector<Jar>, query::Trouble> ReadJars(const kb::Catalogue& catalogue,
                                                        std::string_view text);

// A jar from the fields of a form, by the same names and rules.
tl::expected<Jar, query::Trouble> ReadJar(const kb::Catalogue& catalogue, const Pairs& fields);

// What ReadJars takes back. A cell that a spreadsheet would run as a formula gets an apostrophe in front.
std::string WriteJars(const kb::Catalogue& catalogue, const std::vector<Jar>& jars);

}  // namespace server
