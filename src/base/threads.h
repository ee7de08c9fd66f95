#pragma once

#include <cstddef>
#include <functional>

namespace rigproof {

/// One thread a core, at least one; within work() below, the worker's share of them, so that what
/// runs side by side does not start more threads than there are cores.
int default_threads();

/// Calls work(block, worker) once for every block 0 … blocks−1 on `threads` threads (0: default),
/// the calling one among them.
/// Results must be stored by block, so that they do not depend on the number of threads. The first
/// exception in block order is rethrown after all threads have ended.
void parallel_blocks(std::size_t blocks,
                     int threads,
                     const std::function<void(std::size_t block, int worker)>& work);

}  // namespace rigproof
