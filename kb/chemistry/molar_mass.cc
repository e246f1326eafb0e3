#include "kb/chemistry/molar_mass.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>

namespace kb::chemistry {
namespace {

struct Element {
  std::string_view symbol;
  double weight;
  int ion = 0;  // charge of the ion of a metal that has only one
};
constexpr std::array kElements = {
    Element{"H", 1.0080},     Element{"Li", 6.94, 1},   Element{"B", 10.81},      Element{"C", 12.011},
    Element{"N", 14.007},     Element{"O", 15.999},     Element{"F", 18.998},     Element{"Na", 22.990, 1},
    Element{"Mg", 24.305, 2}, Element{"Al", 26.982, 3}, Element{"Si", 28.085},    Element{"P", 30.974},
    Element{"S", 32.06},      Element{"Cl", 35.45},     Element{"K", 39.098, 1},  Element{"Ca", 40.078, 2},
    Element{"Ti", 47.867},    Element{"Cr", 51.996},    Element{"Mn", 54.938},    Element{"Fe", 55.845},
    Element{"Co", 58.933},    Element{"Cu", 63.546},    Element{"Zn", 65.38, 2},  Element{"Se", 78.971},
    Element{"Br", 79.904},    Element{"Sr", 87.62, 2},  Element{"Zr", 91.224},    Element{"Ag", 107.87},
    Element{"Sn", 118.71},    Element{"I", 126.90},     Element{"Ba", 137.33, 2}, Element{"Ce", 140.12},
    Element{"Au", 196.97},    Element{"Bi", 208.98},
};

constexpr std::size_t kLongest = 200;
constexpr int kDeepest = 8;
constexpr double kGreatestNumber = 99999;
constexpr std::string_view kMiddleDot = "\xC2\xB7";

bool IsDigit(char c) {
  return c >= '0' && c <= '9';
}
bool IsUpper(char c) {
  return c >= 'A' && c <= 'Z';
}
bool IsLower(char c) {
  return c >= 'a' && c <= 'z';
}

// Reads left to right, once. The first trouble is kept in `error_` and stops everything.
class Reader {
 public:
  // `value` of each atom is summed up.
  Reader(std::string_view text, double (*value)(const Element&)) : text_(text), value_(value) {}

  tl::expected<double, OutOfRange> Read() {
    double total = 0;
    do {
      const double times = Number(true).value_or(1);
      total += times * Group(0, '\0');
    } while (!error_ && TakeDot());
    if (!error_ && at_ < text_.size()) Fail(at_, "a closing bracket without an opening one");
    if (error_) return tl::unexpected(*error_);
    return total;
  }

 private:
  [[nodiscard]] char Now() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  [[nodiscard]] bool AtDot() const { return Now() == '.' || text_.substr(at_, 2) == kMiddleDot; }

  bool TakeDot() {
    if (!AtDot()) return false;
    at_ += Now() == '.' ? 1 : kMiddleDot.size();
    return true;
  }

  void Fail(std::size_t where, std::string_view why) {
    if (error_) return;
    error_ = OutOfRange{fmt::format("formula '{}', character {}: {}", text_, where + 1, why)};
  }

  // Atoms and bracketed groups up to `closing`, a dot, or the end.
  double Group(int depth, char closing) {
    const std::size_t start = at_;
    double sum = 0;
    while (!error_ && at_ < text_.size() && !AtDot() && Now() != ')' && Now() != ']') {
      const double item = Now() == '(' || Now() == '[' ? Bracketed(depth + 1) : Atom();
      sum += item * Number(false).value_or(1);
    }
    if (!error_ && at_ == start) Fail(at_, "expected an element symbol such as C, Na or Cl");
    if (!error_ && closing != '\0' && Now() != closing) {
      Fail(at_, fmt::format("expected '{}' to close the bracket", closing));
    }
    return sum;
  }

  double Bracketed(int depth) {
    if (depth > kDeepest) {
      Fail(at_, fmt::format("brackets more than {} deep", kDeepest));
      return 0;
    }
    const char closing = Now() == '(' ? ')' : ']';
    ++at_;
    const double mass = Group(depth, closing);
    if (!error_) ++at_;
    return mass;
  }

  double Atom() {
    if (!IsUpper(Now())) {
      Fail(at_, IsLower(Now())   ? "an element symbol begins with a capital letter"
                : IsDigit(Now()) ? "a number without an element before it"
                                 : "expected an element symbol such as C, Na or Cl");
      return 0;
    }
    const std::size_t length = at_ + 1 < text_.size() && IsLower(text_[at_ + 1]) ? 2 : 1;
    const std::string_view symbol = text_.substr(at_, length);
    const auto found = std::find_if(kElements.begin(), kElements.end(),
                                    [&](const Element& e) { return e.symbol == symbol; });
    if (found == kElements.end()) {
      Fail(at_, fmt::format("'{}' is not an element known here", symbol));
      return 0;
    }
    at_ += length;
    return value_(*found);
  }

  // A number if one stands here. Only in front of a part may it have decimals (half a mole of water).
  std::optional<double> Number(bool with_decimals) {
    if (!IsDigit(Now())) return std::nullopt;
    const std::size_t start = at_;
    double value = 0;
    while (IsDigit(Now()) && value <= kGreatestNumber) value = 10 * value + (text_[at_++] - '0');
    if (with_decimals && Now() == '.' && at_ + 1 < text_.size() && IsDigit(text_[at_ + 1])) {
      ++at_;
      for (double place = 0.1; IsDigit(Now()); place /= 10) value += place * (text_[at_++] - '0');
    }
    if (value == 0) Fail(start, "a number of zero");
    if (value > kGreatestNumber) Fail(start, fmt::format("a number above {}", kGreatestNumber));
    return value;
  }

  std::string_view text_;
  double (*value_)(const Element&);
  std::size_t at_ = 0;
  std::optional<OutOfRange> error_;
};

tl::expected<double, OutOfRange> Sum(std::string_view formula, double (*value)(const Element&)) {
  if (formula.empty()) return tl::unexpected(OutOfRange{"formula is empty, expected something like C6H8O7"});
  if (formula.size() > kLongest) {
    return tl::unexpected(
        OutOfRange{fmt::format("formula has {} characters, at most {}", formula.size(), kLongest)});
  }
  return Reader(formula, value).Read();
}

}  // namespace

tl::expected<double, OutOfRange> MolarMass(std::string_view formula) {
  return Sum(formula, [](const Element& element) { return element.weight; });
}

tl::expected<int, OutOfRange> MetalCharge(std::string_view formula) {
  return Sum(formula, [](const Element& element) { return static_cast<double>(element.ion); })
      .map([](double charge) { return static_cast<int>(std::lround(charge)); });
}

}  // namespace kb::chemistry
