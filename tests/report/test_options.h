#pragma once

#include "report/options.h"

namespace rigproof {

inline ReportOptions test_options(const std::string& language = "en") {
  ReportOptions options;
  options.assets = RIGPROOF_SOURCE_DIR "/reports";
  options.language = language;
  options.software_version = "0.1.0";
  options.software_build = "test";
  return options;
}

}  // namespace rigproof
