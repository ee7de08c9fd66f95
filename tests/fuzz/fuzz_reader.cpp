// One reader: any bytes are read as points or refused with an Error, in memory that their number
// bounds; what was read can be read again and is finite.
#include <cstdlib>

#include "fuzz/file_for.h"
#include "scan/scan.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  ScanOptions options;
  options.threads = 1;
  options.hash = false;
  options.sample_target = 1000;
  try {
    const Scan scan = Scan::open(file_for("scan" EXTENSION, data, size), options);
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
