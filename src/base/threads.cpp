#include "base/threads.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <utility>
#include <vector>

namespace rigproof {

namespace {

thread_local int share = 0;  // of the cores, 0: all

class Share {
 public:
  explicit Share(int threads) : before_(std::exchange(share, threads)) {}
  ~Share() { share = before_; }
  Share(const Share&) = delete;
  Share& operator=(const Share&) = delete;

 private:
  int before_;
};

}  // namespace

int default_threads() {
  static const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  return share > 0 ? share : cores;
}

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
  const int each = std::max(1, default_threads() / threads);
  const auto take_blocks = [&](int w) {
    const Share mine(each);
    for (std::size_t b; (b = next.fetch_add(1)) < blocks;) {
      try {
        work(b, w);
      } catch (...) {
        first[w] = {b, std::current_exception()};
        next.store(blocks);  // the others finish their block and stop
        return;
      }
    }
  };
  {
    std::vector<std::jthread> others;
    others.reserve(threads - 1);
    for (int w = 1; w < threads; ++w) others.emplace_back(take_blocks, w);
    take_blocks(0);
  }
  const auto worst = std::ranges::min_element(first, {}, &Failure::block);
  if (worst->error) std::rethrow_exception(worst->error);
}

}  // namespace rigproof
