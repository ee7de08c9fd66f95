#include "scan/memory_advice.h"

#include <cstdint>

#include <sys/mman.h>

namespace rigproof {

void advise_huge(void* data, std::size_t bytes) {
  static constexpr std::size_t kHuge = 2u << 20;
  const std::size_t skip = (kHuge - reinterpret_cast<std::uintptr_t>(data) % kHuge) % kHuge;
  if (bytes < skip + kHuge) return;
  ::madvise(static_cast<char*>(data) + skip, (bytes - skip) / kHuge * kHuge, MADV_HUGEPAGE);
}

}  // namespace rigproof
