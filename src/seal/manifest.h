#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace rigproof {

struct ManifestFile {
  std::string path;  ///< relative to the session, forward slashes
  std::uint64_t bytes = 0;
  std::string sha256;
};

/// What is signed: every file of a folder, and who answers for it.
struct Manifest {
  std::string stage;  ///< "agreed": limits and plan before the first scan; "session": all of it
  std::string session, authorised_by;
  std::string sealed;          ///< UTC, 2026-03-14T12:00:00Z
  std::string key;             ///< public key, hex
  std::string version, build;  ///< of the program that sealed
  std::string results;         ///< path of the results that were sealed
  std::string log;             ///< path of the temperature log; "" without one
  std::string drawing;         ///< digest of a page that this machine drew: same digest, same fonts
  std::vector<ManifestFile> files;  ///< by path

  const ManifestFile* find(const std::string& path) const;
};

/// JSON (schema rigproof-manifest-1), one file a line: the bytes that are signed.
std::string manifest_text(const Manifest& manifest);
/// Throws Error(data), also for a file that is listed twice.
Manifest parse_manifest(const std::string& text);

/// Paths of every file below `folder`, sorted. Throws Error(data) for symbolic links, for what is
/// neither file nor folder, and for names with control characters.
std::vector<std::string> files_below(const std::filesystem::path& folder);
/// The same with sizes and digests.
std::vector<ManifestFile> describe(const std::filesystem::path& folder,
                                   const std::vector<std::string>& paths);
/// Lines as sha256sum writes and checks them.
std::string sha256sum_text(const std::vector<ManifestFile>& files);

}  // namespace rigproof
