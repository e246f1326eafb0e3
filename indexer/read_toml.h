// TOML with positions: getters that return a value of the right kind or complain where it stands.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/diagnostic.h"

namespace indexer {

// A text with its place, for checks that come later.
struct PlacedText {
  std::string text;
  Place place;
};

Place PlaceOf(const toml::node& node);
Place PlaceOf(const toml::key& key);

// The document; nullopt after a complaint about its syntax (the parser stops at the first).
std::optional<toml::table> ParseToml(const TextFile& file, Diagnostics& out);

// The entries of a table in the order of the file (toml++ keeps them by name).
struct Entry {
  const toml::key* key = nullptr;
  const toml::node* value = nullptr;
};
std::vector<Entry> InFileOrder(const toml::table& table);

// "a number", "text in quotes", "a list" ...: what a node is, for a complaint.
std::string_view KindName(const toml::node& node);

enum class Need { kMust, kMay };

// Reads one table. Every key asked for is remembered; Finish() complains about those that nobody asked for.
class TableReader {
 public:
  // `place`: where a complaint about something missing goes.
  TableReader(const toml::table& table, const TextFile& file, Place place, Diagnostics& out);

  // "" where it is absent or wrong. A text that is there must not be empty.
  PlacedText Text(std::string_view key, Need need);
  // One of `choices`.
  PlacedText Choice(std::string_view key, Need need, const std::vector<std::string>& choices);
  std::vector<PlacedText> Texts(std::string_view key, Need need);
  // Within low and high.
  std::optional<double> Number(std::string_view key, Need need, double low, double high);
  bool Flag(std::string_view key);
  std::vector<const toml::table*> Tables(std::string_view key, Need need);
  const toml::table* Table(std::string_view key, Need need);
  bool Has(std::string_view key) const { return table_.contains(key); }
  const toml::node* Node(std::string_view key, Need need);

  void Finish();

  void Complain(Place place, std::string message) { out_.Add(file_, place, std::move(message)); }
  Place place() const { return place_; }
  // Where the value of this key stands; the table's place where it is absent.
  Place PlaceOfValue(std::string_view key) const;

 private:
  void WrongKind(std::string_view key, const toml::node& node, std::string_view expected);

  const toml::table& table_;
  const TextFile& file_;
  Place place_;
  Diagnostics& out_;
  std::vector<std::string> asked_;
};

std::vector<std::string> Plain(const std::vector<PlacedText>& list);

}  // namespace indexer
