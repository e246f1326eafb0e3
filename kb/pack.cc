#include "kb/pack.h"

#include <cstdint>
#include <cstring>
#include <type_traits>
#include <vector>

namespace kb {
namespace {

class Packer {
 public:
  void Put(std::uint64_t number) {
    while (number >= 0x80) {
      out_ += static_cast<char>((number & 0x7FU) | 0x80U);
      number >>= 7U;
    }
    out_ += static_cast<char>(number);
  }
  void Put(double real) {
    char bytes[sizeof real];
    std::memcpy(bytes, &real, sizeof real);
    out_.append(bytes, sizeof real);
  }
  void Put(const std::string& text) {
    Put(std::uint64_t{text.size()});
    out_ += text;
  }
  template <class T>
  void Put(const std::vector<T>& list) {
    Put(std::uint64_t{list.size()});
    for (const T& item : list) Put(item);
  }
  void Put(FunctionIx ix) { Put(std::uint64_t{ix}); }
  void Put(const Component& part) {
    // 0 is no record.
    Put(part.ingredient ? std::uint64_t{*part.ingredient} + 1 : std::uint64_t{0});
    Put(part.inci);
    Put(part.pct);
    Put(std::uint64_t{part.source});
  }
  void Put(const Fact& fact) {
    Put(std::uint64_t{fact.property});
    Put(std::uint64_t{(fact.number ? 1U : 0U) | (fact.at_c ? 2U : 0U)} |
        std::uint64_t{static_cast<std::uint8_t>(fact.basis)} << 2U);
    if (fact.number) Put(fact.number->low), Put(fact.number->high);
    if (fact.at_c) Put(*fact.at_c);
    Put(fact.key), Put(fact.text), Put(fact.context), Put(fact.function), Put(fact.at), Put(fact.note);
    Put(std::uint64_t{fact.source});
    Put(static_cast<std::uint64_t>(fact.standing));
  }
  std::string Take() { return std::move(out_); }

 private:
  std::string out_;
};

class Unpacker {
 public:
  explicit Unpacker(std::string_view bytes) : bytes_(bytes) {}

  bool good() const { return good_; }
  bool AtEnd() const { return bytes_.empty(); }

  std::uint64_t Number() {
    std::uint64_t number = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
      if (bytes_.empty()) return Fail();
      const auto byte = static_cast<unsigned char>(bytes_.front());
      bytes_.remove_prefix(1);
      number |= std::uint64_t{byte & 0x7FU} << shift;
      if (byte < 0x80) return number;
    }
    return Fail();
  }
  template <class T>
  void Get(T& number) requires std::is_unsigned_v<T> {
    number = static_cast<T>(Number());
  }
  void Get(double& real) {
    if (bytes_.size() < sizeof real) return static_cast<void>(Fail());
    std::memcpy(&real, bytes_.data(), sizeof real);
    bytes_.remove_prefix(sizeof real);
  }
  void Get(std::string& text) {
    const std::uint64_t size = Number();
    if (size > bytes_.size()) return static_cast<void>(Fail());
    text.assign(bytes_.data(), size);
    bytes_.remove_prefix(size);
  }
  template <class T>
  void Get(std::vector<T>& list) {
    const std::uint64_t size = Number();
    if (size > bytes_.size()) return static_cast<void>(Fail());  // each takes a byte at least
    list.resize(size);
    for (T& item : list) Get(item);
  }
  void Get(Component& part) {
    if (const std::uint64_t record = Number(); record > 0)
      part.ingredient = static_cast<IngredientIx>(record - 1);
    Get(part.inci);
    Get(part.pct);
    Get(part.source);
  }
  void Get(Fact& fact) {
    Get(fact.property);
    const std::uint64_t has = Number();
    if ((has & 1U) != 0) {
      fact.number.emplace();
      Get(fact.number->low), Get(fact.number->high);
    }
    if ((has & 2U) != 0) Get(fact.at_c.emplace());
    if (has >> 2U > static_cast<std::uint64_t>(Basis::kComputed)) return static_cast<void>(Fail());
    fact.basis = static_cast<Basis>(has >> 2U);
    Get(fact.key), Get(fact.text), Get(fact.context), Get(fact.function), Get(fact.at), Get(fact.note);
    Get(fact.source);
    const std::uint64_t standing = Number();
    if (standing > static_cast<std::uint64_t>(Standing::kMemory)) return static_cast<void>(Fail());
    fact.standing = static_cast<Standing>(standing);
  }

 private:
  std::uint64_t Fail() {
    good_ = false;
    bytes_ = {};
    return 0;
  }

  std::string_view bytes_;
  bool good_ = true;
};

}  // namespace

std::string Pack(const Ingredient& item) {
  Packer out;
  for (const std::string* text : {&item.id, &item.inci, &item.name}) out.Put(*text);
  for (const auto* list : {&item.also, &item.label_names, &item.cas, &item.ec}) out.Put(*list);
  out.Put(item.functions);
  out.Put(item.composition);
  out.Put(item.facts);
  return out.Take();
}

std::optional<Ingredient> Unpack(std::string_view bytes) {
  Unpacker in(bytes);
  Ingredient item;
  for (std::string* text : {&item.id, &item.inci, &item.name}) in.Get(*text);
  for (auto* list : {&item.also, &item.label_names, &item.cas, &item.ec}) in.Get(*list);
  in.Get(item.functions);
  in.Get(item.composition);
  in.Get(item.facts);
  if (!in.good() || !in.AtEnd()) return std::nullopt;
  return item;
}

}  // namespace kb
