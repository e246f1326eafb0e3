// stillroom-index: data/ -> base/
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <string>

#include "indexer/run.h"
#include "kb/base.h"

namespace {

constexpr int kWrong = 2;    // the command line or the data
constexpr int kRefused = 1;  // the disk

int Main(int argc, char** argv) {
  CLI::App app(
      "Builds the base of Stillroom from its data: reads, checks, writes and puts it into service in one "
      "step.",
      "stillroom-index");
  indexer::Options options;
  options.data = indexer::DefaultData();
  options.base = kb::DefaultBaseRoot();
  app.add_option("--data", options.data, "Folder of the data (ingredients/, properties.toml ...)")
      ->capture_default_str();
  app.add_option("--base", options.base, "Folder of the bases; the new one becomes 'current' in it")
      ->capture_default_str();
  app.add_option("--inventory", options.inventory,
                 "The EU inventory of names, official export or inci_name,cas_number,einecs_number,function");
  app.add_flag("--check", options.check, "Check the data and build nothing");
  auto* report = app.add_flag("--report", options.report,
                              "Print which facts are held and how far to trust them; builds nothing");
  app.add_flag("--json", options.json, "The report as one JSON document")->needs(report);
  app.set_version_flag("--version", "stillroom-index " STILLROOM_VERSION);
  app.footer(
      "Exit: 0 done, 1 the disk refused, 2 the data or the command line is wrong (nothing was built).");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    // CLI11 has codes of its own; ours are 0 for help and version, 2 for a mistake.
    return app.exit(error) == 0 ? 0 : kWrong;
  }
  return indexer::Run(options, std::cout, std::cerr, isatty(STDERR_FILENO) != 0);
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return Main(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "stillroom-index: " << error.what() << '\n';  // never throws, also where stderr is closed
    return kRefused;
  }
}
