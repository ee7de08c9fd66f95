#include <clocale>
#include <cstdlib>
#include <memory>

#include <malloc.h>
#include <sys/mman.h>

#include "app/add_command.h"
#include "app/assess_command.h"
#include "app/audit_command.h"
#include "app/bundle_command.h"
#include "app/command.h"
#include "app/explain_command.h"
#include "app/look_command.h"
#include "app/new_command.h"
#include "app/plan_command.h"
#include "app/redo_command.h"
#include "app/report_command.h"
#include "app/rigs_command.h"
#include "app/seal_command.h"
#include "app/selftest_command.h"
#include "app/simulate_command.h"
#include "app/trend_command.h"
#include "app/watch_command.h"

namespace {

/// Large arrays are made and dropped in turn, and the first touch of each page costs more than the
/// work on it: memory that has been given out is kept, and the first of it lies on large pages
/// where the system grants them.
void keep_and_enlarge_pages() {
  constexpr std::size_t kHeap = 30 << 20, kLargePage = 2 << 20;
  mallopt(M_MMAP_THRESHOLD, 32 << 20);  // the most there is; smaller ones come from the heap
  mallopt(M_TRIM_THRESHOLD, 256 << 20);
  void* heap = std::malloc(kHeap);
  if (!heap) return;
  void* begin = heap;
  std::size_t left = kHeap;
  if (std::align(kLargePage, kLargePage, begin, left))
    madvise(begin, left & ~(kLargePage - 1), MADV_HUGEPAGE);
  std::free(heap);
}

}  // namespace

int main(int argc, char** argv) {
  std::setlocale(LC_ALL, "C");  // numbers are read and written with a point, whatever the locale
  keep_and_enlarge_pages();
  using namespace rigproof;
  return run_command_line({demo_command(),
                           look_command(),
                           assess_command(),
                           report_command(),
                           explain_command(),
                           simulate_command(),
                           selftest_command(),
                           add_command(),
                           new_command(),
                           plan_command(),
                           watch_command(),
                           trend_command(),
                           rigs_command(),
                           seal_command(),
                           audit_command(),
                           bundle_command(),
                           redo_command()},
                          argc,
                          argv);
}
