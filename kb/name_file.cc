#include "kb/name_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <limits>

#include "kb/store.h"

namespace kb {
namespace {

constexpr std::string_view kMark = "names 1\n";
constexpr std::size_t kSignatures = kMark.size() + sizeof(std::uint64_t);

template <class Number>
Number NumberAt(const char* at) {
  Number number = 0;
  std::memcpy(&number, at, sizeof number);
  return number;
}

constexpr std::size_t kLetters = 3;  // of a word that its signature knows

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
    bytes_ += ' ';
    bytes_ += word;
  }
  signatures_.push_back(signature);
  if (!data.empty()) {
    bytes_ += '\t';
    bytes_ += data;
  }
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

NameFile::NameFile(const std::filesystem::path& file) {
  const int fd = open(file.c_str(), O_RDONLY | O_CLOEXEC);
  struct stat status {};
  if (fd >= 0 && fstat(fd, &status) == 0 && status.st_size > 0) {
    size_ = static_cast<std::size_t>(status.st_size);
    void* memory = mmap(nullptr, size_, PROT_READ, MAP_SHARED, fd, 0);
    if (memory != MAP_FAILED) memory_ = static_cast<const char*>(memory);
  }
  if (fd >= 0) close(fd);
  const auto bad = [&](std::string_view what) {
    if (memory_ != nullptr) munmap(const_cast<char*>(memory_), size_);
    throw StoreError(fmt::format("{} {}: build the base again (./run)", file.string(), what));
  };
  if (memory_ == nullptr) bad("cannot be read");
  if (size_ < kSignatures || std::string_view(memory_, kMark.size()) != kMark) bad("is no file of names");
  const auto count = NumberAt<std::uint64_t>(memory_ + kMark.size());
  constexpr std::size_t kEach = sizeof(std::uint64_t) + sizeof(std::uint32_t);
  if (count > (size_ - kSignatures) / kEach || size_ - kSignatures - count * kEach < sizeof(std::uint32_t))
    bad("is damaged");
  count_ = count;
}

NameFile::~NameFile() {
  munmap(const_cast<char*>(memory_), size_);
}

std::string_view NameFile::Record(std::uint32_t document) const {
  if (document == 0 || document > count_) return {};
  const char* table = memory_ + kSignatures + sizeof(std::uint64_t) * count_;
  const char* records = table + sizeof(std::uint32_t) * (count_ + 1);
  const auto begin = NumberAt<std::uint32_t>(table + sizeof(std::uint32_t) * (document - 1));
  const auto end = NumberAt<std::uint32_t>(table + sizeof(std::uint32_t) * document);
  if (begin > end || end > static_cast<std::size_t>(memory_ + size_ - records)) return {};
  return {records + begin, end - begin};
}

NameWordStart::NameWordStart(std::string_view start) : letters(start), signature(Signature(start)) {}

bool NameFile::Holds(std::uint32_t document, const NameWordStart& start) const {
  if (document == 0 || document > count_) return false;
  const auto held = NumberAt<std::uint64_t>(memory_ + kSignatures + sizeof(std::uint64_t) * (document - 1));
  if ((held & start.signature) != start.signature) return false;
  std::string_view words = Record(document);
  words = words.substr(0, words.find('\t'));
  const std::string_view letters = start.letters;
  for (std::size_t at = 0; at + letters.size() < words.size(); ++at) {
    if (words[at] == ' ' && words[at + 1] == letters.front() &&
        words.compare(at + 1, letters.size(), letters) == 0)
      return true;
  }
  return false;
}

std::string_view NameFile::Data(std::uint32_t document) const {
  const std::string_view record = Record(document);
  const std::size_t tab = record.find('\t');
  return tab == std::string_view::npos ? std::string_view{} : record.substr(tab + 1);
}

}  // namespace kb
