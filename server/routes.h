// The answers over HTTP: /api/v1/<command> for every command of query/service.h, with the same names and the same JSON.
//
//   GET  /api/v1/health            the base's hash and what it holds
//   GET  /api/v1/<command>?...     parameters as the command line's options: name, q, kind, level, ph, role, keep ..., limit
//   POST /api/v1/<command>?...     the same with a formula as the body, text/csv
//
// Errors have one shape, the contract's {"error": {what, where, expected, nearest}}: 400 the question is wrong, 404 nothing found or
// no such place, 403 a page of another site asks, 413 too long.
#pragma once

#include <httplib.h>

#include <filesystem>
#include <memory>
#include <mutex>

#include "query/service.h"

namespace server {

// The base in service. A reader keeps the one it was given; a newer `current` is taken up between requests.
class BaseHolder {
 public:
  // Throws kb::StoreError where there is no base.
  explicit BaseHolder(std::filesystem::path root);
  // The current base, opened anew when `current` points elsewhere; the old one where the new one cannot be opened.
  std::shared_ptr<const query::Base> Get();

 private:
  std::filesystem::path root_;
  std::mutex mutex_;
  std::shared_ptr<const query::Base> base_;
};

// Adds routes, limits and headers. `holder` must outlive the server. `port` is what Host may name.
void AddRoutes(httplib::Server& http, BaseHolder& holder, int port);

}  // namespace server
