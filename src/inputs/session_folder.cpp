#include "inputs/session_folder.h"

#include <algorithm>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// The run of digits at s[i] without leading zeros; i moves behind it.
std::string_view take_number(const std::string& s, std::size_t& i) {
  while (i < s.size() && s[i] == '0') ++i;
  const std::size_t from = i;
  while (i < s.size() && is_digit(s[i])) ++i;
  return std::string_view(s).substr(from, i - from);
}

[[noreturn]] void refuse_outside(const fs::path& path) {
  throw Error(ErrorKind::config,
              display(path) + ": leads outside the session folder",
              "A session is complete in itself: copy the file into its folder.");
}

std::string why_skipped(const fs::directory_entry& entry) {
  const std::string name = entry.path().filename().string();
  std::error_code ec;
  if (name.starts_with('.')) return "hidden";
  if (entry.is_directory(ec)) return "a folder";
  if (is_temporary_name(name)) return "unfinished or temporary";
  if (!entry.is_regular_file(ec)) return "not a regular file";
  return "";
}

}  // namespace

bool is_temporary_name(const std::string& name) {
  for (const char* end :
       {"~", ".tmp", ".temp", ".part", ".partial", ".crdownload", ".swp", ".lock"})
    if (name.ends_with(end)) return true;
  return name.starts_with('.') || name.starts_with('~') || name.starts_with('#');
}

bool before_by_name(const std::string& a, const std::string& b) {
  std::size_t i = 0, j = 0;
  while (i < a.size() && j < b.size()) {
    if (is_digit(a[i]) && is_digit(b[j])) {
      const std::string_view m = take_number(a, i), n = take_number(b, j);
      if (m.size() != n.size()) return m.size() < n.size();
      if (m != n) return m < n;
    } else {
      if (a[i] != b[j]) return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[j]);
      ++i;
      ++j;
    }
  }
  const std::size_t left_a = a.size() - i, left_b = b.size() - j;
  return left_a != left_b ? left_a < left_b : a < b;
}

bool is_inner_path(const std::filesystem::path& path) {
  return !path.empty() && !path.is_absolute() &&
         std::ranges::find(path, fs::path("..")) == path.end();
}

bool is_inside(const std::filesystem::path& folder, const std::filesystem::path& path) {
  std::error_code ec;
  const fs::path root = fs::canonical(folder, ec);
  if (ec) return false;
  // Absolute first: a bare name of nothing that is there would stay as it is.
  const fs::path real = fs::weakly_canonical(fs::absolute(path, ec), ec);
  if (ec) return false;  // a loop of links
  const auto [end, ignored] = std::mismatch(root.begin(), root.end(), real.begin(), real.end());
  return end == root.end();
}

std::filesystem::path path_within(const std::filesystem::path& folder,
                                  const std::string& relative) {
  const fs::path wanted(relative);
  if (!relative.empty() && !is_inner_path(wanted)) refuse_outside(wanted);
  if (!is_inside(folder, folder / wanted)) refuse_outside(folder / wanted);
  return folder / wanted;
}

void check_links_within(const std::filesystem::path& folder, const std::filesystem::path& below) {
  std::error_code ec;
  for (fs::recursive_directory_iterator it(below, ec), end; !ec && it != end; it.increment(ec))
    if (it->is_symlink(ec) && !is_inside(folder, it->path())) refuse_outside(it->path());
}

SkippedFile skipped_file(const std::string& entry) {
  const std::size_t colon = entry.rfind(": ");  // names may hold colons, reasons do not
  if (colon == std::string::npos) return {entry, ""};
  return {entry.substr(0, colon), entry.substr(colon + 2)};
}

ScanListing list_scans(const std::filesystem::path& folder) {
  std::error_code ec;
  const fs::path scans = path_within(folder, "scans");
  return fs::exists(scans, ec) ? list_scans_in(scans, folder) : ScanListing();
}

ScanListing list_scans_in(const std::filesystem::path& scans,
                          const std::filesystem::path& session) {
  ScanListing out;
  std::error_code ec;
  fs::directory_iterator it(scans, ec), end;
  for (; !ec && it != end; it.increment(ec)) {
    const std::string why = why_skipped(*it);
    std::error_code link;
    if (!why.empty())
      out.skipped.push_back(it->path().filename().string() + ": " + why);
    else if (!session.empty() && it->is_symlink(link) && !is_inside(session, it->path()))
      refuse_outside(it->path());
    else
      out.scans.push_back(it->path());
  }
  if (ec)
    throw Error(ErrorKind::missing,
                display(scans) + ": cannot be listed: " + ec.message(),
                "The scans must lie in a folder that you may read.");
  std::ranges::sort(out.scans, [](const fs::path& a, const fs::path& b) {
    return before_by_name(a.filename().string(), b.filename().string());
  });
  std::ranges::sort(out.skipped);
  return out;
}

}  // namespace rigproof
