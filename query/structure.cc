#include "query/structure.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <vector>

#include "kb/text.h"

namespace query {
namespace {

constexpr std::chrono::milliseconds kTimeLimit{3000};  // of one run
constexpr std::size_t kMostOutput = 4096;

std::optional<std::string> FindToolkit() {
  const char* path = std::getenv("PATH");  // NOLINT(concurrency-mt-unsafe): nothing here ever sets it
  if (path == nullptr) return std::nullopt;
  for (const std::string& folder : kb::SplitTrimmed(path, ':')) {
    const std::filesystem::path file = std::filesystem::path(folder) / "obabel";
    if (!folder.empty() && folder.front() == '/' && access(file.c_str(), X_OK) == 0) return file.string();
  }
  return std::nullopt;
}

// A file descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { Close(); }
  void Close() {
    if (number_ >= 0) close(number_);
    number_ = -1;
  }
  int number() const { return number_; }

 private:
  int number_;
};

// The child with its output going into `out`; nullopt where it cannot be started.
std::optional<pid_t> Start(const std::vector<std::string>& words, int out) {
  std::vector<char*> arguments;
  for (const std::string& word : words)
    arguments.push_back(const_cast<char*>(word.c_str()));  // NOLINT: execve's old type
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  if (posix_spawn_file_actions_init(&actions) != 0) return std::nullopt;
  pid_t child = 0;
  const bool started =
      posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0) == 0 &&
      posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0) == 0 &&
      posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO) == 0 &&
      posix_spawn(&child, words.front().c_str(), &actions, nullptr, arguments.data(), environ) == 0;
  posix_spawn_file_actions_destroy(&actions);
  return started ? std::optional(child) : std::nullopt;
}

// What the program prints, within the time limit; nullopt where it failed, ran too long or printed too much.
std::optional<std::string> Output(const std::vector<std::string>& words) {
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0) return std::nullopt;
  const Descriptor reads(ends[0]);
  Descriptor writes(ends[1]);
  const auto child = Start(words, writes.number());
  writes.Close();
  if (!child) return std::nullopt;
  std::string text;
  bool ended = false;
  const auto end = std::chrono::steady_clock::now() + kTimeLimit;
  while (!ended && text.size() < kMostOutput) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(end - std::chrono::steady_clock::now());
    pollfd wait{reads.number(), POLLIN, 0};
    if (left.count() <= 0 || poll(&wait, 1, static_cast<int>(left.count())) <= 0) break;
    std::array<char, 512> buffer{};
    const ssize_t count = read(reads.number(), buffer.data(), buffer.size());
    if (count <= 0) ended = true;
    if (count > 0) text.append(buffer.data(), static_cast<std::size_t>(count));
  }
  if (!ended) kill(*child, SIGKILL);
  int status = 0;
  if (waitpid(*child, &status, 0) != *child || !ended || !WIFEXITED(status) || WEXITSTATUS(status) != 0)
    return std::nullopt;
  return text;
}

std::optional<double> Number(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

// "C4H4O4--" is twice negative.
int ChargeOf(std::string_view formula) {
  int charge = 0;
  while (!formula.empty() && (formula.back() == '+' || formula.back() == '-')) {
    charge += formula.back() == '+' ? 1 : -1;
    formula.remove_suffix(1);
  }
  return charge;
}

tl::unexpected<StructureRefusal> Refuse(StructureTrouble why, std::string text) {
  return tl::unexpected(StructureRefusal{why, std::move(text)});
}

}  // namespace

bool MayBeSmiles(std::string_view smiles) {
  constexpr std::string_view kSigns = "@+-[]()=#$:/\\.%*~";
  if (smiles.empty() || smiles.size() > kLongestSmiles) return false;
  for (const char c : smiles) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    if (!letter && kSigns.find(c) == std::string_view::npos) return false;
  }
  return true;
}

tl::expected<StructureEstimate, StructureRefusal> EstimateFromSmiles(std::string_view smiles, double ph) {
  if (!MayBeSmiles(smiles)) {
    return Refuse(StructureTrouble::kNotSmiles,
                  fmt::format("'{}' is no SMILES", kb::IsUtf8(smiles) ? smiles.substr(0, 60) : "the text"));
  }
  const auto toolkit = FindToolkit();
  if (!toolkit) {
    return Refuse(StructureTrouble::kNoToolkit,
                  "Nothing was estimated from the structure: no chemistry toolkit is installed (Debian "
                  "package openbabel).");
  }
  const std::string molecule = "-:" + std::string(smiles);
  const auto neutral = Output({*toolkit, molecule, "-otxt", "--append", "MW logP"});
  const auto charged =
      Output({*toolkit, molecule, "-p", fmt::format("{:.1f}", ph), "-otxt", "--append", "formula"});
  if (!neutral || !charged)
    return Refuse(StructureTrouble::kNoAnswer, "The chemistry toolkit gave no answer in time.");
  const std::vector<std::string> words = kb::SplitTrimmed(kb::Trim(*neutral), ' ');
  const auto mass = words.size() == 2 ? Number(words[0]) : std::nullopt;
  const auto log_p = words.size() == 2 ? Number(words[1]) : std::nullopt;
  if (!mass || !log_p || *mass <= 0)
    return Refuse(StructureTrouble::kNotSmiles,
                  fmt::format("the chemistry toolkit cannot read the SMILES '{}'", smiles));
  return StructureEstimate{*log_p, *mass, ChargeOf(kb::Trim(*charged))};
}

}  // namespace query
