#include "seal/sync.h"

#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {

void sync_folder(const std::filesystem::path& folder) {
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;  // a folder that may be written and not read
  const int failed = ::fsync(fd) == 0 ? 0 : errno;
  ::close(fd);
  if (failed != 0 && failed != EINVAL && failed != ENOTSUP)
    throw Error(ErrorKind::io,
                display(folder) + ": cannot be written to disk: " + std::strerror(failed),
                "Check the disk, then run again.");
}

}  // namespace rigproof
