#include "server/form.h"

#include <algorithm>

#include "kb/text.h"
#include "server/router.h"

namespace server {
namespace {

constexpr std::size_t kMostFields = 200;
constexpr std::size_t kLongestHead = 1024;  // bytes of the head of one part

int Hex(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  c = static_cast<char>(c | 0x20);
  return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

std::string Decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '%' && i + 2 < text.size() && Hex(text[i + 1]) >= 0 && Hex(text[i + 2]) >= 0) {
      out += static_cast<char>(Hex(text[i + 1]) * 16 + Hex(text[i + 2]));
      i += 2;
    } else {
      out += text[i] == '+' ? ' ' : text[i];
    }
  }
  return out;
}

Pairs ReadUrlEncoded(std::string_view body) {
  Pairs fields;
  while (!body.empty() && fields.size() <= kMostFields) {
    const std::size_t end = std::min(body.find('&'), body.size());
    const std::string_view field = body.substr(0, end);
    body.remove_prefix(std::min(end + 1, body.size()));
    const std::size_t sign = std::min(field.find('='), field.size());
    if (!field.empty())
      fields.emplace_back(Decoded(field.substr(0, sign)),
                          Decoded(field.substr(std::min(sign + 1, field.size()))));
  }
  return fields;
}

// The value of name="..." in a part's head.
std::string Parameter(std::string_view head, std::string_view name) {
  const std::string mark = "; " + std::string(name) + "=\"";
  const std::size_t begin = head.find(mark);
  if (begin == std::string_view::npos) return "";
  const std::string_view rest = head.substr(begin + mark.size());
  return std::string(rest.substr(0, rest.find('"')));
}

tl::expected<Pairs, Answer> ReadMultipart(std::string_view body, std::string_view boundary) {
  const auto broken = [] {
    return tl::unexpected(
        Refusal(400, "the form is broken off", "body", "multipart/form-data as a browser sends it"));
  };
  const std::string mark = "\r\n--" + std::string(boundary);
  const std::string whole = "\r\n" + std::string(body);
  std::string_view rest = whole;
  Pairs fields;
  std::size_t at = rest.find(mark);
  if (at == std::string_view::npos) return broken();
  rest.remove_prefix(at + mark.size());
  while (!rest.starts_with("--")) {
    if (!rest.starts_with("\r\n") || fields.size() > kMostFields) return broken();
    rest.remove_prefix(2);
    const std::size_t blank = rest.substr(0, kLongestHead).find("\r\n\r\n");
    if (blank == std::string_view::npos) return broken();
    const std::string_view head = rest.substr(0, blank);
    rest.remove_prefix(blank + 4);
    at = rest.find(mark);
    if (at == std::string_view::npos) return broken();
    const bool is_file = head.find("; filename=") != std::string_view::npos;
    if (!is_file || at > 0) fields.emplace_back(Parameter(head, "name"), std::string(rest.substr(0, at)));
    rest.remove_prefix(at + mark.size());
  }
  return fields;
}

}  // namespace

tl::expected<Pairs, Answer> ReadForm(const Question& question) {
  constexpr std::string_view kMultipart = "multipart/form-data";
  constexpr std::size_t kLongestBoundary = 70;  // RFC 2046
  const std::string_view type = question.content_type;
  tl::expected<Pairs, Answer> fields;
  if (type.starts_with("application/x-www-form-urlencoded")) {
    fields = ReadUrlEncoded(question.body);
  } else if (type.starts_with(kMultipart)) {
    const std::size_t at = type.find("boundary=");
    std::string_view boundary = at == std::string_view::npos ? "" : type.substr(at + 9);
    boundary = boundary.substr(0, boundary.find(';'));
    if (boundary.size() > 1 && boundary.front() == '"' && boundary.back() == '"')
      boundary = boundary.substr(1, boundary.size() - 2);
    if (boundary.empty() || boundary.size() > kLongestBoundary)
      return tl::unexpected(
          Refusal(400, "a form without its boundary", "Content-Type", "as a browser sends it"));
    fields = ReadMultipart(question.body, boundary);
  } else {
    return tl::unexpected(
        Refusal(415, "the body is no form", "Content-Type", "a form as a browser sends it"));
  }
  if (!fields) return fields;
  for (const auto& [name, value] : *fields) {
    if (!kb::IsUtf8(name) || !kb::IsUtf8(value) || value.find('\0') != std::string::npos)
      return tl::unexpected(Refusal(400, "a field is no text", "body", "UTF-8 text, no zero bytes"));
  }
  return fields;
}

}  // namespace server
