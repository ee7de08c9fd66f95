#include "app/folder_poll.h"

#include <algorithm>

#include <sys/stat.h>

#include "inputs/session_folder.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool stat_regular(const fs::path& path, FileLook& look) {
  struct stat s{};
  if (::stat(path.c_str(), &s) != 0 || !S_ISREG(s.st_mode)) return false;
  look.size = static_cast<std::uint64_t>(s.st_size);
  look.mtime_ns = static_cast<std::int64_t>(s.st_mtim.tv_sec) * 1'000'000'000 + s.st_mtim.tv_nsec;
  return true;
}

}  // namespace

FolderPoll::News FolderPoll::look(Clock::time_point now) {
  News news;
  ++round_;
  std::error_code ec;
  std::vector<std::string> names;
  for (fs::directory_iterator it(folder_, ec), end; !ec && it != end; it.increment(ec)) {
    std::string name = it->path().filename().string();
    if (!is_temporary_name(name)) names.push_back(std::move(name));
  }
  if (ec) {
    news.reachable = false;
    return news;
  }
  std::ranges::sort(names, before_by_name);
  for (const std::string& name : names) {
    FileLook look;
    if (!stat_regular(folder_ / name, look)) continue;
    const auto [at, fresh] = entries_.try_emplace(name);
    Entry& e = at->second;
    e.round = round_;
    if (fresh || !(e.look == look)) {
      e.look = look;
      e.since = now;
      e.settle = settle_;
      e.told = false;
    }
    if (e.told) continue;
    if (now - e.since < e.settle || look.size == 0) {
      news.growing.push_back(name);
      continue;
    }
    e.told = true;
    news.settled.push_back(name);
  }
  for (auto it = entries_.begin(); it != entries_.end();) {
    if (it->second.round == round_) {
      ++it;
      continue;
    }
    if (it->second.told) news.gone.push_back(it->first);
    it = entries_.erase(it);
  }
  return news;
}

void FolderPoll::look_again(const std::string& name,
                            Clock::time_point now,
                            std::chrono::milliseconds longer) {
  const auto it = entries_.find(name);
  if (it == entries_.end()) return;
  it->second.told = false;
  it->second.since = now;
  it->second.settle = longer;
}

FileLook FolderPoll::look_of(const std::string& name) const {
  const auto it = entries_.find(name);
  return it == entries_.end() ? FileLook{} : it->second.look;
}

}  // namespace rigproof
