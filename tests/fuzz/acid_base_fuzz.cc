#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/fuzz/acid_base_input.h"

// libFuzzer: clang++ -std=c++20 -fsanitize=fuzzer,address,undefined -I. tests/fuzz/acid_base_fuzz.cc
//            kb/chemistry/{acid_base,equilibrium,activity}.cc -lfmt -o acid_base_fuzz
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string fault = fuzz::FaultFor({data, size});
  if (!fault.empty()) {
    std::fprintf(stderr, "acid_base: %s\n", fault.c_str());
    std::abort();
  }
  return 0;
}
