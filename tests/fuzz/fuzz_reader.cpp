// One reader: any bytes are read as points or refused with an Error, in memory that their number
// bounds; what was read can be read again and is finite. The first bytes are those by which the
// format is known: every execution is one of this reader, not of the one for what nobody knows.
// What is not packed is packed for the reader of gzip, since changed packed bytes are refused by
// their checksum.
#include <algorithm>
#include <cstdlib>
#include <string_view>
#include <vector>

#include <zlib.h>

#include "fuzz/file_for.h"
#include "scan/scan.h"

namespace {

constexpr std::string_view magic(std::string_view extension) {
  if (extension == ".ply") return "ply\n";
  if (extension == ".pcd") return "# .PCD";
  return "";  // known by the extension
}

std::vector<std::uint8_t> packed(std::vector<std::uint8_t>& bytes) {
  z_stream z{};
  std::vector<std::uint8_t> out(1024 + 2 * bytes.size());
  z.next_in = bytes.data();
  z.avail_in = static_cast<uInt>(bytes.size());
  z.next_out = out.data();
  z.avail_out = static_cast<uInt>(out.size());
  if (deflateInit2(&z, 1, Z_DEFLATED, 16 + 9, 1, Z_DEFAULT_STRATEGY) != Z_OK ||
      deflate(&z, Z_FINISH) != Z_STREAM_END)
    std::abort();
  out.resize(z.total_out);
  deflateEnd(&z);
  return out;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  using namespace std::literals;
  static constexpr std::string_view kMagic = magic(EXTENSION);
  std::vector<std::uint8_t> bytes(data, data + size);
  bytes.resize(std::max(size, kMagic.size()));
  std::ranges::copy(kMagic, bytes.begin());
  if (EXTENSION == ".gz"sv && bytes.size() > 0 && bytes[0] != 0x1F) bytes = packed(bytes);
  ScanOptions options;
  options.threads = 1;
  options.hash = false;
  options.sample_target = 1000;
  try {
    const Scan scan = Scan::open(file_for("scan" EXTENSION, bytes.data(), bytes.size()), options);
    const Points all = scan.all();
    if (all.size() != scan.facts().points) std::abort();
    for (std::size_t i = 0; i < all.size(); ++i)
      if (!all.at(i).allFinite()) std::abort();
    if (scan.sample().size() > all.size()) std::abort();
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data && error.kind() != ErrorKind::missing) std::abort();
  }
  return 0;
}
