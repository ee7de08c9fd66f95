#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "seal/compare.h"
#include "seal/seal.h"

namespace rigproof {

enum class AuditOutcome { matches, differs, not_recomputed };
std::string to_string(AuditOutcome outcome);

struct AuditOptions {
  bool recompute = true;
  std::vector<std::string> signers;  ///< keys trusted for this audit beside the known ones
  CertificateRenderer render;
  int threads = 0;
  std::function<void(const std::string& scan)> progress;
};

/// What an audit found, each part for itself. Texts in `differs` and `notes` are for people.
struct Audit {
  AuditOutcome outcome = AuditOutcome::not_recomputed;
  bool bundle = false;     ///< a customer folder: recomputed from cut-outs
  bool signature = false;  ///< holds over the manifest
  bool known_signer = false;
  std::string signer;                                ///< name that the key is known by here
  Manifest manifest;                                 ///< as far as it could be read
  std::vector<std::string> changed, missing, added;  ///< paths
  /// Scans that the signature does not cover byte for byte; of these, no value that was computed
  /// again speaks for the unvouched.
  std::vector<std::string> cut_outs, unvouched;
  bool results_read = false;             ///< the sealed results
  std::optional<Comparison> comparison;  ///< nullopt: not recomputed
  std::vector<std::string> differs, notes;
  std::vector<Finding> findings;
};

/// Checks signature, signer and every file, then computes everything again from the scans (of a
/// customer folder: from its cut-outs) and compares. Throws Error(missing) when there is no seal at
/// all.
Audit audit_session(const std::filesystem::path& folder, const AuditOptions& options);

/// {"schema": "rigproof-audit-1", "outcome", "signature", "signer", "files", "verdict", "values",
/// "findings", "notes"}.
std::string audit_json(const Audit& audit);

}  // namespace rigproof
