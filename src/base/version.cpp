#include "base/version.h"

#include <fmt/format.h>

namespace rigproof {

std::string version() { return RIGPROOF_VERSION; }

std::string build() {
#if defined(__clang__)
  const std::string compiler = fmt::format("clang++ {}.{}", __clang_major__, __clang_minor__);
#else
  const std::string compiler = fmt::format("g++ {}.{}", __GNUC__, __GNUC_MINOR__);
#endif
#if defined(__x86_64__)
  return compiler + " x86-64";
#elif defined(__aarch64__)
  return compiler + " aarch64";
#else
  return compiler;
#endif
}

}  // namespace rigproof
