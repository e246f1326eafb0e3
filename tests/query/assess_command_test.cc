// The real program on bad input: exit 2, one complaint a mistake with its line, what was expected and the nearest names; the same
// as JSON. A base of the real data is built once.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

struct Ran {
  int exit = -1;
  std::string out, err;
};

class Command : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = fs::temp_directory_path() / ("stillroom-command-" + std::to_string(getpid()));
    fs::create_directories(folder_);
    const Ran built =
        Run({STILLROOM_INDEX_PROGRAM, "--data", STILLROOM_SOURCE_DIR "/data", "--base", Base()});
    ASSERT_EQ(built.exit, 0) << built.err;
  }
  static void TearDownTestSuite() { fs::remove_all(folder_); }

  static std::string Base() { return (folder_ / "base").string(); }

  static std::string Write(const std::string& name, const std::string& text) {
    const fs::path path = folder_ / name;
    std::ofstream(path, std::ios::binary) << text;
    return path.string();
  }

  static std::string Slurp(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  }

  static Ran Run(const std::vector<std::string>& words) {
    const fs::path out = folder_ / "out";
    const fs::path err = folder_ / "err";
    const pid_t child = fork();
    if (child == 0) {
      if (std::freopen(out.c_str(), "wb", stdout) == nullptr ||
          std::freopen(err.c_str(), "wb", stderr) == nullptr)
        _exit(126);
      std::vector<char*> arguments;
      for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
      arguments.push_back(nullptr);
      execv(arguments[0], arguments.data());
      _exit(127);
    }
    int status = 0;
    EXPECT_EQ(waitpid(child, &status, 0), child);
    Ran ran;
    ran.exit = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    ran.out = Slurp(out);
    ran.err = Slurp(err);
    return ran;
  }

  static Ran Check(const std::string& file, const std::vector<std::string>& more = {}) {
    std::vector<std::string> words = {STILLROOM_PROGRAM, "check", file, "--base", Base()};
    words.insert(words.end(), more.begin(), more.end());
    return Run(words);
  }

  // Exit 2, the words in the complaint for people, and one JSON document with an error.
  static void ExpectRefused(const std::string& file, const std::vector<std::string>& words) {
    const Ran text = Check(file);
    EXPECT_EQ(text.exit, 2) << text.out;
    EXPECT_TRUE(text.out.empty()) << text.out;
    for (const std::string& word : words)
      EXPECT_NE(text.err.find(word), std::string::npos) << word << "\n" << text.err;
    const Ran json = Check(file, {"--json"});
    EXPECT_EQ(json.exit, 2);
    const auto document = nlohmann::json::parse(json.out, nullptr, false);
    ASSERT_FALSE(document.is_discarded()) << json.out;
    for (const char* key : {"what", "where", "expected", "nearest"})
      EXPECT_TRUE(document["error"].contains(key)) << key;
    EXPECT_FALSE(document["error"]["what"].get<std::string>().empty());
  }

  static inline fs::path folder_;
};

const std::string kHead = "# kind: leave-on gel\nphase,ingredient,percent\n";

TEST_F(Command, ASoundFormulaIsAnswered) {
  const std::string file = STILLROOM_SOURCE_DIR "/data/formulas/demo/hand-cream.csv";
  const Ran text = Check(file);
  EXPECT_EQ(text.exit, 0) << text.err;
  EXPECT_NE(text.out.find("0 to stop for, 0 to look at"), std::string::npos) << text.out;
  EXPECT_NE(text.out.find("HLB: required"), std::string::npos);
  EXPECT_NE(text.out.find("pH: about"), std::string::npos);
  EXPECT_NE(text.out.find("driven by"), std::string::npos);
  const Ran json = Check(file, {"--json"});
  EXPECT_EQ(json.exit, 0);
  const auto document = nlohmann::json::parse(json.out, nullptr, false);
  ASSERT_FALSE(document.is_discarded());
  for (const char* key : {"formula", "kind", "total_pct", "phases", "composition", "emulsion", "ph",
                          "preservation", "solubility", "heat", "findings", "label", "unknown"})
    EXPECT_TRUE(document.contains(key)) << key;
}

TEST_F(Command, SaysTheDoseOfTheAcidThatIsAskedFor) {
  const std::string file = STILLROOM_SOURCE_DIR "/data/formulas/demo/greenhouse-gel-serum.csv";
  const Ran text = Check(file, {"--to-ph", "5.0", "--with", "lactic acid"});
  EXPECT_EQ(text.exit, 0) << text.err;
  EXPECT_NE(text.out.find("lactic acid"), std::string::npos) << text.out;
  EXPECT_NE(text.out.find("pH 5"), std::string::npos) << text.out;
  EXPECT_EQ(Check(file, {"--to-ph", "5.0", "--with", "glycerin"}).exit, 2);
  EXPECT_EQ(Check(file, {"--to-ph", "15", "--with", "lactic acid"}).exit, 2);
}

TEST_F(Command, FourMistakesGiveFourComplaints) {
  const std::string file =
      Write("four.csv", kHead +
                            "A,Water,q.s.\nA,Glycerinn,5\nB,Xanthan gum,-1\nB,Panthenol,q.s.\n"
                            "A,Allantoin,0.2\n");
  ExpectRefused(file, {"four.csv:4:", "four.csv:5:", "four.csv:6:", "four.csv:7:", "no ingredient named",
                       "nearest", "a second q.s.", "cannot be", "comes back after", "4 mistakes"});
  const auto document = nlohmann::json::parse(Check(file, {"--json"}).out);
  ASSERT_EQ(document["error"]["complaints"].size(), 4U);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(document["error"]["complaints"][i]["line"], 4 + i);
    EXPECT_FALSE(document["error"]["complaints"][i]["expected"].get<std::string>().empty());
  }
}

TEST_F(Command, RefusesWhatIsNoFormula) {
  ExpectRefused(Write("total.csv", kHead + "A,Water,90\nA,Glycerin,5\n"), {"95.000 %", "q.s."});
  ExpectRefused(Write("order.csv", kHead + "B,Water,q.s.\nA,Glycerin,5\n"),
                {"phase A stands after phase B", "order"});
  ExpectRefused(Write("empty.csv", ""), {"empty"});
  ExpectRefused(Write("blank.csv", "\n \n"), {"empty"});
  ExpectRefused(Write("large.csv", std::string(10'000'000, 'x')), {"no formula", "1 MB"});
  ExpectRefused(Write("binary.csv", std::string("\x7f"
                                                "ELF\x02\x01\0\0\0",
                                                9)),
                {"no text file"});
  ExpectRefused(Write("latin.csv", kHead + "A,Caf\xe9,5\n"), {"UTF-8"});
  ExpectRefused(folder_.string(), {"cannot be read", "expected"});
  ExpectRefused((folder_ / "absent.csv").string(), {"cannot be read"});
  ExpectRefused(Write("kind.csv", "# kind: rinse\nphase,ingredient,percent\nA,Water,100\n"),
                {"no kind of product"});
}

TEST_F(Command, WeighsOnlyByMass) {
  const std::string file = STILLROOM_SOURCE_DIR "/data/formulas/demo/hand-cream.csv";
  const auto weigh = [&](const std::string& batch, const std::string& scale) {
    return Run({STILLROOM_PROGRAM, "weigh", file, "--batch", batch, "--scale", scale, "--base", Base()});
  };
  EXPECT_EQ(weigh("500g", "0.1g").exit, 0);
  for (const char* bad : {"500 ml", "two cups", "-5g", "0g"}) {
    const Ran ran = weigh(bad, "0.1g");
    EXPECT_EQ(ran.exit, 2) << bad;
    EXPECT_NE(ran.err.find("500g"), std::string::npos) << ran.err;
  }
  EXPECT_EQ(weigh("100g", "50g").exit, 2);
}

}  // namespace
