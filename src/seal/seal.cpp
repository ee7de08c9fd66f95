#include "seal/seal.h"

#include <algorithm>
#include <charconv>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "base/version.h"
#include "inputs/issuer.h"
#include "record/output_folder.h"
#include "record/results_reader.h"
#include "seal/before_seal.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_agreed_input(const std::string& path) {
  return std::ranges::find(kAgreedFiles, path) != kAgreedFiles.end() ||
         path.starts_with("artefacts/") || path.starts_with("plan");
}

Manifest start(const SealRequest& request, const SigningKey& key, const Session& session) {
  Manifest m;
  m.session = session.id;
  m.authorised_by = request.by;
  m.sealed = request.now;
  m.key = key.public_hex();
  m.version = version();
  m.build = build();
  return m;
}

/// Signature and signer before the manifest, whose presence makes the seal.
SealOutcome write_seal(const fs::path& into, const Manifest& manifest, const SigningKey& key) {
  const std::string text = manifest_text(manifest);
  write_atomically(into / kSignerFile, manifest.key + "\n");
  write_atomically(into / kSignatureFile, key.sign(text) + "\n");
  write_atomically(into / kManifestFile, text);
  return {manifest.stage, manifest.files.size(), sha256_hex(text)};
}

SealOutcome seal_agreement(const SealRequest& request,
                           const SigningKey& key,
                           const Session& session) {
  Manifest m = start(request, key, session);
  m.stage = "agreed";
  std::vector<std::string> paths = files_below(request.session);
  std::erase_if(paths, [](const std::string& path) { return !is_agreed_input(path); });
  m.files = describe(request.session, paths);
  const fs::path into = request.session / kSealFolder / kAgreedFolder;
  if (fs::exists(into / kManifestFile))
    throw Error(ErrorKind::usage,
                display(request.session) + ": limits and plan are sealed already",
                "Put the scans into scans/ and assess; then seal the session.");
  fs::create_directories(into);
  return write_seal(into, m, key);
}

/// Removes what a seal that was stopped left, one of the agreement too; an agreement stays, and
/// nothing goes that is no part of a seal.
void clear_unfinished(const fs::path& seal) {
  std::vector<fs::path> own;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(seal, ec)) {
    const std::string name = entry.path().filename().string();
    if (name == kAgreedFolder) {
      if (fs::exists(entry.path() / kManifestFile, ec)) continue;
      clear_unfinished(entry.path());
    } else if (!name.starts_with("certificate") && name != kContentsFile && name != kSignerFile &&
               name != kSignatureFile) {
      throw Error(
          ErrorKind::cannot_create,
          display(entry.path()) + ": is no part of a seal, and that folder is for the seal alone",
          "Move it to another folder of the session.");
    }
    own.push_back(entry.path());
  }
  for (const fs::path& path : own) fs::remove_all(path);
}

/// The issuer's words become part of the session: nothing outside it speaks on a sealed
/// certificate. Whether there were any to take over.
bool adopt_issuer(const fs::path& session) {
  std::error_code ec;
  if (fs::exists(session / "issuer.toml", ec)) return false;
  const auto issuer = home_issuer();
  if (issuer) write_atomically(session / "issuer.toml", to_toml(*issuer));
  return issuer.has_value();
}

SealOutcome seal_whole(const SealRequest& request,
                       const SigningKey& key,
                       const Session& session,
                       const std::string& results_path) {
  const fs::path folder = request.session, seal = folder / kSealFolder;
  const std::string text = read_text(folder / results_path, kMostResultBytes);
  const StoredResults stored = results_from_json(text, session);
  Manifest m = start(request, key, session);
  m.stage = "session";
  m.results = results_path;
  if (!session.environment.log.empty())
    m.log = fs::path(session.environment.log).lexically_normal().generic_string();
  clear_unfinished(seal);
  std::vector<std::string> contents, own;
  for (const std::string& path : files_below(folder))
    if (!path.starts_with("seal/"))
      contents.push_back(path);
    else if (path.starts_with("seal/" + std::string(kAgreedFolder) + "/"))
      own.push_back(path);
  const auto list = [&](const std::vector<std::string>& paths) {
    const std::vector<ManifestFile> files = describe(folder, paths);
    m.files.insert(m.files.end(), files.begin(), files.end());
    std::ranges::sort(m.files, {}, &ManifestFile::path);
  };
  list(contents);
  check_assessed(session, stored.results, m.files);
  const ManifestFile* results = m.find(results_path);
  if (!results || results->sha256 != sha256_hex(text))  // the certificate is drawn from this text
    refuse_unassessed(folder, display(folder / results_path) + ": changed while it was sealed");
  if (adopt_issuer(folder)) list({"issuer.toml"});
  m.drawing = drawing_digest(request.render);

  fs::create_directories(seal);
  write_atomically(seal / kContentsFile, sha256sum_text(m.files));
  own.push_back("seal/" + std::string(kContentsFile));
  for (const auto& [name, content] : request.render(stored.results, text, seal_mark(m))) {
    write_atomically(seal / name, content);
    own.push_back("seal/" + name);
  }
  list(own);
  return write_seal(seal, m, key);
}

/// 1 for "out", n for "out-n", 0 for another name.
int run_number(const std::string& name) {
  if (name == "out") return 1;
  if (!name.starts_with("out-")) return 0;
  int n = 0;
  const auto [end, error] = std::from_chars(name.data() + 4, name.data() + name.size(), n);
  return error == std::errc() && end == name.data() + name.size() && n > 1 ? n : 0;
}

}  // namespace

std::string newest_results(const fs::path& session) {
  int most = 0;
  std::string newest;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(session, ec)) {
    const std::string name = entry.path().filename().string();
    const int n = run_number(name);
    if (n <= most || !fs::is_regular_file(entry.path() / "results.json", ec)) continue;
    most = n;
    newest = name + "/results.json";
  }
  return newest;
}

bool is_sealed(const fs::path& session) {
  std::error_code ec;
  return fs::exists(fs::symlink_status(session / kSealFolder / kManifestFile, ec));
}

bool is_agreed(const fs::path& session) {
  std::error_code ec;
  return fs::exists(fs::symlink_status(session / kSealFolder / kAgreedFolder / kManifestFile, ec));
}

void refuse_sealed(const fs::path& target, const std::string& next_step) {
  std::error_code ec;
  fs::path there = fs::weakly_canonical(fs::absolute(target), ec);
  for (; !there.empty(); there = there.parent_path()) {
    if (is_sealed(there))
      throw Error(
          ErrorKind::usage, display(there) + ": is sealed and is never written again", next_step);
    if (there == there.parent_path()) return;
  }
}

SealMark seal_mark(const Manifest& manifest) {
  std::vector<ManifestFile> contents = manifest.files;
  std::erase_if(contents, [](const ManifestFile& f) { return f.path.starts_with("seal/"); });
  SealMark mark;
  mark.authorised_by = manifest.authorised_by;
  mark.date = parse_date(manifest.sealed.substr(0, 10));
  mark.key = manifest.key;
  mark.manifest_sha256 = sha256_hex(sha256sum_text(contents));
  return mark;
}

std::string drawing_digest(const CertificateRenderer& render) {
  const Results nothing;
  std::string all;
  for (const auto& [name, content] : render(nothing, "{}", SealMark{})) all += content;
  return sha256_hex(all);
}

SealOutcome seal_session(const SealRequest& request, const SigningKey& key) {
  refuse_sealed(request.session);
  sweep_unfinished(request.session);
  remove_unfinished_files(request.session);
  const Session session = load_session(request.session);
  check_before_seal(session, request.by);
  files_below(request.session);  // refuses links before anything is written
  const std::string results = newest_results(request.session);
  if (results.empty() && session.scans.empty()) return seal_agreement(request, key, session);
  if (results.empty())
    throw Error(ErrorKind::missing,
                display(request.session) + ": has scans and no results yet",
                "Assess it first: rigproof assess " + display(request.session) + ".");
  return seal_whole(request, key, session, results);
}

}  // namespace rigproof
