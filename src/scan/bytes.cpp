#include "scan/bytes.h"

#include <algorithm>
#include <cstring>

namespace rigproof {

std::string Bytes::head(std::size_t n) const {
  std::string text(std::min<std::uint64_t>(n, size()), '\0');
  read(0, text.data(), text.size());
  return text;
}

void MemoryBytes::append(std::unique_ptr<char[]> piece, std::size_t n) {
  if (n == 0) return;
  pieces_.push_back(std::move(piece));
  starts_.push_back(size_);
  size_ += n;
}

void MemoryBytes::append_copy(const void* data, std::size_t n) {
  auto piece = std::make_unique_for_overwrite<char[]>(n);
  if (n > 0) std::memcpy(piece.get(), data, n);
  append(std::move(piece), n);
}

void MemoryBytes::read(std::uint64_t offset, void* into, std::size_t n) const {
  if (n == 0) return;
  auto* out = static_cast<char*>(into);
  auto piece =
      static_cast<std::size_t>(std::ranges::upper_bound(starts_, offset) - starts_.begin());
  for (--piece; n > 0; ++piece) {
    const std::uint64_t end = piece + 1 < starts_.size() ? starts_[piece + 1] : size_;
    const std::size_t part = std::min<std::uint64_t>(n, end - offset);
    std::memcpy(out, pieces_[piece].get() + (offset - starts_[piece]), part);
    out += part;
    offset += part;
    n -= part;
  }
}

const char* ByteCursor::take(std::size_t n) {
  if (left() < n) return nullptr;
  if (at_ < buffer_start_ || at_ + n > buffer_start_ + buffer_.size()) {
    static constexpr std::size_t kBuffer = 256u << 10;
    buffer_.resize(std::min<std::uint64_t>(kBuffer, left()));
    buffer_start_ = at_;
    bytes_.read(at_, buffer_.data(), buffer_.size());
  }
  const char* here = buffer_.data() + (at_ - buffer_start_);
  at_ += n;
  return here;
}

bool ByteCursor::skip(std::uint64_t n) {
  if (left() < n) return false;
  at_ += n;
  return true;
}

}  // namespace rigproof
