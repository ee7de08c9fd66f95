// Everything that `rigproof assess` does to a session but its documents: read, hash, locate, fit,
// judge, diagnose.
#include <cstdio>

#include "assess/assess.h"
#include "base/error.h"
#include "inputs/session.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: assess_session FOLDER\n", stderr);
    return 64;
  }
  try {
    const rigproof::Results results = rigproof::assess(rigproof::load_session(argv[1]));
    std::printf("%zu scans: %s\n", results.scans.size(), results.headline.c_str());
  } catch (const rigproof::Error& error) {
    std::fprintf(stderr, "assess_session: %s\n", error.what());
    return 65;
  }
  return 0;
}
