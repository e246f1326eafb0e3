// A base built from the real data/ folder and a small inventory, once a program, and questions to it.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "indexer/run.h"
#include "query/service.h"

namespace find_test {

// Rows of the EU inventory, as the open inventory prints them: names of which data/ holds no record, and one of which it does.
inline constexpr const char* kInventory =
    "inci_name,cas_number,einecs_number,function\n"
    "ASTROCARYUM VULGARE SEED BUTTER,2187449-53-0,,\"Skin Conditioning, Skin Conditioning - Emollient\"\n"
    "ACETAMIDOETHOXYETHANOL,118974-46-2,,Humectant\n"
    "ALTHAEA ROSEA ROOT EXTRACT,90045-76-4,289-940-2,Humectant\n"
    "METHOXYETHANOL,109-86-4,203-713-7,\"Solvent, Viscosity Controlling\"\n"
    "GLYCERIN,56-81-5,200-289-5,\"Denaturant, Hair Conditioning, Humectant, Oral Care, Perfuming, Skin "
    "Conditioning, "
    "Skin Protecting, Solvent, Viscosity Controlling\"\n";

// Where it is built is gone when the program ends.
class BuiltBase {
 public:
  BuiltBase() {
    std::string name = (std::filesystem::temp_directory_path() / "stillroom-find-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) Give("no temporary folder to be had");
    root_ = name;
    std::ofstream(root_ / "inventory.csv") << kInventory;
    std::ostringstream out;
    std::ostringstream complaints;
    indexer::Options options;
    options.data = STILLROOM_SOURCE_DIR "/data";
    options.base = root_ / "base";
    options.inventory = root_ / "inventory.csv";
    if (indexer::Run(options, out, complaints, false) != 0) Give(complaints.str());
    base_ = query::OpenBase(root_ / "base");
  }
  ~BuiltBase() {
    std::error_code ignored;
    std::filesystem::remove_all(root_, ignored);
  }
  BuiltBase(const BuiltBase&) = delete;
  BuiltBase& operator=(const BuiltBase&) = delete;

  const query::Base& base() const { return *base_; }

 private:
  [[noreturn]] static void Give(const std::string& what) {
    std::cerr << what << '\n';
    std::abort();
  }

  std::filesystem::path root_;
  std::unique_ptr<query::Base> base_;
};

inline const query::Base& RealBase() {
  static const BuiltBase built;
  return built.base();
}

using Values = std::vector<std::pair<std::string, std::string>>;

inline query::Asked<query::Reply> Ask(query::Answerer answer, const Values& values, query::Want want) {
  query::Params params;
  params.values = values;
  return answer(RealBase(), params, want, query::Look{});
}

// The JSON of an answer; fails the test where there is none.
inline nlohmann::json JsonOf(query::Answerer answer, const Values& values) {
  const auto reply = Ask(answer, values, query::Want::kJson);
  if (!reply) {
    ADD_FAILURE() << query::TroubleText(reply.error());
    return {};
  }
  return nlohmann::json::parse(reply->body);
}

inline std::string TextOf(query::Answerer answer, const Values& values) {
  const auto reply = Ask(answer, values, query::Want::kText);
  if (!reply) {
    ADD_FAILURE() << query::TroubleText(reply.error());
    return {};
  }
  return reply->body;
}

}  // namespace find_test
