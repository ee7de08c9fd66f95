#include "base/fresh_memory.h"

#include <sys/mman.h>

namespace rigproof {
namespace {

constexpr std::size_t kLargePage = 2 << 20;

bool spans_large_pages(std::size_t bytes) { return bytes >= 2 * kLargePage; }

}  // namespace

void* take_fresh(std::size_t bytes) {
  if (!spans_large_pages(bytes)) return ::operator new(bytes);
  void* memory = ::operator new(bytes, std::align_val_t(kLargePage));
  madvise(memory, bytes, MADV_HUGEPAGE);  // a wish: where it is not granted nothing else changes
  return memory;
}

void give_back_fresh(void* memory, std::size_t bytes) noexcept {
  if (spans_large_pages(bytes))
    ::operator delete(memory, std::align_val_t(kLargePage));
  else
    ::operator delete(memory);
}

}  // namespace rigproof
