#include "assess/earlier_run.h"

#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/input_file.h"
#include "base/json_excess.h"
#include "inputs/session_folder.h"

namespace rigproof {
namespace {

constexpr std::size_t kMostBytes = 256u << 20;

std::string text_at(const nlohmann::json& object, const char* key) {
  const auto at = object.find(key);
  return at != object.end() && at->is_string() ? at->get<std::string>() : "";
}

}  // namespace

std::optional<EarlierRun> first_run(const std::filesystem::path& session_folder) {
  const auto file = path_within(session_folder, "out/results.json");
  std::error_code ec;
  if (!std::filesystem::is_regular_file(file, ec)) return std::nullopt;
  try {
    const std::string text = read_text(file, kMostBytes);
    if (json_excess(text)) return std::nullopt;
    const auto results = nlohmann::json::parse(text, nullptr, false);
    if (!results.is_object() || !results.contains("session") || !results["session"].is_object())
      return std::nullopt;
    EarlierRun run;
    run.where = "out/results.json";
    run.rule = text_at(results["session"], "rule");
    run.calibration_sha256 = text_at(results["session"], "calibration_sha256");
    if (results.contains("scans") && results["scans"].is_array())
      run.scans = results["scans"].size();
    return run;
  } catch (const Error&) {
    return std::nullopt;
  }
}

}  // namespace rigproof
