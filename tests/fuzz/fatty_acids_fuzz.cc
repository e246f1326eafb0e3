#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "kb/chemistry/fatty_acids.h"

// libFuzzer: clang++ -std=c++20 -fsanitize=fuzzer,address,undefined -I. tests/fuzz/fatty_acids_fuzz.cc
//            kb/chemistry/fatty_acids.cc -lfmt -o fatty_acids_fuzz
//
// What is read must be an acid that exists, and must come back the same from the form that we write. What is
// refused must say why, briefly.
namespace {

[[noreturn]] void Fail(const char* fault, const std::string& shown) {
  std::fprintf(stderr, "fatty_acids: %s: %s\n", fault, shown.c_str());
  std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace kb::chemistry;
  const auto acid = ParseFattyAcid(std::string_view(reinterpret_cast<const char*>(data), size));
  if (!acid) {
    if (acid.error().what.empty() || acid.error().what.size() > 200) Fail("bad refusal", acid.error().what);
    return 0;
  }
  const std::string written = ToString(*acid);
  if (acid->carbons < 4 || acid->carbons > 36 || acid->double_bonds < 0 || acid->double_bonds > 6 ||
      acid->hydroxyls < 0 || acid->hydroxyls > 2 || 2 * acid->double_bonds > acid->carbons) {
    Fail("no such acid", written);
  }
  if (ParseFattyAcid(written) != *acid) Fail("does not come back", written);
  const FattyAcidProfile pure = {{*acid, 100}};
  if (!IodineValue(pure) || !(*SaponificationValue(pure) > 0)) Fail("has no values", written);
  return 0;
}
