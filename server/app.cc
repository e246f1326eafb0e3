#include "server/app.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "kb/store.h"
#include "server/shelf.h"
#include "server/view.h"

namespace server {
namespace {

constexpr std::uint64_t kFnvBasis = 14695981039346656037U;  // FNV-1a, 64 bit: its authors' constants
constexpr std::uint64_t kFnvPrime = 1099511628211U;

std::uint64_t Mix(std::uint64_t hash, std::string_view text) {
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * kFnvPrime;
  return (hash ^ 0xffU) * kFnvPrime;
}

// The same program gives the same answers from the same base.
std::string ProgramStamp() {
  std::error_code error;
  const auto written = std::filesystem::last_write_time("/proc/self/exe", error);
  return error ? "" : fmt::format("{}", written.time_since_epoch().count());
}

}  // namespace

App::App(BaseHolder& holder, Shelf* shelf, GuardSettings guard)
    : holder_(holder), shelf_(shelf), guard_(std::move(guard)), stamp_(ProgramStamp()) {
  AddApi(*this);
  AddShelfApi(*this);
  AddPages(*this);
  AddShelfPages(*this);
}

void App::On(std::string method, std::string path, ContextHandler handler) {
  router_.On(std::move(method), std::move(path),
             [this, handler = std::move(handler)](const Question& question, const std::string& word) {
               try {
                 const auto base = holder_.Get();
                 return handler({*base, shelf_}, question, word);
               } catch (const kb::StoreError&) {
                 const auto base = holder_.Refresh();
                 return handler({*base, shelf_}, question, word);
               }
             });
}

std::string App::ETag(const Question& question) const {
  std::uint64_t hash = Mix(kFnvBasis, stamp_);
  hash = Mix(hash, question.target);
  hash = Mix(hash, question.accept);
  if (shelf_ != nullptr) hash = Mix(hash, fmt::format("{} {}", shelf_->Revision(), Today()));
  return fmt::format("\"{}-{:016x}\"", holder_.Get()->files.hash, hash);
}

Answer App::WithETag(const Question& question, Answer answer) const {
  if (answer.status != 200) return answer;
  answer.headers.emplace_back("ETag", ETag(question));
  answer.headers.emplace_back("Vary", "Accept");
  if (std::none_of(answer.headers.begin(), answer.headers.end(),
                   [](const auto& header) { return header.first == "Cache-Control"; }))
    answer.headers.emplace_back("Cache-Control", "no-cache");
  return answer;
}

Answer App::Respond(const Question& question) const {
  Answer answer;
  try {
    if (auto refused = Refused(question, guard_)) {
      answer = std::move(*refused);
    } else if (question.method == "GET" || question.method == "HEAD") {
      // An answer depends on the base, the address and the shelf alone: what the client has of them it need not be sent again.
      if (!question.if_none_match.empty() &&
          question.if_none_match.find(ETag(question)) != std::string::npos) {
        answer = {304, "", "", {{"ETag", ETag(question)}, {"Cache-Control", "no-cache"}}};
      } else {
        answer = WithETag(question, router_.Route(question));
      }
    } else {
      answer = router_.Route(question);
    }
  } catch (const ShelfError& error) {
    answer = Refusal(503, error.what(), "shelf", "a shelf that can be read and written");
  } catch (const kb::StoreError&) {
    answer = Refusal(503, "the base cannot be read", "base", "a base that stillroom-index has built");
  } catch (const std::exception&) {
    answer = Refusal(500, "a fault of ours", "", "an answer");
  }
  if (answer.status >= 400) answer = ForReader(question, std::move(answer));
  const auto header = [&](const char* name, const char* value) { answer.headers.emplace_back(name, value); };
  header("X-Content-Type-Options", "nosniff");
  header("Cross-Origin-Resource-Policy", "same-origin");
  // "same-origin" rather than "no-referrer": under the latter a browser posts our own forms with "Origin: null". No other site is told.
  header("Referrer-Policy", "same-origin");
  header("Content-Security-Policy",
         "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; "
         "form-action 'self'; base-uri 'none'; frame-ancestors 'none'");
  return answer;
}

}  // namespace server
