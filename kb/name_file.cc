#include "kb/name_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <limits>

#include "kb/store_error.h"

namespace kb {
namespace {

constexpr std::string_view kMark = "names 2\n";
constexpr std::size_t kLongestWord = 255;  // what a byte can say
constexpr std::size_t kLetters = 3;        // of a word that its signature knows

// The bits of a signature that say that a word begins so.
std::uint64_t Signature(std::string_view word) {
  std::uint64_t bits = 0;
  std::uint64_t letters = 0;
  for (const char c : word.substr(0, kLetters)) {
    letters = letters << 8U | static_cast<unsigned char>(c);
    // Multiplied by 2^64 over the golden ratio (Knuth, The Art of Computer Programming 3, 6.4), the upper bits are spread well.
    constexpr unsigned kUpperSix = 58;
    bits |= std::uint64_t{1} << (letters * 0x9E3779B97F4A7C15U >> kUpperSix);
  }
  return bits;
}

// The word that a record begins with; empty behind the last.
std::string_view FirstWord(std::string_view record) {
  if (record.empty()) return {};
  return record.substr(1, static_cast<unsigned char>(record.front()));
}

// Words are in order: behind the place where one that begins so would be there is none.
bool HoldsStart(std::string_view record, std::string_view letters) {
  const auto wanted = static_cast<unsigned char>(letters.front());
  for (std::string_view word = FirstWord(record); !word.empty(); word = FirstWord(record)) {
    // The first letter by itself: most words differ in it.
    const auto first = static_cast<unsigned char>(word.front());
    if (first > wanted) return false;
    if (first == wanted && word.starts_with(letters)) return true;
    record.remove_prefix(word.size() + 1);
  }
  return false;
}

}  // namespace

void NameRecords::AddName(std::string_view name) {
  while (!name.empty()) {
    const std::size_t end = std::min(name.find(' '), name.size());
    if (end > 0 && !words_.contains(name.substr(0, end))) words_.emplace(name.substr(0, end));
    name.remove_prefix(std::min(end + 1, name.size()));
  }
}

void NameRecords::End(std::string_view data) {
  std::uint64_t signature = 0;
  for (const std::string& word : words_) {
    signature |= Signature(word);
    const std::string_view held = std::string_view(word).substr(0, kLongestWord);
    bytes_ += static_cast<char>(held.size());
    bytes_ += held;
  }
  signatures_.push_back(signature);
  bytes_ += '\0';
  bytes_ += data;
  words_.clear();
  if (bytes_.size() > std::numeric_limits<std::uint32_t>::max()) throw StoreError("more names than 4 GB");
  ends_.push_back(static_cast<std::uint32_t>(bytes_.size()));
}

void NameRecords::Append(const NameRecords& other) {
  const std::size_t before = bytes_.size();
  bytes_ += other.bytes_;
  if (bytes_.size() > std::numeric_limits<std::uint32_t>::max()) throw StoreError("more names than 4 GB");
  signatures_.insert(signatures_.end(), other.signatures_.begin(), other.signatures_.end());
  for (const std::uint32_t end : other.ends_) ends_.push_back(static_cast<std::uint32_t>(before + end));
}

void NameRecords::Write(const std::filesystem::path& file) const {
  std::ofstream stream(file, std::ios::binary);
  const auto number = [&](auto value) { stream.write(reinterpret_cast<const char*>(&value), sizeof value); };
  stream << kMark;
  number(std::uint64_t{ends_.size()});
  for (const std::uint64_t signature : signatures_) number(signature);
  number(std::uint32_t{0});
  for (const std::uint32_t end : ends_) number(end);
  stream << bytes_;
  stream.close();
  if (!stream) throw StoreError(fmt::format("cannot write {}", file.string()));
}

NameFile::NameFile(const std::filesystem::path& path) : file_(path) {
  const auto bad = [&](std::string_view what) {
    throw StoreError(fmt::format("{} {}: build the base again (./run)", path.string(), what));
  };
  std::string_view bytes = file_.bytes();
  std::uint64_t count = 0;
  if (bytes.size() < kMark.size() + sizeof count || !bytes.starts_with(kMark)) bad("is no file of names");
  std::memcpy(&count, bytes.data() + kMark.size(), sizeof count);
  bytes.remove_prefix(kMark.size() + sizeof count);
  constexpr std::size_t kEach = sizeof(std::uint64_t) + sizeof(std::uint32_t);
  if (count > bytes.size() / kEach || bytes.size() - count * kEach < sizeof(std::uint32_t)) bad("is damaged");
  // A file is mapped at the beginning of a page, and what stands before each table is a multiple of its step.
  signatures_ = {reinterpret_cast<const std::uint64_t*>(bytes.data()), count};
  bytes.remove_prefix(signatures_.size_bytes());
  begins_ = {reinterpret_cast<const std::uint32_t*>(bytes.data()), count + 1};
  records_ = bytes.substr(begins_.size_bytes());
}

std::string_view NameFile::Record(std::uint32_t document) const {
  if (document == 0 || document >= begins_.size()) return {};
  const std::size_t begin = begins_[document - 1];
  const std::size_t end = begins_[document];
  return begin > end || end > records_.size() ? std::string_view{} : records_.substr(begin, end - begin);
}

NameWordStart::NameWordStart(std::string_view start) : letters(start), signature(Signature(start)) {}

bool NameFile::Holds(std::uint32_t document, std::span<const NameWordStart> starts) const {
  const std::string_view record = Record(document);
  return std::all_of(starts.begin(), starts.end(), [&](const NameWordStart& start) {
    return MayHold(document, start.signature) && HoldsStart(record, start.letters);
  });
}

std::string_view NameFile::Data(std::uint32_t document) const {
  std::string_view rest = Record(document);
  for (std::string_view word = FirstWord(rest); !word.empty(); word = FirstWord(rest))
    rest.remove_prefix(word.size() + 1);
  return rest.substr(std::min<std::size_t>(1, rest.size()));
}

}  // namespace kb
