// A base goes into service whole or not at all.
#include "indexer/publish.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <string>

#include "indexer/manifest.h"
#include "indexer/run.h"
#include "kb/base.h"
#include "kb/store.h"
#include "tests/indexer/data_fixture.h"

namespace indexer_test {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::MatchesRegex;

struct Answer {
  int code = -1;
  std::string out, complaints;
};

Answer RunOn(const DataFixture& data, bool check = false, bool report = false, bool json = false) {
  std::ostringstream out, complaints;
  Answer answer;
  answer.code = indexer::Run({data.root(), data.base(), {}, check, report, json}, out, complaints, false);
  answer.out = out.str();
  answer.complaints = complaints.str();
  return answer;
}

std::set<std::string> NamesIn(const fs::path& folder) {
  std::set<std::string> names;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder))
    names.insert(entry.path().filename().string());
  return names;
}

// Changes the data, so that the next base has another hash.
void Change(const DataFixture& data) {
  data.Write("sources.toml", data.Read("sources.toml") + "# changed\n");
}

TEST(Run, BuildsABaseThatOpens) {
  const DataFixture data;
  const Answer answer = RunOn(data);
  EXPECT_EQ(answer.code, 0);
  EXPECT_EQ(answer.complaints, "");
  EXPECT_THAT(
      answer.out,
      MatchesRegex(
          "stillroom-index: 3 ingredients, 4 functions, 17 claims; base [0-9a-f]{16} built in [0-9.]+ s\n"));
  const kb::BaseFiles base = kb::CurrentBase(data.base());
  EXPECT_EQ(kb::ReadStore(base.store()).lookup->ingredients(), 3U);
  EXPECT_EQ(NamesIn(data.base()), (std::set<std::string>{".lock", "current", base.hash}));
  EXPECT_EQ(NamesIn(base.folder),
            (std::set<std::string>{"index", "lookup", "manifest.json", "names", "stillroom.db"}));
}

TEST(Run, WritesWhatWentIn) {
  const DataFixture data;
  RunOn(data);
  const kb::BaseFiles base = kb::CurrentBase(data.base());
  std::ifstream stream(base.manifest());
  const nlohmann::json manifest = nlohmann::json::parse(stream);
  EXPECT_EQ(manifest["hash"], base.hash);
  EXPECT_EQ(manifest["schema_version"], kb::kSchemaVersion);
  EXPECT_EQ(manifest["counts"]["ingredients"], 3);
  EXPECT_EQ(manifest["counts"]["numeric_claims"], 7);
  EXPECT_EQ(manifest["bytes"]["index"], fs::file_size(base.index()));
  EXPECT_THAT(manifest["built"].get<std::string>(), MatchesRegex("20..-..-..T..:..:..Z"));
}

TEST(Run, BuildsNothingTwice) {
  const DataFixture data;
  RunOn(data);
  const kb::BaseFiles base = kb::CurrentBase(data.base());
  const fs::file_time_type before = fs::last_write_time(base.store());
  const Answer again = RunOn(data);
  EXPECT_EQ(again.code, 0);
  EXPECT_THAT(again.out, HasSubstr("was there already"));
  EXPECT_EQ(fs::last_write_time(base.store()), before);
}

TEST(Run, KeepsTheBaseBeforeAndRemovesOlderOnes) {
  const DataFixture data;
  std::vector<std::string> hashes;
  for (int round = 0; round < 3; ++round) {
    RunOn(data);
    hashes.push_back(kb::CurrentBase(data.base()).hash);
    Change(data);
  }
  EXPECT_EQ(NamesIn(data.base()), (std::set<std::string>{".lock", "current", hashes[1], hashes[2]}));
}

TEST(Run, PointsBackToABaseThatIsThere) {
  const DataFixture data;
  const std::string text = data.Read("sources.toml");
  RunOn(data);
  const std::string first = kb::CurrentBase(data.base()).hash;
  Change(data);
  RunOn(data);
  data.Write("sources.toml", text);
  EXPECT_THAT(RunOn(data).out, HasSubstr("was there already"));
  EXPECT_EQ(kb::CurrentBase(data.base()).hash, first);
}

TEST(Run, BuildsADamagedBaseAgain) {
  for (const char* name : {"stillroom.db", "lookup", "index", "names", "manifest.json"}) {
    const DataFixture data;
    RunOn(data);
    const kb::BaseFiles base = kb::CurrentBase(data.base());
    fs::resize_file(base.folder / name, 10);
    EXPECT_THAT(RunOn(data).out, HasSubstr("built in")) << name;
    EXPECT_EQ(kb::ReadStore(kb::CurrentBase(data.base()).store()).lookup->ingredients(), 3U);
    EXPECT_EQ(NamesIn(data.base()), (std::set<std::string>{".lock", "current", base.hash}));
  }
}

TEST(Run, LeavesFilesOfOthersAlone) {
  const DataFixture data;
  fs::create_directories(data.base() / "shelf");
  RunOn(data);
  Change(data);
  RunOn(data);
  EXPECT_TRUE(fs::exists(data.base() / "shelf"));
}

TEST(Run, BuildsNothingFromWrongData) {
  const DataFixture data;
  RunOn(data);
  const std::string before = kb::CurrentBase(data.base()).hash;
  data.Replace("ingredients/glycerin.toml", "is = 150", "is = 1500");
  const Answer answer = RunOn(data);
  EXPECT_EQ(answer.code, 2);
  EXPECT_EQ(answer.out, "");
  EXPECT_THAT(answer.complaints, HasSubstr("stillroom-index: 1 error in 1 file; nothing was built\n"));
  EXPECT_EQ(kb::CurrentBase(data.base()).hash, before);
}

TEST(Run, RefusesAFormulaThatNamesWhatIsNotThere) {
  const DataFixture data;
  data.Write("formulas/demo/gel.csv",
             "# name: gel\n# kind: leave-on gel\nphase,ingredient,percent\nA,Glicerin,5\nA,Water,q.s.\n");
  const Answer answer = RunOn(data);
  EXPECT_EQ(answer.code, 2);
  EXPECT_THAT(answer.complaints, HasSubstr("gel.csv:4:3: error: "));
  EXPECT_FALSE(fs::exists(data.base()));
}

TEST(Run, ChecksWithoutBuilding) {
  const DataFixture data;
  const Answer answer = RunOn(data, true);
  EXPECT_EQ(answer.code, 0);
  EXPECT_EQ(answer.out,
            "stillroom-index: 3 ingredients, 4 functions, 17 claims; nothing to complain about\n");
  EXPECT_FALSE(fs::exists(data.base()));
}

TEST(Run, ReportsAsOneDocument) {
  const DataFixture data;
  EXPECT_THAT(RunOn(data, false, true).out,
              HasSubstr("Numeric claims by standing: figures, advice and judgements (9)"));
  const nlohmann::json report = nlohmann::json::parse(RunOn(data, false, true, true).out);
  EXPECT_EQ(report["counts"]["claims"], 17);
  EXPECT_EQ(report["numeric_claims"]["count"]["memory"], 2);
  EXPECT_EQ(report["figures"]["all"]["total"], 4);
  EXPECT_EQ(report["numbers"]["total"], 9);
  EXPECT_EQ(report["figures"]["limits"]["count"]["published"], 1);
  EXPECT_EQ(report["advice"]["count"]["memory"], 1);
  EXPECT_EQ(report["judgements"]["total"], 3);
  EXPECT_EQ(report["functions"][0]["asked"][0]["missing"][0], "glycerin-50");
  EXPECT_FALSE(fs::exists(data.base()));
}

TEST(Run, ShowsProgressOnlyWhereItIsWanted) {
  const DataFixture data;
  std::ostringstream out, progress;
  indexer::Run({data.root(), data.base(), {}, false, false, false}, out, progress, true);
  EXPECT_THAT(progress.str(), HasSubstr("writing the index"));
  EXPECT_THAT(progress.str(), testing::EndsWith("\r\033[K"));
}

TEST(Publish, RemovesWhatItCouldNotFinish) {
  const TempFolder folder;
  EXPECT_THROW(indexer::Publish(folder.path() / "base", "0123456789abcdef",
                                [](const fs::path& building) {
                                  std::ofstream(building / "half") << "half";
                                  throw std::runtime_error("the disk is full");
                                }),
               std::runtime_error);
  EXPECT_EQ(NamesIn(folder.path() / "base"), (std::set<std::string>{".lock"}));
}

TEST(Publish, SaysWhereItCannotWrite) {
  const TempFolder folder;
  std::ofstream(folder.path() / "base") << "a file";
  const auto nothing = [](const fs::path&) {};
  EXPECT_THROW(indexer::Publish(folder.path() / "base", "0123456789abcdef", nothing), indexer::IndexerError);
}

TEST(Publish, DoesNotReplaceAFolderNamedCurrent) {
  const DataFixture data;
  fs::create_directories(data.base() / "current" / "mine");
  EXPECT_THROW(RunOn(data), indexer::IndexerError);
  EXPECT_TRUE(fs::exists(data.base() / "current" / "mine"));
}

TEST(Manifest, IsOfThisHashAndWhole) {
  const DataFixture data;
  RunOn(data);
  const kb::BaseFiles base = kb::CurrentBase(data.base());
  EXPECT_TRUE(indexer::IsComplete(base.folder, base.hash));
  EXPECT_FALSE(indexer::IsComplete(base.folder, "0123456789abcdef"));
  EXPECT_FALSE(indexer::IsComplete(data.base(), base.hash));
  for (const char* text : {"", "[]", "{}", "7", "{\"hash\": 7}", "{\"hash\": \"x\", \"bytes\": []}"}) {
    std::ofstream(base.manifest()) << text;
    EXPECT_FALSE(indexer::IsComplete(base.folder, base.hash)) << text;
  }
}

}  // namespace
}  // namespace indexer_test
