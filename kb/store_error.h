// What goes wrong with a base on disk.
#pragma once

#include <stdexcept>

namespace kb {

// The base cannot be read or written; what() says which file and what to do.
class StoreError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

}  // namespace kb
