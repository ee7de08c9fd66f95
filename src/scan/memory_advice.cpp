#include "scan/memory_advice.h"

#include <cstdint>

#include <sys/mman.h>

namespace rigproof {

void advise_huge(void* data, std::size_t bytes) {
  static constexpr std::uintptr_t kHuge = 2u << 20;
  const auto begin = (reinterpret_cast<std::uintptr_t>(data) + kHuge - 1) / kHuge * kHuge;
  const auto end = (reinterpret_cast<std::uintptr_t>(data) + bytes) / kHuge * kHuge;
  if (begin < end) ::madvise(reinterpret_cast<void*>(begin), end - begin, MADV_HUGEPAGE);
}

}  // namespace rigproof
