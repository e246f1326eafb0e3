#include "indexer/hash_input.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <memory>

#include "kb/index_terms.h"
#include "kb/store.h"

namespace indexer {
namespace {

constexpr std::size_t kDigits = 16;  // 64 bits: two different bases by chance are out of the question

class Sha {
 public:
  Sha() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
    if (!context_ || EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) != 1) Fail();
  }

  void Add(std::string_view bytes) {
    if (EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()) != 1) Fail();
  }

  std::string Hex() {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int length = 0;
    if (EVP_DigestFinal_ex(context_.get(), digest.data(), &length) != 1) Fail();
    std::string hex;
    for (unsigned int i = 0; i < length; ++i) hex += fmt::format("{:02x}", digest[i]);
    return hex;
  }

 private:
  [[noreturn]] static void Fail() { throw IndexerError("SHA-256 is not to be had from libcrypto"); }
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context_;
};

}  // namespace

std::string Sha256(std::string_view bytes) {
  Sha sha;
  sha.Add(bytes);
  return sha.Hex();
}

std::string HashInput(const DataFolder& folder, std::string_view inventory) {
  std::vector<const DataFile*> files;
  for (const DataFile& file : folder.files) files.push_back(&file);
  std::sort(files.begin(), files.end(),
            [](const DataFile* a, const DataFile* b) { return a->relative < b->relative; });
  Sha sha;
  sha.Add(fmt::format("store {} index {}\n", kb::kSchemaVersion, kb::index::kIndexVersion));
  for (const DataFile* file : files) {
    // With the lengths, so that no shift of bytes between name and content makes the same stream.
    sha.Add(fmt::format("{} {} {}\n", file->relative.size(), file->text.bytes().size(), file->relative));
    sha.Add(file->text.bytes());
  }
  if (!inventory.empty()) {
    sha.Add(fmt::format("inventory {}\n", inventory.size()));
    sha.Add(inventory);
  }
  return sha.Hex().substr(0, kDigits);
}

}  // namespace indexer
