// Who may ask: this machine's own pages and programs, and others only with the token.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "server/exchange.h"

namespace server {

struct GuardSettings {
  int port = 0;
  bool loopback = true;  // listens on this machine alone
  std::string token;     // asked of everybody where not empty
};

// "127.0.0.1", "::1", "localhost"
bool IsLoopback(std::string_view address);

// nullopt: go on. 403 where the name in Host is not ours (DNS rebinding) or a page of another site posts; 401 without the token.
// The token comes as "Authorization: Bearer", as the cookie, or once as ?token= in an address, which is answered with the cookie.
std::optional<Answer> Refused(const Question& question, const GuardSettings& settings);

}  // namespace server
