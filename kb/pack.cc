#include "kb/pack.h"

#include <concepts>
#include <cstdint>
#include <cstring>
#include <type_traits>
#include <utility>

namespace kb {
namespace {

template <class T, class Record>
concept Is = std::same_as<std::remove_const_t<T>, Record>;

// The members of every record, once: packing and unpacking walk over the same list.
void Members(Is<Component> auto& it, auto&& walk) {
  walk(it.ingredient, it.inci, it.pct, it.source);
}
void Members(Is<Ingredient> auto& it, auto&& walk) {
  walk(it.id, it.inci, it.name, it.also, it.label_names, it.cas, it.ec, it.functions, it.composition);
}
void Members(Is<Range> auto& it, auto&& walk) {
  walk(it.low, it.high);
}
void Members(Is<Fact> auto& it, auto&& walk) {
  walk(it.property, it.number, it.at_c, it.key, it.text, it.context, it.function, it.at, it.note, it.source,
       it.standing, it.basis);
}
void Members(Is<Property> auto& it, auto&& walk) {
  walk(it.id, it.kind, it.group, it.unit, it.low, it.high, it.choices, it.ordered, it.keys, it.classes,
       it.help, it.more, it.less);
}
void Members(Is<Source> auto& it, auto&& walk) {
  walk(it.key, it.kind, it.title, it.where, it.year, it.note, it.standing);
}
void Members(Is<Comparison> auto& it, auto&& walk) {
  walk(it.property, it.weight, it.scale, it.ratio, it.better);
}
void Members(Is<FunctionCard> auto& it, auto&& walk) {
  walk(it.what, it.choose, it.levels, it.wrong, it.sources);
}
void Members(Is<Requirement> auto& it, auto&& walk) {
  walk(it.property, it.any, it.none, it.in, it.because);
}
void Members(Is<Function> auto& it, auto&& walk) {
  walk(it.id, it.name, it.group, it.also, it.inventory, it.required, it.wanted, it.compare, it.requires_,
       it.same, it.near, it.level_law, it.swap, it.swap_note, it.forms, it.supply, it.card);
}
void Members(Is<ChemicalClass> auto& it, auto&& walk) {
  walk(it.id, it.family);
}
void Members(Is<ClaimRule> auto& it, auto&& walk) {
  walk(it.id, it.text, it.broken_by_class, it.broken_by_origin, it.broken_by_function, it.broken_by_inci,
       it.kept_by_origin, it.burden, it.burden_factor, it.assume_kept);
}
void Members(Is<Limit> auto& it, auto&& walk) {
  walk(it.substance, it.jurisdiction, it.annex, it.entry, it.max_pct, it.expressed_as, it.factor, it.scope,
       it.uses, it.forms, it.conditions, it.source, it.at, it.prohibited);
}
void Members(Is<ConflictSide> auto& it, auto&& walk) {
  walk(it.ingredients, it.functions, it.classes, it.charges, it.condition);
}
void Members(Is<Conflict> auto& it, auto&& walk) {
  walk(it.id, it.a, it.b, it.severity, it.text, it.advice, it.source);
}
void Members(Is<PlacingTerm> auto& it, auto&& walk) {
  walk(it.name, it.sign, it.values, it.number);
}
void Members(Is<PlacingRule> auto& it, auto&& walk) {
  walk(it.id, it.when, it.terms, it.weights, it.out, it.says, it.at, it.method, it.right, it.wrong, it.watch,
       it.source);
}
void Members(Is<BenchOutcome> auto& it, auto&& walk) {
  walk(it.sees, it.sets, it.share);
}
void Members(Is<BenchTest> auto& it, auto&& walk) {
  walk(it.id, it.fact, it.when, it.terms, it.how, it.outcomes);
}
void Members(Is<Placing> auto& it, auto&& walk) {
  walk(it.prior, it.rules, it.tests);
}
void Members(Is<SavedFormula> auto& it, auto&& walk) {
  walk(it.folder, it.id, it.text);
}
void Members(Is<Phrase> auto& it, auto&& walk) {
  walk(it.id, it.words, it.ask, it.filters, it.wants, it.functions, it.look_for, it.idle);
}

// The greatest value of an enumeration that may stand in a base.
template <class Enum>
constexpr Enum kLast = Enum{};
template <>
constexpr Standing kLast<Standing> = Standing::kMemory;
template <>
constexpr Basis kLast<Basis> = Basis::kComputed;
template <>
constexpr ValueKind kLast<ValueKind> = ValueKind::kText;

class Packer {
 public:
  void Put(const std::integral auto& number) {
    auto rest = static_cast<std::uint64_t>(number);
    while (rest >= 0x80) {
      out_ += static_cast<char>((rest & 0x7FU) | 0x80U);
      rest >>= 7U;
    }
    out_ += static_cast<char>(rest);
  }
  void Put(double real) {
    char bytes[sizeof real];
    std::memcpy(bytes, &real, sizeof real);
    out_.append(bytes, sizeof real);
  }
  void Put(const std::string& text) {
    Put(text.size());
    out_ += text;
  }
  template <class T>
  void Put(const std::vector<T>& list) {
    Put(list.size());
    for (const T& item : list) Put(item);
  }
  template <class T>
  void Put(const std::optional<T>& item) {
    Put(item.has_value());
    if (item) Put(*item);
  }
  template <class T>
  void Put(const T& item) {
    if constexpr (std::is_enum_v<T>) {
      Put(static_cast<std::uint64_t>(item));
    } else {
      Members(item, [&](const auto&... member) { (Put(member), ...); });
    }
  }
  std::string Take() { return std::move(out_); }

 private:
  std::string out_;
};

class Unpacker {
 public:
  explicit Unpacker(std::string_view bytes) : bytes_(bytes) {}

  bool IsGoodToTheEnd() const { return good_ && bytes_.empty(); }

  void Get(std::integral auto& number) {
    number = static_cast<std::remove_reference_t<decltype(number)>>(Number());
  }
  void Get(double& real) {
    if (bytes_.size() < sizeof real) return Fail();
    std::memcpy(&real, bytes_.data(), sizeof real);
    bytes_.remove_prefix(sizeof real);
  }
  void Get(std::string& text) {
    const std::uint64_t size = Number();
    if (size > bytes_.size()) return Fail();
    if (size > 0) text = std::string(bytes_.data(), size);
    bytes_.remove_prefix(size);
  }
  template <class T>
  void Get(std::vector<T>& list) {
    const std::uint64_t size = Number();
    if (size > bytes_.size()) return Fail();  // each takes a byte at least
    list.resize(size);
    for (auto&& item : list) {
      if constexpr (std::same_as<T, bool>) {
        item = Number() != 0;
      } else {
        Get(item);
      }
    }
  }
  template <class T>
  void Get(std::optional<T>& item) {
    if (Number() != 0) Get(item.emplace());
  }
  template <class T>
  void Get(T& item) {
    if constexpr (std::is_enum_v<T>) {
      const std::uint64_t number = Number();
      if (number > static_cast<std::uint64_t>(kLast<T>)) return Fail();
      item = static_cast<T>(number);
    } else {
      Members(item, [&](auto&... member) { (Get(member), ...); });
    }
  }

 private:
  std::uint64_t Number() {
    std::uint64_t number = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
      if (bytes_.empty()) break;
      const auto byte = static_cast<unsigned char>(bytes_.front());
      bytes_.remove_prefix(1);
      number |= std::uint64_t{byte & 0x7FU} << shift;
      if (byte < 0x80) return number;
    }
    Fail();
    return 0;
  }
  void Fail() {
    good_ = false;
    bytes_ = {};
  }

  std::string_view bytes_;
  bool good_ = true;
};

template <class T>
std::string Packed(const T& item) {
  Packer out;
  out.Put(item);
  return out.Take();
}

template <class T>
bool Unpacked(std::string_view bytes, T& out) {
  Unpacker in(bytes);
  in.Get(out);
  return in.IsGoodToTheEnd();
}

}  // namespace

std::string Pack(const Ingredient& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Fact>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Property>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Source>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Function>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<ChemicalClass>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<ClaimRule>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Limit>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<Conflict>& item) {
  return Packed(item);
}
std::string Pack(const std::vector<SavedFormula>& item) {
  return Packed(item);
}
std::string Pack(const Phrase& item) {
  return Packed(item);
}
std::string Pack(const Placing& item) {
  return Packed(item);
}

bool Unpack(std::string_view bytes, Ingredient& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Fact>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Property>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Source>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Function>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<ChemicalClass>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<ClaimRule>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Limit>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<Conflict>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, std::vector<SavedFormula>& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, Phrase& out) {
  return Unpacked(bytes, out);
}
bool Unpack(std::string_view bytes, Placing& out) {
  return Unpacked(bytes, out);
}

}  // namespace kb
