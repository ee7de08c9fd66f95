#pragma once

#include <filesystem>
#include <string>

#include <gtest/gtest.h>

/// A file of the shared reference data, or a skipped test with a clear message in a lone clone.
#define RIGPROOF_SHARED_FILE(variable, relative)                                                \
  const std::filesystem::path variable = std::filesystem::path(RIGPROOF_SHARED_DIR) / relative; \
  if (!std::filesystem::exists(variable))                                                       \
  GTEST_SKIP() << "reference data not beside this clone: shared/" << relative
