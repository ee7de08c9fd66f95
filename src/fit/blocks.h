#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

#include "base/threads.h"

// Several machine versions of one loop, chosen when the program starts. IEEE operations without
// contraction give the same bits in each of them. ThreadSanitizer runs before the choice is made
// and crashes in it.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_THREAD__)
#define RIGPROOF_MULTIVERSION __attribute__((target_clones("default", "avx2", "avx512f")))
#else
#define RIGPROOF_MULTIVERSION
#endif

namespace rigproof {

inline constexpr std::size_t kLanes = 8;
/// Points per block sum. Blocks, lanes and the order of addition never depend on the threads.
inline constexpr std::size_t kBlock = 16384;
/// Fewer blocks than this are summed by the calling thread: starting threads would cost more.
inline constexpr std::size_t kBlocksWorthThreads = 8;

using Lanes = double __attribute__((vector_size(kLanes * sizeof(double))));

/// work(begin, end, block) over fixed blocks of `n` items.
template <class Work>
void for_blocks(std::size_t n, int threads, const Work& work) {
  const std::size_t blocks = (n + kBlock - 1) / kBlock;
  if (blocks < kBlocksWorthThreads) threads = 1;
  parallel_blocks(blocks, threads, [&](std::size_t b, int) {
    work(b * kBlock, std::min(n, (b + 1) * kBlock), b);
  });
}

/// Σ over fixed blocks of sum(begin, end), added in block order.
template <class Sums, class Sum>
Sums sum_blocks(std::size_t n, int threads, const Sum& sum) {
  std::vector<Sums> parts((n + kBlock - 1) / kBlock);
  for_blocks(n, threads, [&](std::size_t begin, std::size_t end, std::size_t b) {
    parts[b] = sum(begin, end);
  });
  Sums total{};
  for (const Sums& part : parts) total += part;
  return total;
}

}  // namespace rigproof
