// A base from the real data/ folder, built once for all tests of this program, and ways to ask.
#pragma once

#include <filesystem>
#include <string>

#include "server/app.h"
#include "server/shelf.h"

namespace testing_server {

// Its root folder; removed when the program ends.
const std::filesystem::path& BaseRoot();

// A folder of this program's own for files, removed when it ends.
std::filesystem::path Scratch(const std::string& name);

server::Question Get(const std::string& target);
server::Question Post(const std::string& target, std::string body, std::string type = "text/csv");

inline constexpr const char* kGel =
    "# kind: leave-on gel\nphase,ingredient,percent\nA,Water,q.s.\nA,Glycerin,5\nA,Xanthan gum,0.5\n";
std::string HandCream();

}  // namespace testing_server
