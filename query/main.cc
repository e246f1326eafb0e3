// stillroom: the command line. It turns options into named values, asks, and prints; everything else is in the library.
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/formula.h"
#include "kb/store.h"
#include "kb/text.h"
#include "query/service.h"

namespace {

enum Exit { kAnswered = 0, kNothingFound = 1, kWrong = 2 };

// What the options of one command were filled with.
struct Filled {
  std::string command;
  std::vector<std::string> words;  // positional: names, or the words of a query
  std::string formula_file;
  std::vector<std::pair<std::string, std::string>> values;
  std::string base_root;
  bool json = false;
};

query::Look LookOfTerminal() {
  query::Look look;
  look.bars = isatty(STDOUT_FILENO) == 1;
  winsize size{};
  if (look.bars && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 40) {
    look.width = std::min<std::size_t>(size.ws_col, 120);
  }
  return look;
}

int Fail(const query::Trouble& trouble, bool json) {
  if (json) std::cout << query::TroubleJson(trouble) << '\n';
  std::cerr << query::TroubleText(trouble);
  return trouble.kind == query::Trouble::Kind::kNothingFound ? kNothingFound : kWrong;
}

query::Trouble Mistake(std::string what, std::string where, std::string expected,
                       std::vector<std::string> nearest = {}) {
  return {query::Trouble::Kind::kBadQuestion,
          std::move(what),
          std::move(where),
          std::move(expected),
          std::move(nearest),
          {}};
}

// At most one byte more than a formula may have: a 10 MB file is refused without reading it all.
std::optional<std::string> ReadFile(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::error_code error;
  if (!file || std::filesystem::is_directory(path, error)) return std::nullopt;
  std::string text(kb::kLargestFormulaFile + 1, '\0');
  file.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(file.gcount()));
  return text;
}

// The option as a named value, with the names that an address uses: --why-not is why_not.
void AddValue(CLI::App& app, Filled& filled, const std::string& option, const std::string& help,
              bool repeated = false) {
  std::string name = option.substr(2);
  std::replace(name.begin(), name.end(), '-', '_');
  CLI::Option* added = app.add_option_function<std::vector<std::string>>(
      option,
      [&filled, name](const std::vector<std::string>& values) {
        for (const std::string& value : values) filled.values.emplace_back(name, value);
      },
      help);
  added->type_size(1)->expected(1);
  if (repeated) added->take_all()->allow_extra_args(false);
}

void AddFlag(CLI::App& app, Filled& filled, const std::string& option, const std::string& help) {
  std::string name = option.substr(2);
  std::replace(name.begin(), name.end(), '-', '_');
  app.add_flag_function(
      option, [&filled, name](std::int64_t) { filled.values.emplace_back(name, "true"); }, help);
}

CLI::App* AddCommand(CLI::App& app, Filled& filled, const std::string& name, const std::string& help) {
  CLI::App* command = app.add_subcommand(name, help);
  command->callback([&filled, name] { filled.command = name; });
  command->add_flag("--json", filled.json, "one JSON document on stdout, errors included");
  command->add_option("--base", filled.base_root, "folder of the base (default: $STILLROOM_BASE, ./base)");
  return command;
}

void AddSetting(CLI::App& command, Filled& filled) {
  command.add_option("--in", filled.formula_file, "formula file that it stands in");
  AddValue(command, filled, "--kind", "kind of product, USE/FORM, where there is no formula");
  AddValue(command, filled, "--level", "level of the ingredient, % of the whole");
  AddValue(command, filled, "--ph", "pH of the product");
}

void AddFind(CLI::App& find, Filled& filled) {
  find.add_option("words", filled.words, "what is looked for");
  AddValue(find, filled, "--function", "only this function");
  AddValue(find, filled, "--phase",
           "only what usually goes in there: heated-water, heated-oil, cool-down ...");
  AddValue(find, filled, "--solubility", "water, oil, both or neither");
  AddValue(find, filled, "--form", "liquid, powder, flakes ...");
  AddValue(find, filled, "--charge", "nonionic, anionic, cationic or amphoteric");
  AddValue(find, filled, "--filter", "any fact: form:powder, -feel:greasy, ph<4 (repeat)", true);
  AddValue(find, filled, "--keep", "a claim to keep (repeat)", true);
  AddValue(find, filled, "--limit", "how many results (20)");
}

void AddShow(CLI::App& show, Filled& filled) {
  show.add_option("name", filled.words, "any of its names");
}

void AddCompare(CLI::App& compare, Filled& filled) {
  compare.add_option("names", filled.words, "their names; quote those of several words");
}

void AddSwap(CLI::App& swap, Filled& filled) {
  swap.add_option("name", filled.words, "the ingredient that is missing (several: all of them)");
  AddSetting(swap, filled);
  AddValue(swap, filled, "--role", "the function that it plays, where the formula does not show it");
  AddValue(swap, filled, "--keep", "a claim to keep (repeat)", true);
  AddFlag(swap, filled, "--on-shelf", "only what is on the shelf");
  AddValue(swap, filled, "--why-not", "an ingredient to be answered for (repeat)", true);
  AddValue(swap, filled, "--limit", "how many stand-ins (8)");
  AddFlag(swap, filled, "--rebalance",
          "move the other lines as little as keeps the oil phase, HLB, pH, limits and usual levels");
  swap.add_option_function<std::string>(
      "--sheet",
      [&filled](const std::string& file) {
        filled.formula_file = file;
        filled.values.emplace_back("sheet", "true");
      },
      "stand-ins for every line of this formula");
  AddValue(swap, filled, "--format", "of a sheet: text, markdown or html");
}

void AddPlace(CLI::App& place, Filled& filled) {
  place.add_option("name", filled.words, "any of its names");
  AddSetting(place, filled);
  place
      .add_option_function<std::vector<std::string>>(
          "--described",
          [&filled](const std::vector<std::string>& facts) {
            for (const std::string& fact : facts) filled.values.emplace_back("described", fact);
          },
          "facts, key=value: form, water_g_per_l, water_class, oil, melting_c, max_c, log_p, function, "
          "charge, smiles ...")
      ->take_all();
}

void AddLabel(CLI::App& label, Filled& filled) {
  label.add_option("formula", filled.formula_file, "formula file")->required();
  AddValue(label, filled, "--kind", "kind of product, where the file does not say");
}

void AddCheck(CLI::App& check, Filled& filled) {
  check.add_option("formula", filled.formula_file, "formula file")->required();
  AddValue(check, filled, "--kind", "kind of product, where the file does not say");
  AddValue(check, filled, "--to-ph", "pH to be reached, in place of the file's target");
  AddValue(check, filled, "--with", "the acid or base that is to bring it there: its dose is said");
}

void AddWeigh(CLI::App& weigh, Filled& filled) {
  weigh.add_option("formula", filled.formula_file, "formula file")->required();
  AddValue(weigh, filled, "--batch", "how much to make: 500g, 1.5 kg");
  AddValue(weigh, filled, "--scale", "what the scale shows: 0.1g (as given), 0.01g, 10 mg");
  AddValue(weigh, filled, "--kind", "kind of product, where the file does not say");
}

struct CommandLine {
  const char* name;
  const char* help;
  void (*add_options)(CLI::App&, Filled&);
};

constexpr CommandLine kCommandLines[] = {
    {"find", "ingredients and functions by name or by words", AddFind},
    {"show", "an ingredient or a function, with sources", AddShow},
    {"compare", "two to five ingredients side by side", AddCompare},
    {"swap", "what stands in for an ingredient, and what the swap changes", AddSwap},
    {"place", "which phase an ingredient or a stranger goes into, and how", AddPlace},
    {"label", "the INCI list, in order, with the allergens to be named", AddLabel},
    {"check", "everything that follows from a formula", AddCheck},
    {"weigh", "grams a line for a batch, and how it is made", AddWeigh},
};

// All commands, for --help; but options only of the one that is asked for: declaring those of all takes longer than reading them.
void AddCommands(CLI::App& app, Filled& filled, std::string_view asked) {
  for (const CommandLine& line : kCommandLines) {
    CLI::App* command = AddCommand(app, filled, line.name, line.help);
    if (asked == line.name) line.add_options(*command, filled);
  }
}

int Run(const Filled& filled) {
  const query::Command* command = query::FindCommand(filled.command);
  if (command == nullptr)
    return Fail(Mistake("no such command", filled.command, "see stillroom --help"), filled.json);
  query::Params params;
  params.values = filled.values;
  // The words of a query, or of one name typed without quotes, belong together; swap and compare take several names.
  if (filled.command == "swap" || filled.command == "compare") {
    for (const std::string& word : filled.words) params.values.emplace_back("name", word);
  } else {
    params.values.emplace_back(filled.command == "find" ? "q" : "name",
                               fmt::format("{}", fmt::join(filled.words, " ")));
  }
  if (!filled.formula_file.empty()) {
    params.formula_text = ReadFile(filled.formula_file);
    params.formula_name = filled.formula_file;
    if (!params.formula_text) {
      return Fail(Mistake("the file cannot be read", filled.formula_file,
                          "a formula file: phase, ingredient, percent"),
                  filled.json);
    }
  }
  // Kept until the program ends: taking it to pieces before would only cost time.
  static const query::Base& base =
      *query::OpenBase(filled.base_root.empty() ? kb::DefaultBaseRoot()
                                                : std::filesystem::path(filled.base_root))
           .release();
  const auto reply =
      command->answer(base, params, filled.json ? query::Want::kJson : query::Want::kText, LookOfTerminal());
  if (!reply) return Fail(reply.error(), filled.json);
  std::cout << reply->body;
  if (filled.json) std::cout << '\n';
  std::cout.flush();
  return reply->found ? kAnswered : kNothingFound;
}

// CLI11 has exit codes and words of its own for what a person typed wrong; these are the contract's.
int Misused(const CLI::App& app, const CLI::ParseError& error, int count, char** words) {
  const std::vector<std::string> given(words + 1, words + count);
  const bool json = std::find(given.begin(), given.end(), "--json") != given.end();
  if (!given.empty() && !given.front().empty() && given.front()[0] != '-') {
    std::vector<std::string> known;
    for (const CLI::App* command : app.get_subcommands(nullptr)) known.push_back(command->get_name());
    if (std::find(known.begin(), known.end(), given.front()) == known.end()) {
      return Fail(
          Mistake(fmt::format("no command named '{}'", given.front()), "command line",
                  fmt::format("one of {}", fmt::join(known, ", ")), kb::Nearest(given.front(), known, 2)),
          json);
    }
  }
  return Fail(Mistake(error.what(), "command line", "see stillroom --help, or stillroom COMMAND --help"),
              json);
}

}  // namespace

// NOLINTNEXTLINE(bugprone-exception-escape): an option that cannot be declared is a fault of the program
int main(int count, char** words) {
  std::signal(SIGPIPE, SIG_DFL);  // a reader that has seen enough is no error
  CLI::App app("stillroom: what an ingredient does, what can stand in for it, and what the swap changes",
               "stillroom");
  app.set_version_flag("--version", std::string("stillroom ") + STILLROOM_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Exit: 0 answered, 1 nothing found, 2 the question or the input is wrong.\n"
      "Formulas are no medical advice; measure pH, challenge-test what holds water, check the code of your "
      "country.");
  Filled filled;
  AddCommands(app, filled, count > 1 ? words[1] : "");
  try {
    app.parse(count, words);
  } catch (const CLI::Success& success) {
    return app.exit(success);  // --help and --version
  } catch (const CLI::ParseError& error) {
    return Misused(app, error, count, words);
  }
  try {
    return Run(filled);
  } catch (const kb::StoreError& error) {
    return Fail(Mistake(error.what(), "base", "a base that stillroom-index has built"), filled.json);
  } catch (const std::exception& error) {
    return Fail(Mistake(error.what(), "stillroom", "a working machine: this is a fault of ours"),
                filled.json);
  }
}
