// Killed in the middle, the indexer leaves a base in service that opens and answers; the next run cleans up.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>
#include <xapian.h>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <ostream>
#include <string>
#include <thread>
#include <vector>

#include "kb/base.h"
#include "kb/index_terms.h"
#include "kb/store.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

namespace fs = std::filesystem;

// Starts the program on this data; `stop_at` "" lets it finish.
pid_t Start(const DataFixture& data, const std::string& stop_at) {
  const std::string root = data.root().string(), base = data.base().string();
  const pid_t child = fork();
  if (child != 0) return child;
  if (!stop_at.empty()) setenv("STILLROOM_INDEX_STOP_AT", stop_at.c_str(), 1);
  close(STDOUT_FILENO);
  execl(STILLROOM_INDEX_PROGRAM, "stillroom-index", "--data", root.c_str(), "--base", base.c_str(), nullptr);
  _exit(127);
}

int Wait(pid_t child) {
  int status = 0;
  EXPECT_EQ(waitpid(child, &status, 0), child);
  return status;
}

void Finish(const DataFixture& data) {
  const int status = Wait(Start(data, ""));
  ASSERT_TRUE(WIFEXITED(status));
  ASSERT_EQ(WEXITSTATUS(status), 0);
}

// Opens what is in service and asks store and index a question each. Returns the number of ingredients.
std::size_t Answers(const fs::path& root) {
  const kb::BaseFiles base = kb::CurrentBase(root);
  const kb::Catalogue catalogue(kb::ReadStore(base.store()));
  EXPECT_TRUE(catalogue.FindExact("glycerol").has_value());
  const Xapian::Database index(base.index().string());
  EXPECT_TRUE(index.term_exists(kb::index::UniqueIngredient("glycerin")));
  EXPECT_EQ(index.get_doccount(), catalogue.ingredients().size() + catalogue.functions().size());
  return catalogue.ingredients().size();
}

std::size_t Leftovers(const fs::path& root) {
  std::size_t count = 0;
  for (const fs::directory_entry& entry : fs::directory_iterator(root)) {
    const std::string name = entry.path().filename().string();
    count += name.front() == '.' && name != ".lock" ? 1U : 0U;
  }
  return count;
}

void AddAnIngredient(const DataFixture& data) {
  data.Write(
      "ingredients/propanediol.toml",
      "id = \"propanediol\"\ninci = \"PROPANEDIOL\"\nname = \"propanediol\"\nfunctions = [\"humectant\"]\n");
}

struct Step {
  const char* name;
  bool published;  // is the new base in service when the program dies here?
  friend void PrintTo(const Step& step, std::ostream* out) { *out << step.name; }
};

constexpr Step kSteps[] = {
    {"locked", false},  {"store", false},  {"index", false},    {"manifest", false}, {"synced", false},
    {"renamed", false}, {"linked", false}, {"published", true}, {"cleaned", true},
};

class Killed : public testing::TestWithParam<Step> {};

TEST_P(Killed, LeavesABaseInService) {
  const DataFixture data;
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  ASSERT_EQ(Answers(data.base()), 3U);
  AddAnIngredient(data);
  const int status = Wait(Start(data, GetParam().name));
  ASSERT_TRUE(WIFSIGNALED(status));
  ASSERT_EQ(WTERMSIG(status), SIGKILL);
  EXPECT_EQ(Answers(data.base()), GetParam().published ? 4U : 3U);
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  EXPECT_EQ(Answers(data.base()), 4U);
  EXPECT_EQ(Leftovers(data.base()), 0U);
}

INSTANTIATE_TEST_SUITE_P(At, Killed, testing::ValuesIn(kSteps),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(KilledAtFirst, LeavesNoBaseAndTheNextRunBuildsOne) {
  const DataFixture data;
  Wait(Start(data, "renamed"));
  EXPECT_THROW(kb::CurrentBase(data.base()), kb::StoreError);
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  EXPECT_EQ(Answers(data.base()), 3U);
}

// Not only between steps: at forty moments spread over the time that a build takes, whatever it is doing
// then.
TEST(KilledAtAnyMoment, LeavesABaseInService) {
  const DataFixture data;
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  AddAnIngredient(data);
  const auto start = std::chrono::steady_clock::now();
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  const auto whole = std::chrono::steady_clock::now() - start;
  constexpr int kMoments = 40;
  std::size_t expected = 4;
  for (int moment = 0; moment < kMoments; ++moment) {
    // Another hash each time, so that there is something to build.
    data.Write("sources.toml", data.Read("sources.toml") + "#\n");
    const pid_t child = Start(data, "");
    std::this_thread::sleep_for(whole * moment / kMoments);
    kill(child, SIGKILL);
    Wait(child);
    EXPECT_EQ(Answers(data.base()), expected) << "killed after " << moment << " of " << kMoments;
  }
  ASSERT_NO_FATAL_FAILURE(Finish(data));
  EXPECT_EQ(Answers(data.base()), expected);
  EXPECT_EQ(Leftovers(data.base()), 0U);
}

// Two at once: one waits for the other, and both end well.
TEST(TwoAtOnce, WaitForEachOther) {
  const DataFixture data;
  const std::vector<pid_t> children = {Start(data, ""), Start(data, ""), Start(data, "")};
  for (const pid_t child : children) EXPECT_EQ(Wait(child), 0);
  EXPECT_EQ(Answers(data.base()), 3U);
  EXPECT_EQ(Leftovers(data.base()), 0U);
}

struct Line {
  const char* name;
  std::vector<const char*> arguments;
  int code;
  friend void PrintTo(const Line& line, std::ostream* out) { *out << line.name; }
};

const Line kLines[] = {
    {"Help", {"--help"}, 0},           {"Version", {"--version"}, 0},
    {"UnknownOption", {"--chekc"}, 2}, {"JsonWithoutReport", {"--json"}, 2},
    {"StrayWord", {"build"}, 2},       {"NoDataFolder", {"--data", "/nowhere/at/all"}, 1},
};

class CommandLine : public testing::TestWithParam<Line> {};

TEST_P(CommandLine, EndsWithItsCode) {
  std::vector<const char*> arguments = GetParam().arguments;
  arguments.insert(arguments.begin(), "stillroom-index");
  arguments.push_back(nullptr);
  const pid_t child = fork();
  if (child == 0) {
    close(STDOUT_FILENO);
    close(STDERR_FILENO);
    execv(STILLROOM_INDEX_PROGRAM, const_cast<char* const*>(arguments.data()));
    _exit(127);
  }
  const int status = Wait(child);
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), GetParam().code);
}

INSTANTIATE_TEST_SUITE_P(Of, CommandLine, testing::ValuesIn(kLines),
                         [](const auto& row) { return std::string(row.param.name); });

}  // namespace
}  // namespace indexer_test
