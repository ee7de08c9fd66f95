// Loading alone: every point of a scan as doubles in memory, without the hash.
#include <cstdio>

#include "base/error.h"
#include "phases.h"
#include "scan/scan.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: scan_load FILE\n", stderr);
    return 64;
  }
  try {
    rigproof::bench::Phases phases;
    rigproof::ScanOptions options;
    options.hash = false;
    const auto scan = rigproof::Scan::open(argv[1], options);
    phases.end("survey");
    std::printf("%zu points\n", scan.all().size());
    phases.end("copy");
  } catch (const rigproof::Error& error) {
    std::fprintf(stderr, "scan_load: %s\n", error.what());
    return 65;
  }
  return 0;
}
