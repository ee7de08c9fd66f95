#pragma once

#include <chrono>
#include <cstdio>

namespace rigproof::bench {

/// Prints the wall seconds of each step of a recipe as it ends.
class Phases {
 public:
  void end(const char* name) {
    const auto now = Clock::now();
    std::printf("phase %s %.3f s\n", name, std::chrono::duration<double>(now - start_).count());
    start_ = now;
  }

 private:
  using Clock = std::chrono::steady_clock;
  Clock::time_point start_ = Clock::now();
};

}  // namespace rigproof::bench
