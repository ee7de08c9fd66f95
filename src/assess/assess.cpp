#include "assess/assess.h"

#include <algorithm>
#include <chrono>
#include <mutex>
#include <utility>

#include "assess/diagnosing.h"
#include "assess/earlier_run.h"
#include "assess/judging.h"
#include "assess/scan_pass.h"
#include "assess/selftest.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "base/threads.h"
#include "inputs/session_folder.h"
#include "judge/session_gates.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

std::string relative_name(const Session& session, const fs::path& file) {
  return file.lexically_relative(session.folder).generic_string();
}

const ScanOverride* override_of(const Session& session, const std::string& name) {
  const auto it = std::ranges::find(session.overrides, name, &ScanOverride::file);
  return it == session.overrides.end() ? nullptr : &*it;
}

ScanPassInput pass_input(const Session& session,
                         const fs::path& file,
                         const AssessOptions& options) {
  ScanPassInput in;
  in.path = file;
  in.name = relative_name(session, file);
  in.options.unit_mm = session.rig.unit_mm;
  in.options.to_sensor = session.rig.to_sensor;
  in.options.threads = options.threads;
  in.artefacts = &session.artefacts;
  in.procedure = &session.procedure;
  in.rig = &session.rig;
  in.field = session.field();
  in.environment = &session.environment;
  in.test_date = session.test_date();
  if (const ScanOverride* o = override_of(session, in.name)) {
    in.options.transform = o->transform;
    in.named_artefact = o->artefact;
    in.place = o->place;
  }
  return in;
}

/// A withdrawn scan is listed with its hash and reason and gives no value.
void withdraw(ScanPass& pass, const std::string& reason) {
  pass.record.status = ScanStatus::withdrawn;
  pass.record.reason = reason;
  pass.values.clear();
  pass.placed.clear();
  pass.findings.push_back(make_finding(
      "withdrawn", {{"scan", pass.record.file}, {"reason", reason}}, pass.record.file));
}

/// Files of the calibration are hashed, never parsed: one digest over "name, digest" lines.
std::string calibration_digest(const Session& session, std::vector<InputRecord>& inputs) {
  if (session.calibration.empty()) return {};
  const fs::path at = session.folder / session.calibration;
  std::error_code ec;
  std::vector<fs::path> files;
  if (fs::is_regular_file(at, ec)) files.push_back(at);
  if (fs::is_directory(at, ec)) {
    for (fs::recursive_directory_iterator it(at, ec), end; !ec && it != end; it.increment(ec)) {
      std::error_code unreadable;
      if (it->is_regular_file(unreadable)) files.push_back(it->path());
    }
    if (ec)
      throw Error(ErrorKind::missing,
                  display(at) + ": cannot be listed to its end: " + ec.message(),
                  "The calibration must lie in folders that you may read.");
  }
  if (files.empty()) return {};
  std::ranges::sort(files);
  std::string lines;
  for (const auto& file : files) {
    const std::string digest = sha256_file(file), name = relative_name(session, file);
    inputs.push_back({name, digest, fs::file_size(file)});
    lines += digest + "  " + name + "\n";
  }
  return files.size() == 1 ? inputs.back().sha256 : sha256_hex(lines);
}

/// What changed since the session was first evaluated, and what the temperature log says.
std::vector<Finding> history_findings(const Session& session, const std::string& calibration) {
  std::vector<Finding> out;
  if (const auto earlier = first_run(session.folder))
    out = changed_since(*earlier, session.limits.rule, calibration);
  if (!session.environment.log.empty())
    if (const auto jump =
            temperature_jump(load_temperature_log(session.folder / session.environment.log)))
      out.push_back(*jump);
  return out;
}

/// Throws Error(config) for a link that leads out of the session: not even a digest gets out.
void record_input_files(const Session& session, std::vector<InputRecord>& inputs) {
  std::vector<fs::path> files;
  const auto add = [&](const std::string& name) {
    std::error_code ec;
    const fs::path file = path_within(session.folder, name);
    if (fs::is_regular_file(file, ec)) files.push_back(file);
  };
  for (const char* name :
       {"session.toml", "rig.toml", "limits.toml", "procedure.toml", "plan.toml"})
    add(name);
  if (!session.environment.log.empty())
    add(fs::path(session.environment.log).lexically_normal().string());
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(session.folder / "artefacts", ec))
    add("artefacts/" + entry.path().filename().string());
  std::ranges::sort(files);
  for (const auto& file : files)
    inputs.push_back({relative_name(session, file), sha256_file(file), fs::file_size(file)});
}

/// A scan alone leaves cores idle now and then; several together take as much memory as they are
/// large, and large ones use all cores by themselves.
int scans_at_once(const Session& session, int threads) {
  static constexpr std::uintmax_t kTogether = 512u << 20;  // bytes of files
  std::uintmax_t largest = 1;
  for (const auto& file : session.scans) {
    std::error_code missing;
    const std::uintmax_t size = fs::file_size(file, missing);
    if (!missing) largest = std::max(largest, size);
  }
  if (threads <= 0) threads = default_threads();
  return static_cast<int>(std::clamp<std::uintmax_t>(kTogether / largest, 1, threads));
}

std::vector<ScanPass> assess_scans(const Session& session, const AssessOptions& options) {
  const int at_once = scans_at_once(session, options.threads);
  AssessOptions each = options;
  if (at_once > 1) each.threads = 0;  // their share
  std::vector<ScanPass> passes(session.scans.size());
  std::vector<bool> done(passes.size(), false);
  std::size_t told = 0;
  std::mutex mutex;  // of the three
  parallel_blocks(passes.size(), at_once, [&](std::size_t i, int) {
    ScanPass pass = assess_scan(session, session.scans[i], each);
    const std::lock_guard lock(mutex);
    passes[i] = std::move(pass);
    done[i] = true;
    for (; told < done.size() && done[told]; ++told)
      if (options.progress) options.progress(passes[told].record.file);
  });
  return passes;
}

}  // namespace

std::string to_string(ScanStatus status) {
  switch (status) {
    case ScanStatus::used:
      return "used";
    case ScanStatus::rejected:
      return "rejected";
    case ScanStatus::withdrawn:
      return "withdrawn";
    case ScanStatus::superseded:
      return "superseded";
  }
  return "";
}

std::vector<InputRecord> input_files(const Session& session) {
  std::vector<InputRecord> out;
  record_input_files(session, out);
  calibration_digest(session, out);
  return out;
}

ScanPass assess_scan(const Session& session, const fs::path& file, const AssessOptions& options) {
  ScanPass pass = pass_scan(pass_input(session, file, options));
  const ScanOverride* o = override_of(session, pass.record.file);
  if (o && !o->withdrawn.empty()) withdraw(pass, o->withdrawn);
  return pass;
}

void judge_together(Results& results,
                    std::vector<ScanPass>& passes,
                    const JudgingOptions& judging) {
  std::uint64_t meshes = 0, vertices = 0;
  for (const ScanPass& pass : passes) {
    results.findings.insert(results.findings.end(), pass.findings.begin(), pass.findings.end());
    for (const auto& [phase, seconds] : pass.timings) results.timings[phase] += seconds;
    results.inputs.push_back({pass.record.file, pass.record.sha256, pass.record.bytes});
    results.scans.push_back(pass.record);
    results.simulated = results.simulated || pass.record.simulated;
    if (pass.record.faces > 0) ++meshes, vertices += pass.record.points;
  }
  if (const auto mesh = mesh_finding(meshes, vertices, results.session.rig))
    results.findings.push_back(*mesh);
  judge_session(results, passes, judging);
}

Results assess(const Session& session, const AssessOptions& options) {
  if (session.scans.empty())
    throw Error(ErrorKind::missing,
                display(session.folder) + ": there are no scans to assess",
                "Put the exported scans into " + display(session.folder / "scans") + ".");
  Results results;
  results.session = session;
  results.simulated = session.simulated || session.rig.simulated;
  results.temperature = artefact_temperature(session.environment);
  record_input_files(session, results.inputs);
  results.calibration_sha256 = calibration_digest(session, results.inputs);
  results.findings =
      identity_findings(session, !results.calibration_sha256.empty(), session.test_date());
  for (const auto& more : history_findings(session, results.calibration_sha256))
    results.findings.push_back(more);

  auto start = Clock::now();
  const auto end_phase = [&](const char* name) {
    const auto now = Clock::now();
    results.timings[name] = std::chrono::duration<double>(now - start).count();
    start = now;
  };
  std::vector<ScanPass> passes = assess_scans(session, options);
  end_phase("scans");
  judge_together(results, passes);
  end_phase("judge");
  if (options.diagnosis) diagnose_session(results, passes);
  end_phase("diagnose");
  results.selftest = std::ranges::all_of(run_selftest(), &SelfCheck::passed) ? "passed" : "failed";
  return results;
}

}  // namespace rigproof
