#include "seal/audit_files.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "seal/audit_bundle.h"
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

bool is_known(const std::string& key,
              const std::vector<Signer>& trusted,
              const AuditOptions& options) {
  return std::ranges::find(trusted, key, &Signer::key) != trusted.end() ||
         std::ranges::find(options.signers, key) != options.signers.end();
}

void find_signer(const AuditOptions& options, Audit& audit) {
  const std::vector<Signer> known = trusted_signers();
  const auto it = std::ranges::find(known, audit.manifest.key, &Signer::key);
  audit.known_signer = is_known(audit.manifest.key, known, options);
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

/// What must lie at a path of the folder.
struct Awaited {
  std::uint64_t bytes = 0;
  std::string sha256;
};
using AwaitedFiles = std::map<std::string, Awaited>;

AwaitedFiles session_files(const Manifest& manifest) {
  AwaitedFiles out;
  for (const ManifestFile& file : manifest.files) out[file.path] = {file.bytes, file.sha256};
  return out;
}

/// All but the cut-outs themselves follows from the manifest.
AwaitedFiles bundle_files(const Manifest& manifest, const BundleIndex& index) {
  AwaitedFiles out;
  for (const ManifestFile& file : manifest.files)
    if (const std::string place = place_in_bundle(file.path, manifest); !place.empty())
      out[place] = {file.bytes, file.sha256};
  const std::string raw = raw_files_text(manifest);
  out[kRawFile] = {raw.size(), sha256_hex(raw)};
  for (const auto& cut : index.cut_outs)
    if (const ManifestFile* scan = sealed_scan(cut.scan, manifest))
      out[cut.scan] =
          cut.whole ? Awaited{scan->bytes, scan->sha256} : Awaited{cut.bytes, cut.sha256};
  return out;
}

/// Reads each file once, however it is listed.
void check_contents(const fs::path& folder,
                    const std::vector<std::string>& present,
                    const AwaitedFiles& awaited,
                    Audit& audit) {
  for (const std::string& path : present) {
    const auto it = awaited.find(path);
    if (it == awaited.end()) continue;
    const fs::path file = folder / path;
    if (fs::file_size(file) != it->second.bytes || sha256_file(file) != it->second.sha256)
      say_changed(path, audit);
  }
}

void check_added(const std::vector<std::string>& present,
                 const AwaitedFiles& awaited,
                 Audit& audit) {
  for (const std::string& path : present) {
    if (is_seal_own(path) || awaited.contains(path)) continue;
    if (audit.bundle && path == kBundleFile) continue;  // check_index
    audit.added.push_back(path);
    audit.differs.push_back(display(path) + (audit.bundle ? " has no place in a customer folder"
                                                          : " was added after sealing"));
  }
}

/// A scan that is absent only keeps values from being computed again.
void check_missing(const std::vector<std::string>& present,
                   const AwaitedFiles& awaited,
                   Audit& audit) {
  for (const auto& [path, file] : awaited) {
    if (std::ranges::binary_search(present, path)) continue;
    audit.missing.push_back(path);
    if (!path.starts_with("scans/"))
      audit.differs.push_back(display(path) + " is missing");
    else if (!audit.bundle)
      audit.findings.push_back(make_finding("raw-missing", {{"scan", path}}, path));
  }
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
  const std::vector<std::string> present = files_below(folder);
  const AwaitedFiles awaited =
      bundle ? bundle_files(audit.manifest, *bundle) : session_files(audit.manifest);
  if (bundle) check_index(*bundle, audit);
  check_contents(folder, present, awaited, audit);
  check_added(present, awaited, audit);
  check_missing(present, awaited, audit);
}

void check_agreement(const fs::path& folder, const AuditOptions& options, Audit& audit) {
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
  if (agreed.stage != "agreed" || agreed.session != audit.manifest.session || agreed.key != key)
    audit.differs.push_back("the agreed limits and plan are not those of this session");
  // What was agreed upon is known whole: limits that nobody had seen then are not agreed limits.
  for (const char* name : kAgreedFiles)
    if (audit.manifest.find(name) && !agreed.find(name))
      audit.differs.push_back(std::string(name) + " came after limits and plan were agreed on " +
                              agreed.sealed);
  for (const ManifestFile& file : agreed.files) {
    const ManifestFile* now = audit.manifest.find(file.path);
    if (!now || now->sha256 != file.sha256)
      audit.differs.push_back(display(file.path) + " is not what was agreed on " + agreed.sealed);
  }
  audit.notes.push_back(
      "limits and plan were agreed on " + agreed.sealed + " by " + display(agreed.authorised_by) +
      (is_known(agreed.key, trusted_signers(), options) ? ""
                                                        : ", with a key that is not known here"));
}

bool only_agreed(const fs::path& folder) {
  std::error_code ec;
  int others = 0;
  for (const auto& entry : fs::directory_iterator(folder / kSealFolder, ec))
    others += entry.path().filename() != kAgreedFolder;
  return others == 0 && fs::exists(folder / kSealFolder / kAgreedFolder / kManifestFile, ec);
}

void check_agreed_alone(const fs::path& folder, const AuditOptions& options, Audit& audit) {
  const std::vector<std::string> present = files_below(folder);  // refuses links
  check_signature(folder / kSealFolder / kAgreedFolder, options, audit);
  const AwaitedFiles awaited = session_files(audit.manifest);
  check_contents(folder, present, awaited, audit);
  check_missing(present, awaited, audit);
  audit.notes.push_back(
      "only limits and plan are sealed so far: nothing to compute again, and nothing vouches for "
      "any other file here");
}

}  // namespace rigproof
