#include "app/report_command.h"

#include <algorithm>
#include <memory>
#include <set>

#include <fmt/format.h>

#include "app/console.h"
#include "app/outputs.h"
#include "app/stored_outputs.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "inputs/session_folder.h"
#include "record/pictures.h"
#include "record/results_reader.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct ReportCommandOptions {
  std::string where = ".", results, after, out;
  DocumentOptions documents;
};

[[noreturn]] void changed(const fs::path& file, const char* how, const fs::path& session) {
  throw Error(ErrorKind::data,
              display(file) + ": " + how + " since the session was assessed",
              "Assess the session again: rigproof assess " + display(session) + ".");
}

// The evaluation must have read the session's files as they are now. Scans are not read again.
void check_inputs(const Results& results, const fs::path& session) {
  std::error_code ec;
  std::set<std::string> scans;
  for (const ScanRecord& scan : results.scans) scans.insert(scan.file);
  FileDigests digests;  // one file may be listed for several reasons
  for (const InputRecord& input : results.inputs) {
    if (scans.contains(input.path)) continue;
    const fs::path file = path_within(session, input.path);
    if (!fs::is_regular_file(file, ec)) changed(file, "has gone", session);
    if (digests.of(file) != input.sha256) changed(file, "has changed", session);
  }
  for (const char* name : {"rig.toml", "limits.toml", "procedure.toml"})
    if (fs::is_regular_file(session / name, ec) &&
        std::ranges::find(results.inputs, name, &InputRecord::path) == results.inputs.end())
      changed(session / name, "has been added", session);
}

void add_pictures(Results& results,
                  const fs::path& from,
                  const std::string& results_sha256,
                  const Console& console) {
  try {
    read_pictures(read_text(from / "pictures.bin", kMostStoredBytes), results_sha256, results);
  } catch (const Error& error) {
    console.problem("rigproof: without deviation pictures: " + safe(error.what()));
  }
}

std::string json_text(const fs::path& folder) {
  std::string names;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder)) files.push_back(entry.path().filename());
  std::ranges::sort(files);
  for (const fs::path& file : files)
    names += fmt::format("{}\"{}\"", names.empty() ? "" : ", ", file.string());
  return fmt::format(
      "{{\"folder\": \"{}\", \"written\": [{}]}}", escape_json(safe(folder.string())), names);
}

int run_report(const ReportCommandOptions& o, Console& console) {
  const Session session = load_session(o.where);
  const FolderLock lock(session.folder, FolderLock::Kind::shared);
  const fs::path wanted = output_target(session, o.out);
  clear_unfinished(wanted, console);
  const fs::path from = o.results.empty() ? newest_output(session.folder) : fs::path(o.results);
  const std::string text = read_text(from / "results.json", kMostStoredBytes);
  StoredResults stored = results_from_json(text, session);
  check_inputs(stored.results, session.folder);
  const auto before = session_before(session, o.after);
  ReportOptions report = document_options(session, o.documents);
  report.previous = before.get();
  report.results_text = text;
  report.software_version = stored.version;
  report.software_build = stored.build;
  add_pictures(stored.results, from, sha256_hex(text), console);
  const fs::path folder = write_outputs(stored.results, report, o.documents, wanted);
  if (console.json) {
    console.result(json_text(folder));
    return 0;
  }
  console.result("Rendered from " + display(from / "results.json") + ": " +
                 display(stored.results.headline));
  console.result("Next: open " + display(folder / "report.html"));
  return 0;
}

}  // namespace

Command report_command() {
  auto o = std::make_shared<ReportCommandOptions>();
  return {
      "report",
      "Report, certificate and handover sheet again, without evaluating.",
      {"rigproof report 2026-03-14-R12-300-acceptance --lang de",
       "rigproof report --units inch --out for-customer",
       "rigproof report SESSION --results SESSION/out-2 --lang en"},
      {{"SESSION", "SESSION", "a session folder (default: this one)", &o->where},
       {"--lang", "CODE", "language: en, de (default: the issuer's first)", &o->documents.language},
       {"--units", "U", "lengths in mm or inch (default: the issuer's)", &o->documents.units},
       {"--after", "SESSION", "the session before this one, shown beside it", &o->after},
       {"--results", "DIR", "the output folder to render (default: the newest)", &o->results},
       {"--out", "DIR", "write here instead of out-2/ … in the session", &o->out}},
      "0 written · 64–78 errors",
      [o](Console& console) { return run_report(*o, console); }};
}

}  // namespace rigproof
