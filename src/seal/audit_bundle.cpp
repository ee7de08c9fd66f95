#include "seal/audit_bundle.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/input_file.h"
#include "inputs/session_folder.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

/// Scans whose values were computed again and are all as they were sealed.
std::set<std::string> reproduced(const std::optional<Comparison>& comparison) {
  std::set<std::string> out, different;
  if (!comparison) return out;
  for (const ComparedValue& v : comparison->values) (v.same() ? out : different).insert(v.scan);
  for (const std::string& scan : different) out.erase(scan);
  return out;
}

std::size_t left_behind(const BundleIndex& index, const Manifest& manifest) {
  std::set<std::string> whole;
  for (const auto& cut : index.cut_outs)
    if (cut.whole) whole.insert(cut.scan);
  return static_cast<std::size_t>(
      std::ranges::count_if(manifest.files, [&](const ManifestFile& file) {
        return place_in_bundle(file.path, manifest).empty() && !whole.contains(file.path);
      }));
}

/// What was sealed as a scan and is nowhere in the sealed results.
void check_all_judged(const Results& sealed, Audit& audit) {
  std::set<std::string> told;
  for (const ScanRecord& scan : sealed.scans) told.insert(scan.file);
  for (const std::string& entry : sealed.session.skipped)
    told.insert("scans/" + skipped_file(entry).name);
  static constexpr std::string_view kScans = "scans/";
  for (const ManifestFile& file : audit.manifest.files)
    if (file.path.starts_with(kScans) &&
        !told.contains(file.path.substr(0, file.path.find('/', kScans.size()))))
      audit.differs.push_back(display(file.path) + " was sealed and is not in the sealed results");
}

}  // namespace

void check_index(const BundleIndex& index, Audit& audit) {
  if (index.sealed_as != moved_in_bundle(audit.manifest))
    audit.differs.push_back(std::string(kBundleFile) +
                            " is not the index of a customer folder of this seal");
  for (const auto& cut : index.cut_outs) {
    const ManifestFile* scan = sealed_scan(cut.scan, audit.manifest);
    if (!scan)
      audit.differs.push_back(display(cut.scan) + " is listed as a cut-out and is no sealed scan");
    else if (cut.whole && (cut.bytes != scan->bytes || cut.sha256 != scan->sha256))
      audit.differs.push_back(display(cut.scan) + " is listed as whole and as another file");
  }
}

void check_cut_outs(const BundleIndex& index, const Results& sealed, Audit& audit) {
  std::map<std::string, const ScanRecord*> unlisted;
  for (const ScanRecord& scan : sealed.scans) unlisted[scan.file] = &scan;
  for (const auto& cut : index.cut_outs) {
    const auto it = unlisted.find(cut.scan);
    if (it == unlisted.end()) {
      audit.differs.push_back(display(cut.scan) + " is no scan of the sealed results");
      continue;
    }
    if (!cut.whole && it->second->features.empty())
      audit.differs.push_back(display(cut.scan) +
                              " is listed as a cut-out and has no features to be cut about");
    unlisted.erase(it);
  }
  for (const auto& [scan, record] : unlisted) audit.missing.push_back(scan);
  check_all_judged(sealed, audit);
}

void say_cut_outs(const BundleIndex& index, Audit& audit) {
  const std::set<std::string> spoken_for = reproduced(audit.comparison);
  for (const auto& cut : index.cut_outs) {
    if (cut.whole) continue;
    audit.cut_outs.push_back(cut.scan);
    if (!spoken_for.contains(cut.scan)) audit.unvouched.push_back(cut.scan);
  }
  if (!audit.cut_outs.empty())
    audit.notes.push_back(
        fmt::format("the signature does not cover these cut-outs byte for byte: {}",
                    fmt::join(audit.cut_outs, ", ")));
  if (audit.cut_outs.size() > audit.unvouched.size())
    audit.notes.push_back(
        fmt::format("for {} of them the values vouch that were computed again from their points",
                    audit.cut_outs.size() - audit.unvouched.size()));
  if (!audit.unvouched.empty())
    audit.notes.push_back(
        fmt::format("nothing in this audit vouches for the points of {}; ask for the raw scans if "
                    "they matter",
                    fmt::join(audit.unvouched, ", ")));
  audit.notes.push_back(
      fmt::format("a customer folder holds a part of what was sealed: {} of {} files are not in it "
                  "as they were "
                  "sealed, and whoever had the session could leave them out",
                  left_behind(index, audit.manifest),
                  audit.manifest.files.size()));
}

}  // namespace rigproof
