#include <gtest/gtest.h>

#include <cstdint>
#include <random>
#include <vector>

#include "tests/fuzz/acid_base_input.h"

// The fuzzer's question on bytes that are the same in every run.

namespace {

TEST(AcidBaseOnAnyBytes, KeepsItsPromises) {
  std::mt19937 random(20240601);
  for (int run = 0; run < 1000; ++run) {
    std::vector<std::uint8_t> bytes(random() % 200);
    for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(random());
    ASSERT_EQ(fuzz::FaultFor(bytes), "") << "run " << run;
  }
}

TEST(AcidBaseOnAnyBytes, KeepsThemOnEdges) {
  for (const int value : {0, 1, 127, 128, 249, 250, 255}) {
    for (const std::size_t length : {0U, 1U, 7U, 64U, 500U}) {
      const std::vector<std::uint8_t> bytes(length, static_cast<std::uint8_t>(value));
      ASSERT_EQ(fuzz::FaultFor(bytes), "") << "value " << value << ", length " << length;
    }
  }
}

}  // namespace
