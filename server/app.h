// The whole server as a function from questions to answers: who may ask, which place it is, which base answers.
//
//   GET  /api/v1/health            the base's hash and what it holds
//   GET  /api/v1/openapi.json      this interface, described
//   GET  /api/v1/<command>?...     parameters as the command line's options: name, q, kind, level, ph, role, keep ..., limit
//   POST /api/v1/<command>?...     the same with a formula as the body, text/csv
//   GET  /api/v1/shelf ...         see api_shelf.cc
//   everything else                pages.h
//
// Errors have one shape, the contract's {"error": {what, where, expected, nearest}}: 400 the question is wrong, 404 nothing found or
// no such place, 401 and 403 who asks, 405 and 415 how, 413 and 414 too long, 408 too slow.
#pragma once

#include <memory>
#include <string>

#include "server/base_holder.h"
#include "server/guard.h"
#include "server/router.h"

namespace server {

class Shelf;

// What a handler answers from.
struct Context {
  const query::Base& base;
  Shelf* shelf;  // nullptr: the server keeps none
};

class App {
 public:
  // `holder` and `shelf` must outlive it; `shelf` may be nullptr.
  App(BaseHolder& holder, Shelf* shelf, GuardSettings guard);

  // From any thread. Never throws.
  Answer Respond(const Question& question) const;

  const Router& router() const { return router_; }

  using ContextHandler = std::function<Answer(const Context&, const Question&, const std::string& word)>;
  // Gives the handler the base in service; where that base has gone from the disk, once more with the next.
  void On(std::string method, std::string path, ContextHandler handler);

 private:
  Answer WithETag(const Question& question, Answer answer) const;
  std::string ETag(const Question& question) const;

  BaseHolder& holder_;
  Shelf* shelf_;
  GuardSettings guard_;
  Router router_;
  std::string stamp_;  // changes with the program
};

// The parts that add their places.
void AddApi(App& app);
void AddShelfApi(App& app);
void AddPages(App& app);
void AddShelfPages(App& app);

}  // namespace server
