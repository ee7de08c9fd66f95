#include "app/audit_command.h"

#include <memory>

#include <fmt/format.h>

#include "app/certificate_renderer.h"
#include "app/console.h"
#include "app/interrupt.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "seal/audit.h"

namespace rigproof {
namespace {

struct AuditCommandOptions {
  std::string where = ".";
  bool hashes_only = false;
  std::vector<std::string> signers;
};

std::string micrometres_or_none(const std::optional<double>& mm) {
  return mm ? fixed(*mm * 1000, 3) : "none";
}

void print_values(const Console& console, const Comparison& c) {
  console.result(fmt::format("  {:20} {:>12} {:>12}", "value in µm", "old", "new"));
  for (const ComparedValue& v : c.values)
    console.result(fmt::format("  {:20} {:>12} {:>12} {} {}",
                               v.characteristic,
                               micrometres_or_none(v.before),
                               micrometres_or_none(v.after),
                               v.same() ? "=" : "DIFFERS",
                               display(v.scan + (v.feature.empty() ? "" : " " + v.feature))));
  console.result(fmt::format("  verdict              {:>12} {:>12}",
                             to_string(c.verdict_before),
                             to_string(c.verdict_after)));
}

void print_people(const Console& console, const Audit& a) {
  console.result(console.bold(a.outcome == AuditOutcome::matches   ? "MATCHES"
                              : a.outcome == AuditOutcome::differs ? "DIFFERS"
                                                                   : "NOT RECOMPUTED"));
  if (a.signature)
    console.result(fmt::format("Sealed {} by {}, key {}{}",
                               display(a.manifest.sealed),
                               display(a.manifest.authorised_by),
                               display(a.manifest.key),
                               a.known_signer ? " (trusted here)" : " (NOT KNOWN HERE)"));
  for (const std::string& text : a.differs) console.result("  differs: " + display(text));
  for (const Finding& f : a.findings)
    console.result(fmt::format("  {} {}: {}", to_string(f.severity), f.id, display(f.text)));
  for (const std::string& text : a.notes) console.result("  note: " + display(text));
  if (a.comparison) print_values(console, *a.comparison);
  console.result(a.outcome == AuditOutcome::matches
                     ? "Next: nothing to do; the record stands."
                     : "Next: compare with the issuer's own copy before anything is decided.");
}

int run_audit(const AuditCommandOptions& o, Console& console) {
  AuditOptions options;
  options.recompute = !o.hashes_only;
  options.signers = o.signers;
  options.render = certificate_renderer(o.where);
  options.progress = [&](const std::string& scan) {
    console.detail("computed again " + display(scan));
    stop_if_interrupted();
  };
  const Audit audit = audit_session(o.where, options);
  if (console.json)
    console.result(audit_json(audit));
  else
    print_people(console, audit);
  switch (audit.outcome) {
    case AuditOutcome::matches:
      if (!audit.known_signer)
        console.problem("rigproof: the key is not known here; compare it with the issuer's");
      return exit_within;
    case AuditOutcome::differs:
      console.problem("rigproof: differs from what was sealed: " + display(audit.differs.front()));
      return exit_outside;
    case AuditOutcome::not_recomputed:
      console.problem("rigproof: the values cannot be computed again");
      return exit_invalid;
  }
  return exit_invalid;
}

}  // namespace

Command audit_command() {
  auto o = std::make_shared<AuditCommandOptions>();
  return {"audit",
          "Check a seal: signature, every file, and every value computed again from the scans.",
          {"rigproof audit 2026-03-14-R12-300-acceptance",
           "rigproof audit customer-folder --signer 3b6a27bc…",
           "rigproof audit SESSION --hashes-only --json"},
          {{"SESSION",
            "SESSION|BUNDLE",
            "a sealed session or a customer folder (default: this one)",
            &o->where},
           {"--signer", "KEY", "a public key to trust for this audit", &o->signers},
           {"--hashes-only", "", "signature and files, without computing again", &o->hashes_only}},
          "0 matches · 1 differs · 3 cannot be recomputed · 64–78 errors",
          [o](Console& console) { return run_audit(*o, console); }};
}

}  // namespace rigproof
