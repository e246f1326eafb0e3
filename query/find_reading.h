// What a query means: questions, filters, wishes, functions and names found in its words, and what is left to search as text.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "query/find_words.h"

namespace query {

struct Reading {
  std::vector<Word> words;
  std::string ask;  // kind of question; "" none

  struct Filter {
    kb::SearchFilter filter;
    std::size_t first = 0, last = 0;  // words; both 0: from an option
  };
  std::vector<Filter> filters;
  std::vector<kb::SearchFilter> wants;
  std::vector<kb::FunctionIx> functions;          // one of these
  std::vector<kb::FunctionIx> context_functions;  // what it is wanted for
  std::vector<kb::IngredientIx> names;
  std::vector<std::string> name_words;  // as they were typed
  std::vector<kb::IngredientIx> context_names;
  std::vector<kb::IngredientIx> left_out;
  std::vector<kb::FunctionIx> left_out_functions;
  std::vector<std::string> left_out_words;  // no name may hold these
  std::vector<std::string> text;            // folded words
  std::vector<std::string> hints;           // look_for: words that lift what holds them

  // Nothing but text?
  bool plain() const {
    return ask.empty() && filters.empty() && wants.empty() && functions.empty() && names.empty() &&
           left_out.empty() && left_out_functions.empty() && left_out_words.empty() && hints.empty();
  }
};

// `whole_is_name`: the query as a whole is a name that has been found already; it is then read without it.
Reading Read(const kb::Catalogue& catalogue, const Vocabulary& vocabulary, std::string_view query,
             bool whole_is_name);

}  // namespace query
