// What is in stock, in an SQLite file of its own: the only thing that the server writes, and the only place that speaks SQL for it.
// WAL, foreign keys, synchronous=FULL: what was answered "saved" is there after the plug is pulled.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace server {

inline constexpr int kShelfVersion = 2;

// The file cannot be read or written; what() says what to do and names no path.
class ShelfError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

// One jar. Dates are yyyy-mm-dd or "".
struct Jar {
  std::int64_t number = 0;            // 0: not on the shelf yet
  std::string ingredient;             // id in the base
  double amount_g = 0;                // what is left, g, 0..1e7
  std::optional<double> cost_per_kg;  // in the user's currency, 0..1e7
  std::string lot;
  std::string opened, best_before;
  std::optional<double> low_below_g;  // below this it runs low
  std::string note;
};

class Shelf {
 public:
  // Opens the file, makes it where there is none, brings an older one up to this version. Throws ShelfError, also for a newer one.
  explicit Shelf(const std::filesystem::path& file);
  ~Shelf();

  // All from any thread; all throw ShelfError.
  std::vector<Jar> All() const;
  // Writes every jar or none: number 0 adds one, another number replaces that jar. false: a number that is not there.
  bool Save(const std::vector<Jar>& jars);
  bool Remove(std::int64_t number);
  // A whole copy as of now, while others read and write. The target must not exist.
  void BackUp(const std::filesystem::path& to) const;
  // Rises with every change.
  std::uint64_t Revision() const { return revision_; }

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
  std::atomic<std::uint64_t> revision_{1};
};

// Why a jar runs low, for people; "" where it does not. `today` as yyyy-mm-dd.
std::string RunningLow(const Jar& jar, const std::string& today);

// yyyy-mm-dd of this day, UTC.
std::string Today();
bool IsDate(const std::string& text);

}  // namespace server
