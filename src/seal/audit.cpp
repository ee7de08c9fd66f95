#include "seal/audit.h"

#include <algorithm>

#include <fmt/format.h>

#include "assess/assess.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "base/version.h"
#include "record/results_reader.h"
#include "seal/audit_bundle.h"
#include "seal/audit_files.h"
#include "seal/layout.h"
#include "seal/signers.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

void recompute(const Session& session,
               const StoredResults& sealed,
               const AuditOptions& options,
               Audit& audit) {
  AssessOptions how;
  how.threads = options.threads;
  how.progress = options.progress;
  Session as_sealed = session;
  as_sealed.assumed_date = sealed.results.session.assumed_date;
  const Results again = assess(as_sealed, how);
  audit.comparison = compare(sealed.results, again, audit.bundle);
  const Comparison& c = *audit.comparison;
  if (c.verdict_before != c.verdict_after)
    audit.differs.push_back("the verdict was " + to_string(c.verdict_before) + " and is " +
                            to_string(c.verdict_after));
  const auto different = std::ranges::count_if(c.values, [](const auto& v) { return !v.same(); });
  if (different > 0)
    audit.differs.push_back(fmt::format("{} of {} values differ", different, c.values.size()));
  for (const std::string& fact : c.facts)
    audit.differs.push_back(fact + " is not what the files of the session give");
  for (const std::string& words : c.words)
    (sealed.version == version() && sealed.build == build() ? audit.differs : audit.notes)
        .push_back(words + " of the sealed results read otherwise when computed again");
  if (sealed.version != version())
    audit.findings.push_back(make_finding("other-version",
                                          {{"version", version()},
                                           {"sealed", sealed.version},
                                           {"difference", micrometres(c.largest_difference, 6)}}));
}

/// Where a sealed file lies in this folder.
std::string path_here(const std::string& sealed, const Audit& audit) {
  return audit.bundle ? place_in_bundle(sealed, audit.manifest) : sealed;
}

/// The documents drawn again from the sealed results. With the same program and fonts their bytes
/// are the same; otherwise only their signature speaks for them.
void check_certificate(const fs::path& folder,
                       const StoredResults& sealed,
                       const std::string& text,
                       const AuditOptions& options,
                       Audit& audit) {
  const Manifest& m = audit.manifest;
  if (m.version != version() || m.build != build() || m.drawing != drawing_digest(options.render)) {
    audit.notes.push_back(
        "the certificate was drawn by another version or with other fonts: its words are vouched "
        "for by the signature alone");
    return;
  }
  for (const auto& [name, content] : options.render(sealed.results, text, seal_mark(m))) {
    const std::string path = "seal/" + name;
    const auto present = seal_file(folder / path_here(path, audit), kMostResultBytes);
    if (present && *present != content &&
        std::ranges::find(audit.changed, path) == audit.changed.end()) {
      audit.findings.push_back(make_finding("certificate-edited", {{"file", path}}));
      audit.differs.push_back(display(path) + " does not say what the sealed results say");
    }
  }
}

void compute_again(const fs::path& folder,
                   const std::optional<BundleIndex>& bundle,
                   const AuditOptions& options,
                   Audit& audit) {
  if (!audit.manifest.find(audit.manifest.results)) {
    audit.notes.push_back("not recomputed: the manifest names no results");
    return;
  }
  try {
    const Session session = load_session(folder);
    const std::string text =
        read_text(folder / path_here(audit.manifest.results, audit), kMostResultBytes);
    const StoredResults sealed = results_from_json(text, session);
    audit.results_read = true;
    if (bundle) check_cut_outs(*bundle, sealed.results, audit);
    check_certificate(folder, sealed, text, options, audit);
    if (options.recompute)
      recompute(session, sealed, options, audit);
    else
      audit.notes.push_back("not recomputed, as asked");
  } catch (const Error& error) {
    audit.notes.push_back(std::string("not recomputed: ") + error.what());
  }
}

void check_whole(const fs::path& folder, const AuditOptions& options, Audit& audit) {
  std::optional<BundleIndex> bundle;
  if (const auto text = seal_file(folder / kBundleFile, kMostResultBytes))
    bundle = parse_bundle(*text);
  audit.bundle = bundle.has_value();
  check_signature(folder / kSealFolder, options, audit);
  if (!audit.signature) return;
  if (audit.manifest.stage != "session")
    audit.differs.push_back(
        "the manifest is that of limits and plan, put in the place of the whole");
  check_files(folder, bundle, audit);
  check_agreement(folder, options, audit);
  compute_again(folder, bundle, options, audit);
  if (bundle) say_cut_outs(*bundle, audit);
}

/// Nothing that could have been checked was left out, but for computing again when that was not
/// asked for. The scans of a customer folder are known from its results alone.
bool is_complete(const AuditOptions& options, const Audit& audit) {
  if (!audit.missing.empty()) return false;
  return audit.comparison || (!options.recompute && (audit.results_read || !audit.bundle));
}

}  // namespace

std::string to_string(AuditOutcome outcome) {
  switch (outcome) {
    case AuditOutcome::matches:
      return "matches";
    case AuditOutcome::differs:
      return "differs";
    case AuditOutcome::not_recomputed:
      return "not recomputed";
  }
  return "";
}

Audit audit_session(const fs::path& folder, const AuditOptions& options) {
  std::error_code ec;
  if (!fs::is_directory(folder / kSealFolder, ec))
    throw Error(ErrorKind::missing,
                display(folder) + ": is not sealed",
                "Seal it with rigproof seal, or name a sealed session or a customer folder.");
  trusted_signers();  // a list that cannot be read is no fault of the session
  Audit audit;
  const bool agreed_alone = only_agreed(folder);
  try {
    if (agreed_alone)
      check_agreed_alone(folder, options, audit);
    else
      check_whole(folder, options, audit);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data && error.kind() != ErrorKind::missing) throw;
    // A link, a damaged index: whatever it is, it was not sealed.
    audit.differs.push_back(error.what());
  }
  const bool complete = !agreed_alone && is_complete(options, audit);
  audit.outcome = !audit.differs.empty() ? AuditOutcome::differs
                  : complete             ? AuditOutcome::matches
                                         : AuditOutcome::not_recomputed;
  return audit;
}

}  // namespace rigproof
