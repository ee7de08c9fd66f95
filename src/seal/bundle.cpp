#include "seal/bundle.h"

#include <algorithm>
#include <set>

#include <nlohmann/json.hpp>

#include "assess/assess.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/json_excess.h"
#include "base/json_whole.h"
#include "base/sha256.h"
#include "inputs/session_folder.h"
#include "record/output_folder.h"
#include "record/results_reader.h"
#include "seal/compare.h"
#include "seal/cut_out.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "rigproof-bundle-1";

std::string bundle_text(const BundleIndex& index) {
  Json j{{"schema", kSchema}, {"cut_outs", Json::array()}, {"sealed_as", index.sealed_as}};
  for (const auto& cut : index.cut_outs)
    j["cut_outs"].push_back(
        {{"scan", cut.scan}, {"whole", cut.whole}, {"bytes", cut.bytes}, {"sha256", cut.sha256}});
  return j.dump(1) + "\n";
}

bool is_input(const std::string& path) {
  static const std::set<std::string> names{
      "session.toml", "rig.toml", "limits.toml", "procedure.toml", "issuer.toml"};
  return names.contains(path) || path.starts_with("artefacts/");
}

/// Synced: a customer folder that was said to be written outlasts a power failure.
void copy_whole(const fs::path& from, const fs::path& to) {
  static constexpr std::uint64_t kBlock = 1u << 20;
  std::error_code ec;
  fs::create_directories(to.parent_path(), ec);
  const InputFile in(from);
  AtomicFile out(to);
  std::string block;
  for (std::uint64_t at = 0; at < in.size(); at += block.size()) {
    block.resize(std::min(kBlock, in.size() - at));
    in.read(at, block.data(), block.size());
    out.write(block);
  }
  in.check_unchanged();
  out.commit();
}

/// The entries of the folders within it; those of files are synced with each file, and its own as
/// it appears.
void sync_folders(const fs::path& top) {
  for (const auto& entry : fs::recursive_directory_iterator(top))
    if (entry.is_directory() && !sync_folder(entry.path()))
      throw Error(ErrorKind::io,
                  display(entry.path()) + ": cannot be written to disk",
                  "Check the disk, then run again; nothing was left.");
}

/// One customer folder in the making.
class Bundler {
 public:
  Bundler(const fs::path& session, const fs::path& staging, const BundleOptions& options)
      : from_(session), to_(staging), options_(options), session_(load_session(session)) {
    manifest_ = parse_manifest(read_text(from_ / kSealFolder / kManifestFile, kMostResultBytes));
    sealed_ =
        results_from_json(read_text(from_ / manifest_.results, kMostResultBytes), session_).results;
  }

  void copy_sealed();
  void cut();
  /// Scans whose values do not come out of the cut-outs.
  std::set<std::string> not_reproduced() const;
  void keep_whole(const std::set<std::string>& scans);
  void write_index();
  BundleOutcome outcome() const;

 private:
  void keep_whole(BundleIndex::CutOut& cut);

  fs::path from_, to_;
  const BundleOptions& options_;
  Session session_;
  Manifest manifest_;
  Results sealed_;
  BundleIndex index_;
};

void Bundler::copy_sealed() {
  for (const ManifestFile& file : manifest_.files) {
    const std::string place = place_in_bundle(file.path, manifest_);
    if (place.empty()) continue;
    copy_whole(from_ / file.path, to_ / place);
  }
  index_.sealed_as = moved_in_bundle(manifest_);
  for (const char* name : {kManifestFile, kSignatureFile, kSignerFile})
    copy_whole(from_ / kSealFolder / name, to_ / kSealFolder / name);
  write_atomically(to_ / kRawFile, raw_files_text(manifest_));
}

void Bundler::keep_whole(BundleIndex::CutOut& cut) {
  copy_whole(from_ / cut.scan, to_ / cut.scan);
  cut.whole = true;
}

void Bundler::cut() {
  fs::create_directories(to_ / "scans");
  for (const ScanRecord& record : sealed_.scans) {
    BundleIndex::CutOut cut;
    cut.scan = record.file;
    if (!write_cut_out(from_ / record.file, record, session_, to_ / record.file, options_.threads))
      keep_whole(cut);
    index_.cut_outs.push_back(std::move(cut));
    if (options_.progress) options_.progress(record.file);
  }
}

std::set<std::string> Bundler::not_reproduced() const {
  AssessOptions options;
  options.threads = options_.threads;
  options.progress = options_.progress;
  Session as_sealed = load_session(to_);
  as_sealed.assumed_date = sealed_.session.assumed_date;
  const Comparison c = compare(sealed_, assess(as_sealed, options));
  std::set<std::string> out;
  for (const ComparedValue& v : c.values)
    if (!v.same()) out.insert(v.scan);
  return out;
}

void Bundler::keep_whole(const std::set<std::string>& scans) {
  for (auto& cut : index_.cut_outs)
    if (scans.contains(cut.scan)) keep_whole(cut);
}

void Bundler::write_index() {
  for (auto& cut : index_.cut_outs) {
    cut.bytes = fs::file_size(to_ / cut.scan);
    cut.sha256 = sha256_file(to_ / cut.scan);
  }
  write_atomically(to_ / kBundleFile, bundle_text(index_));
}

BundleOutcome Bundler::outcome() const {
  BundleOutcome out;
  for (const auto& cut : index_.cut_outs) {
    ++(cut.whole ? out.whole : out.cut_outs);
    out.bytes += cut.bytes;
    if (const ManifestFile* file = manifest_.find(cut.scan)) out.raw_bytes += file->bytes;
  }
  return out;
}

}  // namespace

BundleIndex parse_bundle(const std::string& text) {
  const auto inner = [](const nlohmann::ordered_json& path) {
    if (is_inner_path(path.get<std::string>())) return path.get<std::string>();
    throw Error(ErrorKind::data, "bundle.json: names a file outside the folder");
  };
  if (const char* excess = json_excess(text))
    throw Error(ErrorKind::data, std::string("bundle.json: ") + excess);
  try {
    const Json j = Json::parse(text);
    if (j.at("schema") != kSchema)
      throw Error(ErrorKind::data, "bundle.json: schema is not " + std::string(kSchema));
    BundleIndex index;
    std::set<std::string> scans;
    for (const auto& cut : j.at("cut_outs")) {
      const auto bytes = whole_number<std::uint64_t>(cut.at("bytes"));
      if (!bytes) throw Error(ErrorKind::data, "bundle.json: gives a size that no file has");
      index.cut_outs.push_back({inner(cut.at("scan")), cut.at("whole"), cut.at("sha256"), *bytes});
      if (!scans.insert(index.cut_outs.back().scan).second)
        throw Error(ErrorKind::data, "bundle.json: lists a scan twice");
    }
    for (const auto& [here, as] : j.at("sealed_as").items())
      index.sealed_as[inner(here)] = inner(as);
    return index;
  } catch (const Json::exception& error) {
    throw Error(ErrorKind::data, "bundle.json: cannot be read: " + json_complaint(error.what()));
  }
}

std::string place_in_bundle(const std::string& path, const Manifest& manifest) {
  const std::string results_folder = manifest.results.substr(0, manifest.results.find('/') + 1);
  if (is_input(path) || path == manifest.log || path.starts_with("seal/agreed/")) return path;
  if (path == manifest.results) return "results.json";
  if (path == results_folder + "values.csv") return "values.csv";
  if (path.starts_with("seal/certificate")) return path.substr(5);
  return path == "seal/" + std::string(kContentsFile) ? path : std::string();
}

const ManifestFile* sealed_scan(const std::string& path, const Manifest& manifest) {
  return path.starts_with("scans/") ? manifest.find(path) : nullptr;
}

std::map<std::string, std::string> moved_in_bundle(const Manifest& manifest) {
  std::map<std::string, std::string> out;
  for (const ManifestFile& file : manifest.files) {
    const std::string place = place_in_bundle(file.path, manifest);
    if (!place.empty() && place != file.path) out[place] = file.path;
  }
  return out;
}

std::string raw_files_text(const Manifest& manifest) {
  std::vector<ManifestFile> raw;
  for (const ManifestFile& file : manifest.files)
    if (file.path.starts_with("scans/")) raw.push_back(file);
  return sha256sum_text(raw);
}

BundleOutcome write_bundle(const fs::path& session,
                           const fs::path& wanted,
                           const BundleOptions& options) {
  if (!is_sealed(session))
    throw Error(ErrorKind::usage,
                display(session) + ": is not sealed",
                "Seal it first: rigproof seal " + display(session) + " --by NAME.");
  refuse_sealed(wanted);
  OutputFolder out(wanted);
  Bundler bundler(session, out.path(), options);
  bundler.copy_sealed();
  bundler.cut();
  if (const auto missed = bundler.not_reproduced(); !missed.empty()) {
    bundler.keep_whole(missed);
    if (!bundler.not_reproduced().empty())
      throw Error(ErrorKind::data,
                  display(session) + ": its values cannot be computed again from cut-outs",
                  "Audit the session: rigproof audit " + display(session) + ".");
  }
  bundler.write_index();
  BundleOutcome outcome = bundler.outcome();
  sync_folders(out.path());
  outcome.folder = out.publish();
  return outcome;
}

}  // namespace rigproof
