// A file of the base, mapped into memory: of what is not looked at nothing is read.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string_view>

namespace kb {

class MappedFile {
 public:
  // Throws StoreError where the file cannot be read or holds nothing.
  explicit MappedFile(const std::filesystem::path& file);
  ~MappedFile();
  MappedFile(const MappedFile&) = delete;
  MappedFile& operator=(const MappedFile&) = delete;

  std::string_view bytes() const { return bytes_; }

 private:
  std::string_view bytes_;
};

}  // namespace kb
