#include "seal/before_seal.h"

#include <map>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "assess/assess.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/line.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// A sealed session takes nothing from elsewhere, so that it can be audited anywhere.
void check_complete(const Session& session) {
  if (session.looked_up.empty()) return;
  std::vector<std::string> from, copies;
  for (const fs::path& file : session.looked_up) {
    const std::string kind = file.parent_path().filename().string();
    from.push_back(display(file));
    copies.push_back(display(file.filename()) + " as " +
                     (kind == "rigs"     ? "rig.toml"
                      : kind == "limits" ? "limits.toml"
                                         : "procedure.toml"));
  }
  throw Error(ErrorKind::config,
              display(session.folder) + ": is not complete in itself: it takes " +
                  fmt::format("{}", fmt::join(from, ", ")),
              fmt::format("Copy into it {}, then assess and seal.", fmt::join(copies, ", ")));
}

}  // namespace

void check_before_seal(const Session& session, const std::string& by) {
  check_line("the authorising name", by, ErrorKind::usage);
  check_line("the session's id", session.id, ErrorKind::config);
  check_complete(session);
  const fs::path index = session.folder / kBundleFile;
  std::error_code ec;
  if (fs::exists(fs::symlink_status(index, ec)))
    throw Error(ErrorKind::config,
                display(index) + ": is the name of a customer folder's index",
                "Give that file another name.");
}

void refuse_unassessed(const fs::path& session, const std::string& what) {
  throw Error(
      ErrorKind::data, what, "Assess again, then seal: rigproof assess " + display(session) + ".");
}

void check_assessed(const Session& session,
                    const Results& results,
                    const std::vector<ManifestFile>& files) {
  std::map<std::string, std::string> present;
  for (const ManifestFile& file : files) present[file.path] = file.sha256;
  std::set<std::string> read;
  for (const InputRecord& input : results.inputs) {
    read.insert(input.path);
    if (input.sha256.empty()) continue;  // a scan that could not be opened
    const auto now = present.find(input.path);
    if (now == present.end() || now->second != input.sha256)
      refuse_unassessed(
          session.folder,
          display(session.folder / input.path) + ": is not the file that was assessed");
  }
  const auto refuse_late = [&](const std::string& path) {
    refuse_unassessed(session.folder,
                      display(session.folder / path) + ": came after the session was assessed");
  };
  for (const InputRecord& input : input_files(session))
    if (!read.contains(input.path)) refuse_late(input.path);
  // A scan that was read is one that was judged or left out with its reason.
  std::set<std::string> judged;
  for (const ScanRecord& scan : results.scans) judged.insert(scan.file);
  for (const fs::path& scan : session.scans)
    if (const std::string path = "scans/" + scan.filename().string();
        !judged.contains(path) || !read.contains(path))
      refuse_late(path);
}

}  // namespace rigproof
