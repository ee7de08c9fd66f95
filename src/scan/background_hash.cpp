#include "scan/background_hash.h"

#include <algorithm>
#include <vector>

#include "base/sha256.h"

namespace rigproof {
namespace {

std::string hash(const Bytes& file, const std::atomic<bool>& stop) {
  Sha256 sha;
  std::vector<char> buffer(256u << 10);
  for (std::uint64_t at = 0; at < file.size() && !stop; at += buffer.size()) {
    const auto n =
        static_cast<std::size_t>(std::min<std::uint64_t>(buffer.size(), file.size() - at));
    file.read(at, buffer.data(), n);
    sha.update(buffer.data(), n);
  }
  file.check_unchanged();
  return sha.hex();
}

}  // namespace

BackgroundHash::BackgroundHash(std::shared_ptr<const Bytes> file)
    : result_(std::async(std::launch::async,
                         [this, file = std::move(file)] { return hash(*file, stop_); })) {}

}  // namespace rigproof
