// RFC 9112: what is a request, and what is refused before anything else looks at it. As many rows that are refused as rows that pass.
#include "server/http_head.h"

#include <gtest/gtest.h>

namespace server {
namespace {

Frame Read(std::string_view bytes) {
  std::size_t searched = 0;
  return ReadFrame(bytes, HeadLimits{}, searched);
}

TEST(HttpHead, CutsWholeRequests) {
  const struct {
    const char* bytes;
    std::size_t head, body;
  } rows[] = {
      {"GET / HTTP/1.1\r\nHost: a\r\n\r\n", 27, 0},
      {"GET / HTTP/1.0\r\nHost: a\r\n\r\n", 27, 0},
      {"POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 3\r\n\r\nabc", 48, 3},
      {"POST /x HTTP/1.1\r\nHost: a\r\ncontent-length:3\r\n\r\nabcGET", 47, 3},
      {"\r\nGET / HTTP/1.1\r\nHost: a\r\n\r\n", 29, 0},  // RFC 9112, 2.2
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Encoding: identity\r\n\r\n", 55, 0},
  };
  for (const auto& row : rows) {
    const Frame frame = Read(row.bytes);
    EXPECT_EQ(frame.state, Frame::State::kRequest) << row.bytes << frame.what;
    EXPECT_EQ(frame.head_bytes, row.head) << row.bytes;
    EXPECT_EQ(frame.body_bytes, row.body) << row.bytes;
  }
}

TEST(HttpHead, WaitsForTheRest) {
  const std::string whole = "POST /x HTTP/1.1\r\nHost: a\r\nContent-Length: 3\r\n\r\nabc";
  for (std::size_t size = 0; size < whole.size(); ++size)
    EXPECT_EQ(Read(whole.substr(0, size)).state, Frame::State::kMore) << size;
}

TEST(HttpHead, FindsTheEndOfADrippingHeadWhereverItStopped) {
  const std::string whole = "GET / HTTP/1.1\r\nHost: a\r\n\r\n";
  std::size_t searched = 0;
  for (std::size_t size = 1; size < whole.size(); ++size)
    EXPECT_EQ(ReadFrame(std::string_view(whole).substr(0, size), {}, searched).state, Frame::State::kMore);
  EXPECT_EQ(ReadFrame(whole, {}, searched).state, Frame::State::kRequest);
}

TEST(HttpHead, KeepsRangesAndCompressionFromTheLibrary) {
  const Frame frame = Read(
      "GET / HTTP/1.1\r\nHost: a\r\nRange: bytes=0-0,0-0,0-0\r\nAccept-Encoding: br\r\nContent-Type: "
      "text/csv\r\n\r\n");
  EXPECT_EQ(frame.head, "GET / HTTP/1.1\r\nHost: a\r\n\r\n");
  EXPECT_EQ(frame.content_type, "text/csv");
}

TEST(HttpHead, RefusesWhatTwoReadersWouldReadDifferently) {
  const struct {
    std::string bytes;
    int status;
  } rows[] = {
      {"GET / HTTP/1.1\r\n\r\n", 400},                        // no Host
      {"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", 400},  // two
      {"GET / HTTP/1.1\nHost: a\n\r\n\r\n", 505},             // bare LF
      {"GET / HTTP/1.1\r\nHost: a\nX: b\r\n\r\n", 400},       // bare LF in a field
      {"GET / HTTP/1.1\r\nHost: a\r\n folded\r\n\r\n", 400},  // obsolete folding
      {"GET / HTTP/1.1\r\nHost : a\r\n\r\n", 400},            // blank before the colon
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\na", 400},
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: +1\r\n\r\na", 400},
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\na", 400},
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: 0x1\r\n\r\na", 400},
      {"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: 99999999999999999999\r\n\r\na", 400},
      {"POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 411},
      {"POST / HTTP/1.1\r\nHost: a\r\nContent-Encoding: gzip\r\n\r\n", 415},
      {"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 1048577\r\n\r\n", 413},
      {"GET http://a/ HTTP/1.1\r\nHost: a\r\n\r\n", 400},
      {"GET * HTTP/1.1\r\nHost: a\r\n\r\n", 400},
      {"GET /\x01 HTTP/1.1\r\nHost: a\r\n\r\n", 400},
      {std::string("GET /\0 HTTP/1.1\r\nHost: a\r\n\r\n", 29), 400},
      {"GET /\xc3\xa9 HTTP/1.1\r\nHost: a\r\n\r\n", 400},
      {"GET /a b HTTP/1.1\r\nHost: a\r\n\r\n", 400},
      {"GET / HTTP/2.0\r\nHost: a\r\n\r\n", 505},
      {"GET /\r\nHost: a\r\n\r\n", 400},
      {"\r\n\r\n\r\n", 400},
      {"GET /" + std::string(1100, 'a') + " HTTP/1.1\r\nHost: a\r\n\r\n", 414},
      {"GET /?" + std::string(8100, 'a') + " HTTP/1.1\r\nHost: a\r\n\r\n", 414},
      {"GET / HTTP/1.1\r\nHost: a\r\nX: " + std::string(17000, 'a') + "\r\n\r\n", 431},
      {std::string(17000, 'a'), 431},
  };
  for (const auto& row : rows) {
    const Frame frame = Read(row.bytes);
    EXPECT_EQ(frame.state, Frame::State::kRefused) << row.bytes.substr(0, 80);
    EXPECT_EQ(frame.status, row.status) << row.bytes.substr(0, 80) << ": " << frame.what;
  }
  std::string many = "GET / HTTP/1.1\r\nHost: a\r\n";
  for (int i = 0; i < 70; ++i) many += "X: y\r\n";
  EXPECT_EQ(Read(many + "\r\n").status, 431);
}

}  // namespace
}  // namespace server
