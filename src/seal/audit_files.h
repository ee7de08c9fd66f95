#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "seal/audit.h"
#include "seal/bundle.h"

// Parts of an audit that need no evaluation; each notes in `audit` what differs.

namespace rigproof {

/// A small file of the seal, whole; nullopt when it is absent or no plain file.
std::optional<std::string> seal_file(const std::filesystem::path& file, std::size_t most);

/// Signature, key and manifest belong together; the manifest is read only once its signature holds.
void check_signature(const std::filesystem::path& seal, const AuditOptions& options, Audit& audit);

/// Every file against the manifest, and every sealed file that belongs here; in a customer folder
/// the cut-outs, and they alone, against its index. `audit.bundle` says which it is.
void check_files(const std::filesystem::path& folder,
                 const std::optional<BundleIndex>& bundle,
                 Audit& audit);

/// The agreement of limits and plan is a seal of its own, by the same or another hand.
void check_agreement(const std::filesystem::path& folder,
                     const AuditOptions& options,
                     Audit& audit);

/// Nothing but limits and plan is sealed yet.
bool only_agreed(const std::filesystem::path& folder);
void check_agreed_alone(const std::filesystem::path& folder,
                        const AuditOptions& options,
                        Audit& audit);

}  // namespace rigproof
