#include "app/bundle_command.h"

#include <memory>

#include <fmt/format.h>

#include "app/certificate_renderer.h"
#include "app/console.h"
#include "app/interrupt.h"
#include "app/outputs.h"
#include "base/error.h"
#include "base/input_file.h"
#include "report/plain_text.h"
#include "seal/audit.h"
#include "seal/bundle.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct BundleCommandOptions {
  std::string where = ".", out;
};

/// Nothing that was changed after sealing goes to a customer.
void check_seal(const fs::path& session) {
  AuditOptions options;
  options.recompute = false;
  options.render = certificate_renderer(session);
  const Audit audit = audit_session(session, options);
  if (audit.outcome == AuditOutcome::matches) return;
  throw Error(ErrorKind::data,
              display(session) + ": is not as it was sealed: " +
                  (audit.differs.empty() ? "files are missing" : audit.differs.front()),
              "Audit it: rigproof audit " + display(session) + ".");
}

int run_bundle(const BundleCommandOptions& o, Console& console) {
  if (!is_sealed(o.where))
    throw Error(ErrorKind::usage,
                display(o.where) + ": is not sealed",
                "Seal it first: rigproof seal " + display(o.where) + " --by NAME.");
  check_seal(o.where);
  const fs::path session = fs::weakly_canonical(o.where);
  const fs::path wanted = o.out.empty()
                              ? session.parent_path() / (session.filename().string() + "-customer")
                              : fs::path(o.out);
  clear_unfinished(wanted, console);
  BundleOptions options;
  options.progress = [&](const std::string& scan) {
    console.detail("points of " + display(scan));
    stop_if_interrupted();
  };
  const BundleOutcome outcome = write_bundle(o.where, wanted, options);
  if (console.json) {
    console.result(fmt::format(
        R"({{"folder": "{}", "cut_outs": {}, "whole": {}, "bytes": {}, "raw_bytes": {}}})",
        escape_json(outcome.folder.string()),
        outcome.cut_outs,
        outcome.whole,
        outcome.bytes,
        outcome.raw_bytes));
    return exit_within;
  }
  console.result(fmt::format("Customer folder {}: {} cut-outs{}, {} of {} MB of scans",
                             display(outcome.folder),
                             outcome.cut_outs,
                             outcome.whole ? fmt::format(" and {} whole scans", outcome.whole) : "",
                             (outcome.bytes + 500'000) / 1'000'000,
                             (outcome.raw_bytes + 500'000) / 1'000'000));
  console.result("Next: hand it over; rigproof audit " + display(outcome.folder) +
                 " checks it anywhere.");
  return exit_within;
}

}  // namespace

Command bundle_command() {
  auto o = std::make_shared<BundleCommandOptions>();
  return {"bundle",
          "The customer's folder: certificate, results, and the points they come from.",
          {"rigproof bundle 2026-03-14-R12-300-acceptance",
           "rigproof bundle SESSION --out for-customer",
           "rigproof bundle --json"},
          {{"SESSION", "SESSION", "a sealed session (default: this folder)", &o->where},
           {"--out", "DIR", "write here (default: beside the session, -customer)", &o->out}},
          "0 written · 64–78 errors",
          [o](Console& console) { return run_bundle(*o, console); }};
}

}  // namespace rigproof
