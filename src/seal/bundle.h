#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "seal/seal.h"

namespace rigproof {

/// bundle.json: how the files of a customer folder relate to the sealed session.
struct BundleIndex {
  struct CutOut {
    std::string scan;    ///< path of the scan, in session and folder alike
    bool whole = false;  ///< the raw file itself
    std::string sha256;  ///< of the cut-out
    std::uint64_t bytes = 0;
  };
  std::vector<CutOut> cut_outs;
  std::map<std::string, std::string> sealed_as;  ///< path in the folder -> path in the session
};

/// Throws Error(data), also for a scan that is listed twice.
BundleIndex parse_bundle(const std::string& text);

// What a customer folder holds follows from the manifest alone. bundle.json bears no signature, so
// an audit believes it only where it says the same.

/// Where a sealed file goes in the customer folder; "" where it stays behind or is cut.
std::string place_in_bundle(const std::string& path, const Manifest& manifest);
/// The scan of this path as it was sealed; nullptr when it is no sealed scan.
const ManifestFile* sealed_scan(const std::string& path, const Manifest& manifest);
/// Sealed files that lie elsewhere in a customer folder: path there -> path in the session.
std::map<std::string, std::string> moved_in_bundle(const Manifest& manifest);
/// raw-files.sha256: the digests of the scans as they were sealed.
std::string raw_files_text(const Manifest& manifest);

struct BundleOptions {
  int threads = 0;
  /// Called after each piece of work with the scan; from the calling thread, may throw to stop.
  std::function<void(const std::string& scan)> progress;
};

struct BundleOutcome {
  std::filesystem::path folder;
  std::size_t cut_outs = 0, whole = 0;
  std::uint64_t bytes = 0, raw_bytes = 0;
};

/// Writes the customer folder of a sealed session: certificate, results, inputs, seal, digests of
/// the raw files, and of every scan the points about its features (or the whole file where those do
/// not give the same values). The values are computed again from the cut-outs before the folder
/// appears. Throws Error(usage) for an unsealed session.
BundleOutcome write_bundle(const std::filesystem::path& session,
                           const std::filesystem::path& wanted,
                           const BundleOptions& options = {});

}  // namespace rigproof
