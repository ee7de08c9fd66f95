#include "base/threads.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace rigproof {

int default_threads() { return std::max(1u, std::thread::hardware_concurrency()); }

void parallel_blocks(std::size_t blocks,
                     int threads,
                     const std::function<void(std::size_t, int)>& work) {
  if (threads <= 0) threads = default_threads();
  threads = static_cast<int>(std::min<std::size_t>(threads, std::max<std::size_t>(blocks, 1)));
  if (threads == 1) {
    for (std::size_t b = 0; b < blocks; ++b) work(b, 0);
    return;
  }
  std::atomic<std::size_t> next{0};
  struct Failure {
    std::size_t block;
    std::exception_ptr error;
  };
  std::vector<Failure> first(threads, {SIZE_MAX, nullptr});
  {
    std::vector<std::jthread> pool;
    pool.reserve(threads);
    for (int w = 0; w < threads; ++w)
      pool.emplace_back([&, w] {
        for (std::size_t b; (b = next.fetch_add(1)) < blocks;) {
          try {
            work(b, w);
          } catch (...) {
            first[w] = {b, std::current_exception()};
            next.store(blocks);  // the others finish their block and stop
            return;
          }
        }
      });
  }
  const auto worst = std::ranges::min_element(first, {}, &Failure::block);
  if (worst->error) std::rethrow_exception(worst->error);
}

}  // namespace rigproof
