// A temperature log: any bytes are read or refused; what is read has finite numbers.
#include <cmath>
#include <cstdlib>

#include "base/error.h"
#include "fuzz/file_for.h"
#include "inputs/temperature_log.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  try {
    const auto log = load_temperature_log(file_for("log.csv", data, size));
    for (const auto& reading : log)
      if (!std::isfinite(reading.hours) || !std::isfinite(reading.celsius)) std::abort();
    if (!std::isfinite(fastest_change(log).kelvin_per_hour)) std::abort();
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data) std::abort();
  }
  return 0;
}
