#include "kb/name_file.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "kb/store.h"

namespace kb {
namespace {

class Names : public testing::Test {
 protected:
  Names() : path_(std::filesystem::temp_directory_path() / ("stillroom-names-" + std::to_string(getpid()))) {}
  ~Names() override { std::filesystem::remove(path_); }

  void Write() const {
    NameRecords first;
    first.AddName("cetyl alcohol");
    first.AddName("hexadecan 1 ol");
    first.AddName("alcohol cetylicus");
    first.End("");
    NameRecords second;
    second.AddName("caprylyl glycol");
    second.End("inventory\tCAPRYLYL GLYCOL\t1117-86-8");
    second.End("");  // without a name
    first.Append(second);
    first.Write(path_);
  }

  static bool Holds(const NameFile& names, std::uint32_t document, std::string_view letters) {
    const NameWordStart start(letters);
    return names.Holds(document, std::span(&start, 1));
  }

  std::filesystem::path path_;
};

TEST_F(Names, KnowsHowTheWordsOfADocumentBegin) {
  Write();
  const NameFile names(path_);
  for (const char* start : {"c", "ce", "cet", "cetyl", "cetylic", "alcohol", "hexadecan", "1", "ol"})
    EXPECT_TRUE(Holds(names, 1, start)) << start;
  for (const char* start : {"x", "ca", "etyl", "cetyls", "cetyl alcohol", "oll"})
    EXPECT_FALSE(Holds(names, 1, start)) << start;
  EXPECT_TRUE(Holds(names, 2, "glyc"));
  // What stands in the data is no word of a name.
  EXPECT_FALSE(Holds(names, 2, "inv"));
  EXPECT_FALSE(Holds(names, 2, "CAP"));
}

TEST_F(Names, KnowsWhatHoldsSeveral) {
  Write();
  const NameFile names(path_);
  const std::vector<NameWordStart> there = {NameWordStart("hexa"), NameWordStart("ol")};
  const std::vector<NameWordStart> half = {NameWordStart("hexa"), NameWordStart("glyc")};
  EXPECT_TRUE(names.Holds(1, there));
  EXPECT_FALSE(names.Holds(1, half));
  // A signature is never wrong about what is there.
  EXPECT_TRUE(names.MayHold(1, there[0].signature | there[1].signature));
  EXPECT_FALSE(names.MayHold(0, 0));
  EXPECT_FALSE(names.MayHold(4, 0));
}

TEST_F(Names, HoldsDataAsItWasGiven) {
  Write();
  const NameFile names(path_);
  EXPECT_EQ(names.Data(1), "");
  EXPECT_EQ(names.Data(2), "inventory\tCAPRYLYL GLYCOL\t1117-86-8");
}

TEST_F(Names, WhatIsNotThereHoldsNothing) {
  Write();
  const NameFile names(path_);
  for (const std::uint32_t document : {0U, 3U, 4U, 4000000000U}) {
    EXPECT_FALSE(Holds(names, document, "c")) << document;
    EXPECT_EQ(names.Data(document), "") << document;
  }
}

TEST_F(Names, ADamagedFileIsRefusedOrHoldsNothing) {
  EXPECT_THROW(NameFile{path_}, StoreError);
  Write();
  std::string bytes;
  {
    std::ifstream file(path_, std::ios::binary);
    bytes.assign(std::istreambuf_iterator<char>(file), {});
  }
  const auto put = [&](const std::string& text) {
    std::ofstream(path_, std::ios::binary | std::ios::trunc) << text;
  };
  put("something else altogether");
  EXPECT_THROW(NameFile{path_}, StoreError);
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    put(bytes.substr(0, size));
    try {
      const NameFile names(path_);
      for (std::uint32_t document = 1; document <= 3; ++document) {
        Holds(names, document, "cet");
        EXPECT_LE(names.Data(document).size(), size);
      }
    } catch (const StoreError&) {
      EXPECT_LT(size, bytes.size());
    }
  }
}

}  // namespace
}  // namespace kb
