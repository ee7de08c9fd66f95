#include "report/assets.h"

#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "report/plain_text.h"

namespace rigproof {

namespace fs = std::filesystem;

fs::path assets_folder(const ReportOptions& options) {
  const fs::path folder = options.assets.empty() ? share_folder("reports") : options.assets;
  if (!fs::is_directory(folder / "templates"))
    throw Error(ErrorKind::missing,
                display(folder) + ": the report templates are not here",
                "Install the program completely, or set RIGPROOF_SHARE to its share folder.");
  return folder;
}

std::string three_js(const fs::path& assets) {
  for (const fs::path& file : {assets / "viewer" / "three.min.js", fs::path(RIGPROOF_THREE_JS)}) {
    std::error_code ignored;
    if (!file.empty() && fs::is_regular_file(file, ignored)) return read_text(file);
  }
  return "";
}

std::string policy_hash(const std::string& content) {
  const std::string hex = sha256_hex(content);
  std::string bytes;
  for (std::size_t i = 0; i < hex.size(); i += 2)
    bytes += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
  return "'sha256-" + base64(bytes) + "'";
}

}  // namespace rigproof
