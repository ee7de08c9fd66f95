#include "seal/audit_files.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "seal/layout.h"
#include "seal/signers.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// Hex text and its line end, nothing else.
std::string hex_line(const std::optional<std::string>& text) {
  if (!text || text->empty() || text->back() != '\n') return {};
  return text->substr(0, text->size() - 1);
}

void find_signer(const AuditOptions& options, Audit& audit) {
  const std::vector<Signer> known = trusted_signers();
  const auto it = std::ranges::find(known, audit.manifest.key, &Signer::key);
  audit.known_signer =
      it != known.end() ||
      std::ranges::find(options.signers, audit.manifest.key) != options.signers.end();
  if (it != known.end()) audit.signer = it->name;
  if (audit.known_signer) return;
  audit.findings.push_back(make_finding("unknown-signer", {{"key", audit.manifest.key}}));
  // Where nobody is known yet, a stranger's seal cannot be told from another's.
  (known.empty() && options.signers.empty() ? audit.notes : audit.differs)
      .push_back(fmt::format("signed with a key that is not in {}", display(signers_file())));
}

bool is_seal_own(const std::string& path) {
  for (const char* name : {kManifestFile, kSignatureFile, kSignerFile})
    if (path == "seal/" + std::string(name)) return true;
  return false;
}

void say_changed(const std::string& path, Audit& audit) {
  audit.changed.push_back(path);
  audit.differs.push_back(display(path) + " is not the file that was sealed");
  if (path.starts_with("scans/"))
    audit.findings.push_back(make_finding("scan-edited", {{"scan", path}}, path));
  if (path.find("certificate") != std::string::npos)
    audit.findings.push_back(make_finding("certificate-edited", {{"file", path}}));
}

/// Path in the manifest that a file of the folder must equal; "" for one that only a bundle holds.
std::string sealed_path(const std::string& path, const std::optional<BundleIndex>& bundle) {
  if (!bundle) return path;
  if (path == kBundleFile || path == kRawFile) return {};
  for (const auto& cut : bundle->cut_outs)
    if (cut.scan == path && !cut.whole) return {};
  const auto it = bundle->sealed_as.find(path);
  return it == bundle->sealed_as.end() ? path : it->second;
}

}  // namespace

std::optional<std::string> seal_file(const fs::path& file, std::size_t most) {
  std::error_code ec;
  if (fs::symlink_status(file, ec).type() != fs::file_type::regular) return std::nullopt;
  try {
    return read_text(file, most);
  } catch (const Error&) {
    return std::nullopt;
  }
}

void check_signature(const fs::path& seal, const AuditOptions& options, Audit& audit) {
  const auto text = seal_file(seal / kManifestFile, kMostResultBytes);
  const std::string key = hex_line(seal_file(seal / kSignerFile, 1000));
  const std::string signature = hex_line(seal_file(seal / kSignatureFile, 1000));
  if (!text) {
    audit.differs.push_back("the manifest is missing");
    return;
  }
  audit.signature = signature_holds(key, *text, signature);
  if (!audit.signature) {
    audit.differs.push_back("the signature does not hold for this manifest");
    return;
  }
  audit.manifest = parse_manifest(*text);
  if (audit.manifest.key != key) audit.differs.push_back("the manifest names another key");
  find_signer(options, audit);
}

void check_files(const fs::path& folder, const std::optional<BundleIndex>& bundle, Audit& audit) {
  std::vector<std::string> present = files_below(folder);
  std::vector<std::string> seen;
  for (const std::string& path : present) {
    if (is_seal_own(path)) continue;
    const std::string as = sealed_path(path, bundle);
    if (as.empty()) continue;
    const ManifestFile* file = audit.manifest.find(as);
    if (!file) {
      audit.added.push_back(path);
      audit.differs.push_back(display(path) + " was added after sealing");
      continue;
    }
    seen.push_back(as);
    if (fs::file_size(folder / path) != file->bytes || sha256_file(folder / path) != file->sha256)
      say_changed(path, audit);
  }
  std::ranges::sort(seen);
  for (const ManifestFile& file : audit.manifest.files) {
    if (std::ranges::binary_search(seen, file.path)) continue;
    if (bundle && !file.path.starts_with("seal/agreed/")) continue;  // a bundle holds a part
    audit.missing.push_back(file.path);
    if (file.path.starts_with("scans/"))
      audit.findings.push_back(make_finding("raw-missing", {{"scan", file.path}}, file.path));
    else
      audit.differs.push_back(display(file.path) + " is missing");
  }
  if (!bundle) return;
  for (const auto& cut : bundle->cut_outs) {
    const fs::path file = folder / cut.scan;
    std::error_code ec;
    if (fs::symlink_status(file, ec).type() != fs::file_type::regular)
      audit.missing.push_back(cut.scan);
    else if (sha256_file(file) != cut.sha256)
      say_changed(cut.scan, audit);
  }
}

void check_agreement(const fs::path& folder, Audit& audit) {
  const fs::path seal = folder / kSealFolder / kAgreedFolder;
  std::error_code ec;
  if (!fs::exists(seal, ec)) return;
  const auto text = seal_file(seal / kManifestFile, kMostResultBytes);
  const std::string key = hex_line(seal_file(seal / kSignerFile, 1000));
  if (!text || !signature_holds(key, *text, hex_line(seal_file(seal / kSignatureFile, 1000)))) {
    audit.differs.push_back("the signature of the agreed limits and plan does not hold");
    return;
  }
  const Manifest agreed = parse_manifest(*text);
  for (const ManifestFile& file : agreed.files) {
    const ManifestFile* now = audit.manifest.find(file.path);
    if (!now || now->sha256 != file.sha256)
      audit.differs.push_back(display(file.path) + " is not what was agreed on " + agreed.sealed);
  }
  audit.notes.push_back("limits and plan were agreed on " + agreed.sealed + " by " +
                        display(agreed.authorised_by));
}

bool only_agreed(const fs::path& folder) {
  std::error_code ec;
  int others = 0;
  for (const auto& entry : fs::directory_iterator(folder / kSealFolder, ec))
    others += entry.path().filename() != kAgreedFolder;
  return others == 0 && fs::exists(folder / kSealFolder / kAgreedFolder / kManifestFile, ec);
}

void check_agreed_alone(const fs::path& folder, const AuditOptions& options, Audit& audit) {
  check_signature(folder / kSealFolder / kAgreedFolder, options, audit);
  for (const ManifestFile& file : audit.manifest.files) {
    std::error_code ec;
    if (fs::symlink_status(folder / file.path, ec).type() != fs::file_type::regular) {
      audit.missing.push_back(file.path);
      audit.differs.push_back(display(file.path) + " is missing");
    } else if (sha256_file(folder / file.path) != file.sha256) {
      say_changed(file.path, audit);
    }
  }
  audit.notes.push_back("only limits and plan are sealed so far: nothing to compute again");
}

}  // namespace rigproof
