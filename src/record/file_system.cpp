#include "record/file_system.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <sstream>

#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <sys/vfs.h>

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct ShareType {
  unsigned long magic;
  const char* name;
};
// statfs(2) and linux/magic.h.
constexpr std::array<ShareType, 9> kShares{{{0x6969, "NFS"},
                                            {0x517B, "SMB"},
                                            {0xFF534D42, "CIFS"},
                                            {0xFE534D42, "SMB"},
                                            {0x5346414F, "AFS"},
                                            {0x00C36400, "Ceph"},
                                            {0x73757245, "Coda"},
                                            {0x564C, "NCP"},
                                            {0x0BD00BD0, "Lustre"}}};
// May be local or not; the mount table tells.
constexpr unsigned long kFuse = 0x65735546, k9p = 0x01021997;

/// Type of the mount that holds the device of `path`, from the mount table; "" when unknown.
std::string mount_type(const fs::path& path) {
  struct stat info{};
  if (::stat(path.c_str(), &info) != 0) return {};
  const std::string device =
      std::to_string(::major(info.st_dev)) + ":" + std::to_string(::minor(info.st_dev));
  std::ifstream table("/proc/self/mountinfo");
  for (std::string line; std::getline(table, line);) {
    std::istringstream words(line);
    std::string id, parent, number, word;
    words >> id >> parent >> number;
    if (number != device) continue;
    while (words >> word && word != "-") {
    }
    words >> word;
    return word;
  }
  return {};
}

}  // namespace

std::optional<std::string> network_share_type(long statfs_type) {
  // The field is signed and 32 bits wide on some machines.
  const unsigned long magic = static_cast<unsigned long>(statfs_type) & 0xFFFFFFFFul;
  const auto it = std::ranges::find(kShares, magic, &ShareType::magic);
  return it == kShares.end() ? std::nullopt : std::optional<std::string>(it->name);
}

bool is_network_mount(std::string_view type) {
  for (const std::string_view known : {"9p",
                                       "virtiofs",
                                       "davfs",
                                       "fuse.sshfs",
                                       "fuse.rclone",
                                       "fuse.glusterfs",
                                       "fuse.davfs2",
                                       "fuse.curlftpfs",
                                       "fuse.s3fs",
                                       "fuse.smbnetfs"})
    if (type == known) return true;
  return false;
}

std::optional<std::string> network_share(const fs::path& path) {
  std::error_code ec;
  fs::path there = fs::absolute(path, ec);
  while (!fs::exists(there, ec) && there.has_relative_path()) there = there.parent_path();
  struct statfs info{};
  if (::statfs(there.c_str(), &info) != 0) return std::nullopt;
  if (auto name = network_share_type(static_cast<long>(info.f_type))) return name;
  const unsigned long magic = static_cast<unsigned long>(info.f_type) & 0xFFFFFFFFul;
  if (magic != kFuse && magic != k9p) return std::nullopt;
  const std::string type = mount_type(there);
  return is_network_mount(type) ? std::optional(type) : std::nullopt;
}

}  // namespace rigproof
