#pragma once

#include <filesystem>
#include <string>

#include "report/options.h"

namespace rigproof {

/// The folder of templates, styles, viewer and languages that these options name.
std::filesystem::path assets_folder(const ReportOptions& options);
/// three.js as Debian's libjs-three installs it, or a copy in <assets>/viewer; "" when there is
/// none: the report then shows its static views.
std::string three_js(const std::filesystem::path& assets);
/// "'sha256-…'" of a script or style element's content (Content Security Policy Level 3).
std::string policy_hash(const std::string& content);

}  // namespace rigproof
