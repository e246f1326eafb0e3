#include "indexer/read_toml.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "kb/text.h"

namespace indexer {

Place PlaceOf(const toml::node& node) {
  const toml::source_position& begin = node.source().begin;
  return {std::max<std::uint32_t>(1, begin.line), std::max<std::uint32_t>(1, begin.column)};
}

Place PlaceOf(const toml::key& key) {
  const toml::source_position& begin = key.source().begin;
  return {std::max<std::uint32_t>(1, begin.line), std::max<std::uint32_t>(1, begin.column)};
}

std::optional<toml::table> ParseToml(const TextFile& file, Diagnostics& out) {
  try {
    return toml::parse(std::string_view(file.bytes()), std::string_view(file.name()));
  } catch (const toml::parse_error& error) {
    const toml::source_position& at = error.source().begin;
    out.Add(file, {std::max<std::uint32_t>(1, at.line), std::max<std::uint32_t>(1, at.column)},
            Printable(error.description()));
    return std::nullopt;
  }
}

std::vector<Entry> InFileOrder(const toml::table& table) {
  std::vector<Entry> out;
  for (const auto& [key, value] : table) out.push_back({&key, &value});
  std::stable_sort(out.begin(), out.end(),
                   [](const Entry& a, const Entry& b) { return PlaceOf(*a.key) < PlaceOf(*b.key); });
  return out;
}

std::string_view KindName(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::none:
      return "nothing";
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::string:
      return "text";
    case toml::node_type::integer:
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::date:
    case toml::node_type::time:
    case toml::node_type::date_time:
      return "a date";
  }
  return "something else";
}

TableReader::TableReader(const toml::table& table, const TextFile& file, Place place, Diagnostics& out)
    : table_(table), file_(file), place_(place), out_(out) {}

const toml::node* TableReader::Node(std::string_view key, Need need) {
  asked_.emplace_back(key);
  const toml::node* node = table_.get(key);
  if (node == nullptr && need == Need::kMust) Complain(place_, fmt::format("'{}' is missing", key));
  return node;
}

Place TableReader::PlaceOfValue(std::string_view key) const {
  const toml::node* node = table_.get(key);
  return node == nullptr ? place_ : PlaceOf(*node);
}

void TableReader::WrongKind(std::string_view key, const toml::node& node, std::string_view expected) {
  Complain(PlaceOf(node), fmt::format("'{}' is {}; expected {}", key, KindName(node), expected));
}

PlacedText TableReader::Text(std::string_view key, Need need) {
  const toml::node* node = Node(key, need);
  if (node == nullptr) return {{}, place_};
  const auto* text = node->as_string();
  if (text == nullptr) {
    WrongKind(key, *node, "text in quotes");
    return {{}, PlaceOf(*node)};
  }
  if (kb::Trim(text->get()).empty())
    Complain(PlaceOf(*node), fmt::format("'{}' is empty; expected text", key));
  return {text->get(), PlaceOf(*node)};
}

PlacedText TableReader::Choice(std::string_view key, Need need, const std::vector<std::string>& choices) {
  PlacedText word = Text(key, need);
  if (word.text.empty()) return word;
  if (std::find(choices.begin(), choices.end(), word.text) == choices.end()) {
    Complain(word.place, fmt::format("'{}' is no {}{}", word.text, key, Hint(word.text, choices)));
    word.text.clear();
  }
  return word;
}

std::vector<PlacedText> TableReader::Texts(std::string_view key, Need need) {
  const toml::node* node = Node(key, need);
  if (node == nullptr) return {};
  const toml::array* list = node->as_array();
  if (list == nullptr) {
    WrongKind(key, *node, "a list of texts: [\"...\"]");
    return {};
  }
  std::vector<PlacedText> out;
  for (const toml::node& item : *list) {
    const auto* text = item.as_string();
    if (text == nullptr) {
      WrongKind(key, item, "text in quotes");
    } else if (kb::Trim(text->get()).empty()) {
      Complain(PlaceOf(item), fmt::format("a text in '{}' is empty", key));
    } else {
      out.push_back({text->get(), PlaceOf(item)});
    }
  }
  if (list->empty() && need == Need::kMust) Complain(PlaceOf(*node), fmt::format("'{}' is empty", key));
  return out;
}

std::optional<double> TableReader::Number(std::string_view key, Need need, double low, double high) {
  const toml::node* node = Node(key, need);
  if (node == nullptr) return std::nullopt;
  const auto number = node->is_number() ? node->value<double>() : std::nullopt;
  if (!number) {
    WrongKind(key, *node, "a number");
    return std::nullopt;
  }
  if (!(*number >= low && *number <= high)) {  // written so that NaN is refused too
    Complain(PlaceOf(*node), fmt::format("'{}' is {}; expected {} to {}", key, *number, low, high));
    return std::nullopt;
  }
  return number;
}

bool TableReader::Flag(std::string_view key) {
  const toml::node* node = Node(key, Need::kMay);
  if (node == nullptr) return false;
  const auto* flag = node->as_boolean();
  if (flag == nullptr) {
    WrongKind(key, *node, "true or false");
    return false;
  }
  return flag->get();
}

const toml::table* TableReader::Table(std::string_view key, Need need) {
  const toml::node* node = Node(key, need);
  if (node == nullptr) return nullptr;
  if (!node->is_table()) WrongKind(key, *node, "a table");
  return node->as_table();
}

std::vector<const toml::table*> TableReader::Tables(std::string_view key, Need need) {
  const toml::node* node = Node(key, need);
  if (node == nullptr) return {};
  const toml::array* list = node->as_array();
  if (list == nullptr) {
    WrongKind(key, *node, "a list of tables: [{ ... }]");
    return {};
  }
  std::vector<const toml::table*> out;
  for (const toml::node& item : *list) {
    if (item.is_table()) {
      out.push_back(item.as_table());
    } else {
      WrongKind(key, item, "a table: { ... }");
    }
  }
  return out;
}

void TableReader::Finish() {
  for (const Entry& entry : InFileOrder(table_)) {
    const std::string_view name = entry.key->str();
    if (std::find(asked_.begin(), asked_.end(), name) == asked_.end()) {
      Complain(PlaceOf(*entry.key), fmt::format("unknown key '{}'{}", Printable(name), Hint(name, asked_)));
    }
  }
}

std::vector<std::string> Plain(const std::vector<PlacedText>& list) {
  std::vector<std::string> out;
  out.reserve(list.size());
  for (const PlacedText& item : list) out.push_back(item.text);
  return out;
}

}  // namespace indexer
