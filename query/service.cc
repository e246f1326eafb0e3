#include "query/service.h"

#include <fmt/format.h>

#include <atomic>
#include <nlohmann/json.hpp>

#include "kb/store.h"

namespace query {

std::unique_ptr<Base> OpenBase(const std::filesystem::path& root) {
  kb::BaseFiles files = kb::CurrentBase(root);
  kb::Catalogue catalogue(kb::ReadStore(files.store()));
  static std::atomic<std::uint64_t> opened = 0;
  auto base = std::make_unique<Base>(Base{std::move(files), std::move(catalogue), nullptr, ++opened});
  base->finder = std::make_unique<Finder>(base->catalogue);
  return base;
}

const TextIndex& Base::Index() const {
  // A server moves from base to base, and each has its own index.
  thread_local std::uint64_t opened = 0;
  thread_local std::unique_ptr<TextIndex> index;
  if (opened != number) {
    index = std::make_unique<TextIndex>(files.index());
    opened = number;
  }
  return *index;  // NOLINT(clang-analyzer-cplusplus.NewDelete): it takes the end of the thread for now
}

const std::vector<Command>& Commands() {
  static const std::vector<Command> kCommands = {
      {"find", AnswerFind},   {"show", AnswerShow},   {"compare", AnswerCompare}, {"check", AnswerCheck},
      {"label", AnswerLabel}, {"weigh", AnswerWeigh}, {"place", AnswerPlace},     {"swap", AnswerSwap},
  };
  return kCommands;
}

const Command* FindCommand(std::string_view name) {
  for (const Command& command : Commands()) {
    if (command.name == name) return &command;
  }
  return nullptr;
}

std::string TroubleJson(const Trouble& trouble) {
  nlohmann::json error = {{"what", trouble.what},
                          {"where", trouble.where},
                          {"expected", trouble.expected},
                          {"nearest", trouble.nearest}};
  if (!trouble.complaints.empty()) {
    nlohmann::json& all = error["complaints"] = nlohmann::json::array();
    for (const kb::Complaint& complaint : trouble.complaints) {
      all.push_back({{"line", complaint.line},
                     {"column", complaint.column},
                     {"what", complaint.what},
                     {"expected", complaint.expected},
                     {"nearest", complaint.nearest},
                     {"shown", complaint.shown}});
    }
  }
  return nlohmann::json{{"error", std::move(error)}}.dump(2, ' ', false,
                                                          nlohmann::json::error_handler_t::replace);
}

std::string TroubleText(const Trouble& trouble) {
  std::string out;
  const auto nearest = [&](const std::vector<std::string>& names) {
    if (!names.empty()) out += fmt::format("    nearest:  {}\n", fmt::join(names, ", "));
  };
  if (trouble.complaints.empty()) {
    out = fmt::format("stillroom: {}{}{}\n", trouble.where.empty() ? "" : trouble.where + ": ", trouble.what,
                      "");
    if (!trouble.expected.empty()) out += fmt::format("    expected: {}\n", trouble.expected);
    nearest(trouble.nearest);
    return out;
  }
  const std::string file = trouble.where.substr(0, trouble.where.find(':'));
  for (const kb::Complaint& complaint : trouble.complaints) {
    out += complaint.line == 0 ? fmt::format("stillroom: {}: {}\n", file, complaint.what)
                               : fmt::format("stillroom: {}:{}:{}: {}\n", file, complaint.line,
                                             complaint.column, complaint.what);
    if (!complaint.shown.empty()) {
      out += fmt::format("    {}\n    {}^\n", complaint.shown,
                         std::string(complaint.column > 0 ? complaint.column - 1 : 0, ' '));
    }
    if (!complaint.expected.empty()) out += fmt::format("    expected: {}\n", complaint.expected);
    nearest(complaint.nearest);
  }
  if (trouble.complaints.size() > 1)
    out += fmt::format("stillroom: {} mistakes in {}\n", trouble.complaints.size(), file);
  return out;
}

}  // namespace query
