#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace rigproof {

/// A path that no document can use to point out of the folder it speaks of: relative, not empty,
/// without "..". Links are another matter (path_within).
bool is_inner_path(const std::filesystem::path& path);

/// The folder itself or something below it, links followed; false when the folder is not there.
bool is_inside(const std::filesystem::path& folder, const std::filesystem::path& path);

/// folder / relative, when that stays inside the folder: no absolute path, no "..", no symbolic
/// link that leads out. It need not exist. Throws Error(config).
std::filesystem::path path_within(const std::filesystem::path& folder, const std::string& relative);

/// Every symbolic link below a folder of the session leads to a place inside the session. Throws
/// Error(config).
void check_links_within(const std::filesystem::path& folder, const std::filesystem::path& below);

/// Hidden, or the name of a file that somebody still writes: scan7.ply.part.
bool is_temporary_name(const std::string& name);

struct ScanListing {
  std::vector<std::filesystem::path> scans;  ///< with their folder
  std::vector<std::string> skipped;          ///< "name: why"
};

/// An entry of `skipped` in its two parts.
struct SkippedFile {
  std::string name, why;
};
SkippedFile skipped_file(const std::string& entry);

/// Regular files in a folder by name, numbers as numbers. Hidden and temporary files, folders and
/// what is no regular file are skipped and named. Throws Error(config) for a link that leads out of
/// the session folder, where there is one.
ScanListing list_scans_in(const std::filesystem::path& scans,
                          const std::filesystem::path& session = {});
/// Those of folder/scans, which need not exist.
ScanListing list_scans(const std::filesystem::path& folder);

/// By name, runs of digits as numbers: "scan9" before "scan10"; bytes decide between equals.
bool before_by_name(const std::string& a, const std::string& b);

}  // namespace rigproof
