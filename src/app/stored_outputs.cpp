#include "app/stored_outputs.h"

#include <charconv>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session_folder.h"
#include "record/results_reader.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

// 1 for "out", n for "out-n", 0 for another name.
int output_number(const std::string& name) {
  if (name == "out") return 1;
  int n = 0;
  if (!name.starts_with("out-")) return 0;
  const char* end = name.data() + name.size();
  const auto [stop, error] = std::from_chars(name.data() + 4, end, n);
  return error == std::errc() && stop == end && n > 1 ? n : 0;
}

}  // namespace

fs::path newest_output(const fs::path& session) {
  fs::path newest;
  int most = 0;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(session, ec)) {
    const std::string name = entry.path().filename().string();
    const int n = output_number(name);
    if (n <= most || !fs::is_regular_file(path_within(session, name + "/results.json"), ec))
      continue;
    most = n;
    newest = entry.path();
  }
  if (newest.empty())
    throw Error(ErrorKind::missing,
                display(session) + ": there are no results to report",
                "Assess it first: rigproof assess " + display(session) + ".");
  return newest;
}

std::unique_ptr<const Results> session_before(const Session& session, const std::string& folder) {
  if (folder.empty()) return nullptr;
  const Session before = load_session(folder);
  if (before.rig.id != session.rig.id || before.field_name != session.field_name)
    throw Error(ErrorKind::usage,
                "--after " + display(folder) + ": is a session of another rig or field",
                "Name the session before this one of rig " + display(session.rig.id) + ", field " +
                    display(session.field_name) + ".");
  const fs::path file = newest_output(before.folder) / "results.json";
  return std::make_unique<const Results>(
      results_from_json(read_text(file, kMostStoredBytes), before).results);
}

}  // namespace rigproof
