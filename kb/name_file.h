// The names of the documents of a text index, beside it as a file of its own: what a list of names has to read of each is one look
// into memory, where the index would have to find and unpack a document.
//
//   8 bytes  kMark
//   8 bytes  how many documents: n
//   8 * n bytes  the signature of each
//   4 * (n + 1) bytes  where the record of each begins, the last: where they end; counted from the end of this table
//   records  the different words of all names, folded and in order, each behind a byte that says how long it is, and a zero; of the
//            inventory then kb::index::InventoryData
//
// A signature has a bit for the first, the first two and the first three letters of each word: a document whose words begin
// otherwise is passed over without reading them (superimposed coding: Bloom, Communications of the ACM 13 (1970) 422).
//
// Numbers are as the machine holds them (a base is built where it is read).
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "kb/mapped_file.h"

namespace kb {

// The records of one document after another, in their order.
class NameRecords {
 public:
  // `name`: folded.
  void AddName(std::string_view name);
  // Ends the record of a document; `data` may be empty.
  void End(std::string_view data);
  // Puts those of another behind these.
  void Append(const NameRecords& other);
  // Throws StoreError.
  void Write(const std::filesystem::path& file) const;

 private:
  std::set<std::string, std::less<>> words_;  // of the document that is not ended yet
  std::string bytes_;
  std::vector<std::uint64_t> signatures_;
  std::vector<std::uint32_t> ends_;
};

// What a word may begin with: folded letters, one at least. Keeps a view.
struct NameWordStart {
  explicit NameWordStart(std::string_view letters);
  std::string_view letters;
  std::uint64_t signature = 0;
};

class NameFile {
 public:
  // Throws StoreError where the file cannot be read or is no such file.
  explicit NameFile(const std::filesystem::path& path);

  // Documents have numbers from 1 on; one that is not there holds nothing.
  // Could there be words in its names that begin so, by all of their signatures? Here so that it costs no call: most are passed over.
  bool MayHold(std::uint32_t document, std::uint64_t signature) const {
    return document - 1U < signatures_.size() && (signatures_[document - 1U] & signature) == signature;
  }
  // Is there a word in its names that begins so, for each of them?
  bool Holds(std::uint32_t document, std::span<const NameWordStart> starts) const;
  std::string_view Data(std::uint32_t document) const;

 private:
  std::string_view Record(std::uint32_t document) const;

  MappedFile file_;
  std::span<const std::uint64_t> signatures_;
  std::span<const std::uint32_t> begins_;  // of the records, and where the last one ends
  std::string_view records_;
};

}  // namespace kb
