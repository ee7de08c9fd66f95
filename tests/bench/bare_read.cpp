// The bar that everything is measured against: one buffer for a whole file, filled by pread. Of
// several files each gets a buffer of its own that is kept, so that they cost what each of them
// costs by itself.
#include <cstdio>
#include <cstdlib>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace {

int read_whole(const char* name) {
  const int file = ::open(name, O_RDONLY);
  struct stat about;
  if (file < 0 || ::fstat(file, &about) != 0) return 66;
  const auto size = static_cast<std::size_t>(about.st_size);
  char* data = static_cast<char*>(std::malloc(size));  // never freed
  if (!data) return 70;
  for (std::size_t at = 0; at < size;) {
    const ssize_t n = ::pread(file, data + at, size - at, static_cast<off_t>(at));
    if (n <= 0) return 74;
    at += static_cast<std::size_t>(n);
  }
  std::printf("read %zu bytes, the last is %d\n", size, data[size - 1]);
  ::close(file);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    std::fputs("usage: bare_read FILE...\n", stderr);
    return 64;
  }
  for (int i = 1; i < argc; ++i)
    if (const int code = read_whole(argv[i]); code != 0) return code;
  return 0;
}
