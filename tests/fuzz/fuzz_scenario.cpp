// A scenario of the virtual rig: any bytes are read or refused, with the values within their
// ranges.
#include <cstdlib>

#include "base/error.h"
#include "fuzz/file_for.h"
#include "simulate/scenario.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  try {
    load_scenario(file_for("scenario.toml", data, size)).check();
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::internal) std::abort();
  }
  return 0;
}
