#include "kb/mapped_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kb/store_error.h"

namespace kb {

MappedFile::MappedFile(const std::filesystem::path& file) {
  const int fd = open(file.c_str(), O_RDONLY | O_CLOEXEC);
  struct stat status {};
  if (fd >= 0 && fstat(fd, &status) == 0 && status.st_size > 0) {
    const auto size = static_cast<std::size_t>(status.st_size);
    void* memory = mmap(nullptr, size, PROT_READ, MAP_SHARED, fd, 0);
    if (memory != MAP_FAILED) bytes_ = {static_cast<const char*>(memory), size};
  }
  if (fd >= 0) close(fd);
  if (bytes_.empty())
    throw StoreError(fmt::format("{} cannot be read: build the base again (./run)", file.string()));
}

MappedFile::~MappedFile() {
  munmap(const_cast<char*>(bytes_.data()), bytes_.size());
}

}  // namespace kb
