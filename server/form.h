// What a browser's form sends: application/x-www-form-urlencoded or multipart/form-data (RFC 7578), read in linear time.
#pragma once

#include <tl/expected.hpp>

#include "server/exchange.h"

namespace server {

// Fields in order; a file is a field with its content, an empty file is left out. The error is an answer: 400 or 415.
tl::expected<Pairs, Answer> ReadForm(const Question& question);

}  // namespace server
