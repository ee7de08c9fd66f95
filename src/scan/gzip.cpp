#include "scan/gzip.h"

#include <algorithm>
#include <string>

#include <zlib.h>

namespace rigproof {
namespace {

// Buffers of a large file; a small one takes as little as it needs.
constexpr std::uint64_t kPacked = 256u << 10, kPiece = 1u << 20, kLeastPiece = 4u << 10;

struct Inflater {
  z_stream stream{};
  Inflater() { good = inflateInit2(&stream, 15 + 16) == Z_OK; }
  ~Inflater() { inflateEnd(&stream); }
  Inflater(const Inflater&) = delete;
  Inflater& operator=(const Inflater&) = delete;
  bool good = false;
};

/// Feeds the packed bytes and collects pieces.
class Unpacker {
 public:
  explicit Unpacker(const SourceInput& input)
      : input_(input),
        limit_(most_unpacked(input.on_disk)),
        packed_(std::min(kPacked, input.bytes->size())),
        room_(std::clamp(8 * packed_.size(), kLeastPiece, kPiece)) {}

  std::shared_ptr<const Bytes> run() {
    if (!inflater_.good) throw Error(ErrorKind::internal, "zlib cannot be started");
    for (int status = Z_OK;;) {
      if (z().avail_in == 0 && !refill()) {
        if (status != Z_STREAM_END)
          refuse(input_, "the compressed data end too early", "Copy or export the file again.");
        break;
      }
      if (status == Z_STREAM_END && !next_member()) break;
      status = step();
    }
    flush();
    return out_;
  }

 private:
  z_stream& z() { return inflater_.stream; }

  bool refill() {
    const std::uint64_t left = input_.bytes->size() - at_;
    const auto n = std::min<std::size_t>(packed_.size(), left);
    input_.bytes->read(at_, packed_.data(), n);
    at_ += n;
    z().next_in = reinterpret_cast<Bytef*>(packed_.data());
    z().avail_in = static_cast<uInt>(n);
    return n > 0;
  }

  /// Further members continue the file; anything else after a member is padding, as gzip has it.
  bool next_member() {
    if (*z().next_in != 0x1F) return false;
    inflateReset(&z());
    return true;
  }

  int step() {
    if (!piece_) piece_ = std::make_unique_for_overwrite<char[]>(room_);
    z().next_out = reinterpret_cast<Bytef*>(piece_.get() + used_);
    z().avail_out = static_cast<uInt>(room_ - used_);
    const int status = inflate(&z(), Z_NO_FLUSH);
    used_ = room_ - z().avail_out;
    if (status != Z_OK && status != Z_STREAM_END && status != Z_BUF_ERROR)
      refuse(input_,
             std::string("the compressed data are damaged (") + (z().msg ? z().msg : "zlib") + ")",
             "Copy or export the file again.");
    if (out_->size() + used_ > limit_)
      refuse(input_,
             "unpacks to more than " + std::to_string(limit_ >> 20) + " MiB from " +
                 std::to_string(input_.bytes->size()) + " bytes, which no scan does",
             "Unpack it by hand and look at what is inside.");
    if (used_ == room_) flush();
    return status;
  }

  void flush() {
    if (used_ == room_)
      out_->append(std::move(piece_), used_);
    else
      out_->append_copy(piece_.get(), used_);
    piece_.reset();
    used_ = 0;
  }

  const SourceInput& input_;
  std::uint64_t limit_;
  std::vector<char> packed_;
  std::uint64_t at_ = 0;
  Inflater inflater_;
  std::unique_ptr<char[]> piece_;
  std::size_t room_;  // of a piece
  std::size_t used_ = 0;
  std::shared_ptr<MemoryBytes> out_ = std::make_shared<MemoryBytes>();
};

}  // namespace

bool is_gzip(const Bytes& bytes) {
  const std::string head = bytes.head(3);
  return head.size() == 3 && head[0] == '\x1F' && head[1] == '\x8B' && head[2] == '\x08';
}

std::shared_ptr<const Bytes> unpack_gzip(const SourceInput& input) { return Unpacker(input).run(); }

}  // namespace rigproof
