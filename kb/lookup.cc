#include "kb/lookup.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <utility>
#include <vector>

#include "kb/catalogue.h"
#include "kb/flat_list.h"
#include "kb/mapped_file.h"
#include "kb/text.h"

namespace kb {
namespace {

constexpr std::string_view kLookupMark = "lookup 1";
static_assert(kLookupMark.size() == kFlatStep);

// Of each ingredient what its most trusted fact says; 0 where there is none.
std::vector<double> Commonness(const CatalogueParts& parts) {
  std::vector<double> out(parts.ingredients.size());
  const auto property = std::find_if(parts.properties.begin(), parts.properties.end(),
                                     [](const Property& item) { return item.id == "commonness"; });
  const auto ix = static_cast<PropertyIx>(property - parts.properties.begin());
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Fact* best = nullptr;
    for (const Fact& fact : parts.ingredients[i].facts) {
      if (fact.property == ix && (best == nullptr || fact.standing < best->standing)) best = &fact;
    }
    if (best != nullptr && best->number) out[i] = best->number->mid();
  }
  return out;
}

void AppendFunctions(const CatalogueParts& parts, std::string& out) {
  std::vector<std::uint32_t> ends;
  std::vector<FunctionIx> functions;
  for (const Ingredient& item : parts.ingredients) {
    functions.insert(functions.end(), item.functions.begin(), item.functions.end());
    ends.push_back(static_cast<std::uint32_t>(functions.size()));
  }
  AppendList<std::uint32_t>(out, ends);
  AppendList<FunctionIx>(out, functions);
}

// Of a word that two bear the first one's stays.
void AppendIds(const CatalogueParts& parts, std::string& out) {
  FlatWords::Maker ids;
  std::vector<IngredientIx> ingredients;
  for (std::size_t i = 0; i < parts.ingredients.size(); ++i) {
    if (ids.Add(parts.ingredients[i].id) == ingredients.size())
      ingredients.push_back(static_cast<IngredientIx>(i));
  }
  ids.AppendTo(out);
  AppendList<IngredientIx>(out, ingredients);
}

void AppendFunctionNames(const CatalogueParts& parts, std::string& out) {
  FlatWords::Maker names;
  std::vector<FunctionIx> functions;
  for (std::size_t i = 0; i < parts.functions.size(); ++i) {
    const auto add = [&](const std::string& name) {
      if (names.Add(Fold(name)) == functions.size()) functions.push_back(static_cast<FunctionIx>(i));
    };
    add(parts.functions[i].id);
    add(parts.functions[i].name);
    for (const std::string& name : parts.functions[i].also) add(name);
  }
  names.AppendTo(out);
  AppendList<FunctionIx>(out, functions);
}

std::string BytesOf(const CatalogueParts& parts) {
  std::string out(kLookupMark);
  const Lookup::Sizes sizes = {static_cast<std::uint32_t>(parts.properties.size()),
                               static_cast<std::uint32_t>(parts.sources.size()),
                               static_cast<std::uint32_t>(parts.functions.size())};
  AppendList(out, std::span(&sizes, 1));
  const std::vector<double> commonness = Commonness(parts);
  AppendList<double>(out, commonness);
  AppendFunctions(parts, out);
  AppendIds(parts, out);
  AppendFunctionNames(parts, out);
  NameTable::Append(parts.ingredients, commonness, out);
  PhraseTable::Append(parts.phrases, out);
  return out;
}

}  // namespace

Lookup::Lookup(const CatalogueParts& parts) {
  const auto bytes = std::make_shared<const std::string>(BytesOf(parts));
  kept_ = bytes;
  if (!Read(*bytes)) ThrowDamaged();
}

Lookup::Lookup(const std::filesystem::path& file) {
  const auto mapped = std::make_shared<const MappedFile>(file);
  kept_ = mapped;
  if (!Read(mapped->bytes()))
    throw StoreError(fmt::format("{} is damaged: build the base again (./run)", file.string()));
}

bool Lookup::Read(std::string_view bytes) {
  bytes_ = bytes;
  if (!bytes.starts_with(kLookupMark)) return false;
  bytes.remove_prefix(kLookupMark.size());
  std::span<const Sizes> sizes;
  const bool whole = TakeList(bytes, sizes) && sizes.size() == 1 && TakeList(bytes, commonness_) &&
                     TakeList(bytes, function_ends_) && function_ends_.size() == commonness_.size() &&
                     TakeList(bytes, functions_) && FlatWords::Take(bytes, ids_) &&
                     TakeList(bytes, id_leads_) && FlatWords::Take(bytes, function_names_) &&
                     TakeList(bytes, named_functions_) &&
                     NameTable::Take(bytes, commonness_.size(), names_) &&
                     PhraseTable::Take(bytes, phrases_) && bytes.empty();
  if (whole) sizes_ = sizes.front();
  return whole;
}

void Lookup::Write(const std::filesystem::path& file) const {
  std::ofstream stream(file, std::ios::binary);
  stream << bytes_;
  stream.close();
  if (!stream) throw StoreError(fmt::format("cannot write {}", file.string()));
}

std::span<const FunctionIx> Lookup::Functions(IngredientIx ix) const {
  const std::size_t begin = ix == 0 ? 0 : CheckedAt(function_ends_, ix - 1);
  const std::size_t end = CheckedAt(function_ends_, ix);
  if (begin > end || end > functions_.size()) ThrowDamaged();
  const std::span<const FunctionIx> all = functions_.subspan(begin, end - begin);
  if (std::any_of(all.begin(), all.end(), [&](FunctionIx function) { return function >= sizes_.functions; }))
    ThrowDamaged();
  return all;
}

std::optional<IngredientIx> Lookup::FindId(std::string_view id) const {
  const auto found = ids_.Find(id);
  if (!found) return std::nullopt;
  const IngredientIx ix = CheckedAt(id_leads_, *found);
  if (ix >= ingredients()) ThrowDamaged();
  return ix;
}

std::optional<FunctionIx> Lookup::FindFunction(std::string_view folded) const {
  const auto found = function_names_.Find(folded);
  if (!found) return std::nullopt;
  const FunctionIx function = CheckedAt(named_functions_, *found);
  if (function >= sizes_.functions) ThrowDamaged();
  return function;
}

}  // namespace kb
