// Writes docs/findings.md: `make_findings_page FILE`.

#include <iostream>

#include "base/atomic_file.h"
#include "sessions/findings_page.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: make_findings_page FILE\n";
    return 64;
  }
  rigproof::write_atomically(argv[1], rigproof::planted::findings_page());
}
