// One base, opened, and the questions that it answers: what the command line and the server share.
//
// A command takes named values and gives a reply in the two forms that every screen is made from: the contract's JSON, and text for
// people. Which one is made is the caller's choice, so that none is made in vain.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "kb/base.h"
#include "kb/catalogue.h"
#include "query/find.h"
#include "query/request.h"
#include "query/text_index.h"

namespace query {

struct Base {
  kb::BaseFiles files;
  kb::Catalogue catalogue;

  std::unique_ptr<Finder> finder;  // of `catalogue`; its own so that it stays where it is
  std::uint64_t number = 0;        // of all that this program has opened

  // The text index, opened once a thread: Xapian's objects are not to be shared. Throws kb::StoreError.
  const TextIndex& Index() const;
};

// Opens the current base under `root`. Throws kb::StoreError with what to do about it.
std::unique_ptr<Base> OpenBase(const std::filesystem::path& root);

enum class Want { kJson, kText };

struct Look {
  std::size_t width = 100;  // columns of the screen
  bool bars = false;        // a terminal: draw bars
};

struct Reply {
  std::string body;   // a JSON document or text, as wanted
  bool found = true;  // false: answered, but with nothing found (exit 1, HTTP 404)
};

using Answerer = Asked<Reply> (*)(const Base& base, const Params& params, Want want, const Look& look);

struct Command {
  std::string_view name;
  Answerer answer;
};

// Every command, by the contract's names.
const std::vector<Command>& Commands();
const Command* FindCommand(std::string_view name);

// The contract's {"error": ...} document, and the same for people ("stillroom: ..." lines).
std::string TroubleJson(const Trouble& trouble);
std::string TroubleText(const Trouble& trouble);

// --- the commands; each in a file of its own ---
// q..., function, phase, solubility, form, charge, keep..., filter..., limit; typing=true for as-you-type.
Asked<Reply> AnswerFind(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerCompare(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerShow(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerLabel(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerCheck(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerWeigh(const Base& base, const Params& params, Want want, const Look& look);
// name or described..., kind, level; with or without a formula.
Asked<Reply> AnswerPlace(const Base& base, const Params& params, Want want, const Look& look);
// `swap` for every line of a formula (sheet=true; format=text, markdown or html), and for several ingredients at once.
Asked<Reply> AnswerSheet(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerSeveral(const Base& base, const Params& params, Want want, const Look& look);
Asked<Reply> AnswerSwap(const Base& base, const Params& params, Want want, const Look& look);

}  // namespace query
